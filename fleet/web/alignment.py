"""A design's alignment: toe, caster and camber as the maker's service information has them."""

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.operations.alignment_specs import NewAlignment, Sides, set_alignment
from fleet.records.models import Design
from fleet.web.doors import in_scope, needs, reader
from fleet.web.forms import ActForm, Ask, Sheet, form_page, sent
from fleet.web.tool import PLAIN

ANGLES = ("toe", "caster", "camber")
SOURCE = gettext_lazy("Service information, page.")


def _figure(label: Any, hint: Any = "") -> forms.CharField:
    widget = forms.TextInput(attrs=PLAIN)
    return forms.CharField(
        label=label, help_text=hint, max_length=28, required=False, widget=widget
    )


def _source(label: Any) -> forms.CharField:
    widget = forms.TextInput(attrs=PLAIN)
    return forms.CharField(
        label=label, help_text=SOURCE, max_length=160, required=False, widget=widget
    )


class AlignmentForm(ActForm):
    """Both sides of each; what is left empty is off file."""

    toe_low = _figure(
        gettext_lazy("Total toe, low side"), gettext_lazy("Like 0 or 1/16 in; toe-out below zero.")
    )
    toe_high = _figure(gettext_lazy("Total toe, high side"))
    toe_source = _source(gettext_lazy("Where the toe stands"))
    caster_low = _figure(gettext_lazy("Caster, low side, degrees"))
    caster_high = _figure(gettext_lazy("Caster, high side, degrees"))
    caster_source = _source(gettext_lazy("Where the caster stands"))
    camber_low = _figure(gettext_lazy("Camber, low side, degrees"))
    camber_high = _figure(gettext_lazy("Camber, high side, degrees"))
    camber_source = _source(gettext_lazy("Where the camber stands"))

    def sides(self, what: str) -> Sides:
        said = self.cleaned_data
        return Sides(*(said[f"{what}_{part}"] for part in ("low", "high", "source")))


@needs("edit_specs")
def design_alignment(request: HttpRequest, design_id: int) -> HttpResponse:
    design = in_scope(Design.visible_to(reader(request)), pk=design_id)
    form = AlignmentForm(sent(request), initial=_on_file(design))
    back = reverse("specs")
    sheet = Sheet(
        title=_("Alignment: %(design)s") % {"design": design.name},
        button=_("Put it on file"),
        back=back,
        back_text=_("Specs"),
        said=_("On file."),
        template="spec/alignment.html",
    )

    def verb(ask: Ask) -> Any:
        new = NewAlignment(design.pk, **{what: form.sides(what) for what in ANGLES})
        return set_alignment(ask.actor, new, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, lambda _row: back)


def _written(design: Design, what: str) -> str:
    return str(getattr(design, f"{what}_typed")).replace(" to ", " – ")


def _on_file(design: Design) -> dict[str, str]:
    """As it was written, each side in its field."""
    found: dict[str, str] = {}
    for what in ANGLES:
        low, _dash, high = _written(design, what).partition(" – ")
        source = getattr(design, f"{what}_source")
        found |= {f"{what}_low": low, f"{what}_high": high, f"{what}_source": source}
    return found
