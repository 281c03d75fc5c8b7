"""A new torque figure: the old one stays on file with its version."""

from dataclasses import fields
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.operations.specs import NewSpec, set_spec
from fleet.reads.designs import designs, joint_kinds
from fleet.records.models import ThreadCondition, TorqueSpec
from fleet.web.doors import needs
from fleet.web.forms import ActForm, Ask, FigureInput, Sheet, form_page, offer, sent
from fleet.web.measures import SHORT
from fleet.web.numbers import NumberField
from fleet.web.tool import FIGURE, PLAIN


def _text(
    label: Any, longest: int, hint: Any = "", missing: Any = "", attrs: dict[str, str] = PLAIN
) -> forms.CharField:
    return forms.CharField(
        label=label,
        help_text=hint,
        max_length=longest,
        required=bool(missing),
        widget=forms.TextInput(attrs=attrs),
        error_messages={"required": missing},
    )


class SpecForm(ActForm):
    design_id = forms.TypedChoiceField(label=gettext_lazy("Design"), coerce=int)
    kind_id = forms.TypedChoiceField(label=gettext_lazy("Joint"), coerce=int)
    origin = forms.ChoiceField(
        label=gettext_lazy("Whose figure"),
        choices=TorqueSpec.Origin.choices,
        widget=forms.RadioSelect(attrs={"class": "in-row"}),
        error_messages={"required": gettext_lazy("Say whose figure it is.")},
    )
    low = forms.CharField(
        label=gettext_lazy("Figure, or its low side"),
        help_text=FIGURE,
        max_length=30,
        widget=FigureInput("torque"),
        error_messages={"required": gettext_lazy("Type the figure.")},
    )
    high = forms.CharField(
        label=gettext_lazy("High side"),
        help_text=gettext_lazy("Leave empty where there is one figure."),
        max_length=30,
        required=False,
        widget=FigureInput("torque"),
    )
    angle_degrees = NumberField(
        label=gettext_lazy("Then turned on by, degrees"),
        help_text=gettext_lazy("Only for a figure of torque and angle, like 90."),
        required=False,
        min_value=0,
        max_value=720,
        widget=forms.TextInput(attrs={"inputmode": "decimal", **PLAIN}),
    )
    thread_condition = forms.ChoiceField(
        label=gettext_lazy("Threads"), choices=ThreadCondition.choices
    )
    thread = _text(gettext_lazy("Thread"), 30, gettext_lazy("Like M14 × 2."), attrs=SHORT)
    strength_class = _text(
        gettext_lazy("Class or grade"), 20, gettext_lazy("Like 10.9 or grade 8."), attrs=SHORT
    )
    sequence = _text(
        gettext_lazy("Order, where there is one"),
        120,
        gettext_lazy("Like: crosswise, in two steps."),
    )
    new_fastener = forms.BooleanField(label=gettext_lazy("New fastener each time"), required=False)
    is_target = forms.BooleanField(
        label=gettext_lazy("This is the figure the wrench is set to"), required=False, initial=True
    )
    source = _text(
        gettext_lazy("Where the figure stands"),
        160,
        gettext_lazy("Service information, page."),
        gettext_lazy("Say where the figure stands (service information, page or bulletin)."),
    )
    reason = _text(
        gettext_lazy("Reason for the change"),
        200,
        gettext_lazy("Leave empty where there was no figure before."),
    )

    def __init__(self, data: Any, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        offer(self, "design_id", designs())
        offer(self, "kind_id", joint_kinds())


def _whence(design: str) -> tuple[str, str]:
    """A figure that a design's page asked for leads back there, to the next one."""
    if design.isdecimal():
        return reverse("design", args=[design]), _("The design")
    return reverse("specs"), _("Specs")


@needs("edit_specs")
def spec_new(request: HttpRequest) -> HttpResponse:
    asked = {"design_id": request.GET.get("design"), "kind_id": request.GET.get("kind")}
    form = SpecForm(sent(request), initial=asked)
    back, back_text = _whence(request.GET.get("design", ""))
    sheet = Sheet(
        title=_("New torque figure"),
        button=_("Put the figure on file"),
        back=back,
        back_text=back_text,
        said=_("On file."),
        template="spec/form.html",
    )

    def verb(ask: Ask) -> Any:
        said = form.cleaned_data
        new = NewSpec(**{column.name: said[column.name] for column in fields(NewSpec)})
        return set_spec(ask.actor, new, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, lambda _row: back)
