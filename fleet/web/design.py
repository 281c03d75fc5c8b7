"""Designs: put on file with their layouts, and the torque figures that are still to be typed."""

from dataclasses import fields
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.operations.designs import NewDesign, add_design
from fleet.reads.design_figures import design_figures
from fleet.reads.designs import AXES, designs_seen, layouts
from fleet.records.models import Layout
from fleet.web.doors import in_scope, needs, reader
from fleet.web.forms import ActForm, Ask, FigureInput, Sheet, form_page, sent
from fleet.web.tool import PLAIN

LABELS = {
    Layout.Axis.AXLE: gettext_lazy("How the axle is located"),
    Layout.Axis.LINKAGE: gettext_lazy("Steering linkage"),
    Layout.Axis.KNUCKLE: gettext_lazy("Knuckles"),
    Layout.Axis.HUB: gettext_lazy("Hubs"),
}


def _side(label: Any, hint: Any = "") -> forms.CharField:
    return forms.CharField(
        label=label,
        help_text=hint,
        required=False,
        max_length=28,
        widget=FigureInput("length", signed=True),
    )


class DesignForm(ActForm):
    name = forms.CharField(
        label=gettext_lazy("Name of the design"),
        help_text=gettext_lazy("One for all vehicles that share axle, linkage and fasteners."),
        max_length=80,
        widget=forms.TextInput(attrs=PLAIN),
        error_messages={"required": gettext_lazy("Give a name that no other design has.")},
    )
    make = forms.CharField(
        label=gettext_lazy("Make"),
        max_length=60,
        widget=forms.TextInput(attrs=PLAIN),
        error_messages={"required": gettext_lazy("Say whose make it is.")},
    )
    toe_low = _side(
        gettext_lazy("Total toe, low side"), gettext_lazy("Like 0 or 1/16 in; toe-out below zero.")
    )
    toe_high = _side(gettext_lazy("Total toe, high side"), gettext_lazy("Like 1/8 in or 3 mm."))
    toe_source = forms.CharField(
        label=gettext_lazy("Where the toe stands"),
        help_text=gettext_lazy("Service information, page. All three may wait."),
        required=False,
        max_length=160,
        widget=forms.TextInput(attrs=PLAIN),
    )
    tie_rod_ahead = forms.BooleanField(
        label=gettext_lazy("The tie rod lies ahead of the axle"), required=False
    )

    def __init__(self, data: Any) -> None:
        super().__init__(data)
        offered = layouts()
        for axis in AXES:
            self.fields[axis.value] = forms.ChoiceField(
                label=LABELS[axis],
                choices=offered[axis],
                widget=forms.RadioSelect,
                error_messages={"required": gettext_lazy("Choose what the vehicle has.")},
            )
        self.order_fields(["name", "make", *(axis.value for axis in AXES)])


@needs("edit_specs")
def design_new(request: HttpRequest) -> HttpResponse:
    form = DesignForm(sent(request))
    sheet = Sheet(
        title=_("New design"),
        button=_("Put the design on file"),
        back=reverse("specs"),
        back_text=_("Specs"),
        said=_("On file. Its torque figures come next."),
        template="spec/design_form.html",
    )

    def verb(ask: Ask) -> Any:
        new = NewDesign(**{each.name: form.cleaned_data[each.name] for each in fields(NewDesign)})
        return add_design(ask.actor, new, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, lambda row: reverse("design", args=[row.pk]))


@needs("view_specs")
def design_page(request: HttpRequest, design_id: int) -> HttpResponse:
    """A design's fasteners in the order of the walk, each with its figure or the way to it."""
    design = in_scope(designs_seen(reader(request)), pk=design_id)
    context = {"figures": design_figures([design])[0]}
    return render(request, "spec/design.html", context)
