"""A read-over release as the manager takes it: the code typed in, the reply read back."""

from typing import Any

from django import forms
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.operations.read_over import Heard, lasts_hours, take_read_over
from fleet.operations.work import Done
from fleet.reads import tablets as reads
from fleet.records.models import Person, ReadOver, Vehicle
from fleet.web.doors import in_scope, needs, reader
from fleet.web.forms import ActForm, Ask, Sheet, form_page, sent

DIGITS = {"inputmode": "numeric", "autocomplete": "off", "class": "code"}


class ReadOverForm(ActForm):
    names = {"vehicle": "vehicle", "checker": "checker", "code": "code"}

    vehicle: Any = forms.ModelChoiceField(
        label=gettext_lazy("Vehicle"), queryset=None,
        help_text=gettext_lazy("One with an open ticket, at a yard that has a tablet."),
        error_messages={"required": gettext_lazy("Choose the vehicle that they name.")},
    )  # fmt: skip
    worker: Any = forms.ModelChoiceField(
        label=gettext_lazy("Who did the work"), queryset=None,
        error_messages={"required": gettext_lazy("Choose who did the work.")},
    )  # fmt: skip
    checker: Any = forms.ModelChoiceField(
        label=gettext_lazy("Who made the second check"), queryset=None,
        error_messages={"required": gettext_lazy("Choose who made the second check.")},
    )  # fmt: skip
    code = forms.CharField(
        label=gettext_lazy("The ten digits"),
        help_text=gettext_lazy("As they are read to you, with or without spaces."),
        max_length=20,
        widget=forms.TextInput(attrs=DIGITS),
        error_messages={"required": gettext_lazy("Type the ten digits that stand on the tablet.")},
    )

    def __init__(self, data: Any, vehicles: QuerySet[Vehicle], people: QuerySet[Person]) -> None:
        super().__init__(data)
        fields: Any = self.fields
        fields["vehicle"].queryset = vehicles
        fields["worker"].queryset = fields["checker"].queryset = people

    def heard(self) -> Heard:
        said = self.cleaned_data
        return Heard(said["vehicle"].pk, said["worker"].pk, said["checker"].pk, said["code"])


@needs("lift_hold")
def read_over_new(request: HttpRequest) -> HttpResponse:
    who = reader(request)
    form = ReadOverForm(sent(request), reads.vehicles_to_read_over(who), reads.who_signs(who))
    sheet = Sheet(
        title=_("Read-over release"), button=_("Enter the code"), back=reverse("tablets"),
        back_text=_("Tablets"), grave=True,
        note=_(
            "For a yard without network: work complete, second check made on the floor, wheels "
            "chocked. The vehicle is out for %(hours)s hours; without the record it is held again. "
            "Manufacturer's service information and local rules govern."
        ) % {"hours": f"{lasts_hours():g}"},
    )  # fmt: skip

    def verb(ask: Ask) -> Done[Any]:
        return take_read_over(ask.actor, form.heard(), at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, lambda row: reverse("read_over", args=[row.pk]))


@needs("lift_hold")
def read_over_page(request: HttpRequest, read_over_id: int) -> HttpResponse:
    row: ReadOver = in_scope(reads.read_overs(reader(request)), pk=read_over_id)
    return render(request, "tablets/read_over.html", {"row": row, "reply": _grouped(row.reply)})


def _grouped(digits: str) -> str:
    """Three by three, as they are read."""
    return " ".join(digits[start : start + 3] for start in range(0, len(digits), 3))
