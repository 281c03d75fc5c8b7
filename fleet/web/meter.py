"""A meter reading, and the wrong ones taken back."""

from collections.abc import Callable
from functools import partial
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.operations.errors import Refused
from fleet.operations.meter_rules import read_figure
from fleet.operations.meters import Reading, record_meter, withdraw_reading
from fleet.reads.readings import readings
from fleet.reads.usage import usage_of
from fleet.records.models import Vehicle
from fleet.web.about import about_vehicle
from fleet.web.doors import in_scope, needs, page_of, reader
from fleet.web.forms import ActForm, MomentField, Sheet, form_page, sent

MAY_ACCEPT = {"meter_backwards", "meter_too_fast"}
SHOWN = 25


class MeterForm(ActForm):
    """A manager is asked for a reason only once the checks have refused the reading."""

    names = {"meter": "typed"}

    typed = forms.CharField(
        label=gettext_lazy("The meter reads"),
        help_text=gettext_lazy("Like 48210; tenths may be left off."),
        max_length=40,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
        error_messages={"required": gettext_lazy("Type what the meter reads, like 48210.")},
    )
    occurred_at = MomentField()
    new_meter = forms.BooleanField(
        label=gettext_lazy("The meter was replaced: this is the new one's first reading"),
        required=False,
    )
    old_meter = forms.CharField(
        label=gettext_lazy("The old meter stood at"),
        help_text=gettext_lazy("Only when it was replaced. Leave empty if nobody looked."),
        required=False,
        max_length=40,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )

    def __init__(
        self, data: Any, vehicle: Vehicle, *, may_accept: bool = False, **kwargs: Any
    ) -> None:
        super().__init__(data, **kwargs)
        self.vehicle, self.may_accept = vehicle, may_accept
        if may_accept and data is not None and "reason" in data:
            self._ask_reason()

    def readers(self) -> dict[str, Callable[[str], Any]]:
        read = partial(read_figure, self.vehicle)
        return {"typed": read, "old_meter": read}

    def take(self, refusal: Refused) -> None:
        super().take(refusal)
        if self.may_accept and {problem.code for problem in refusal.problems} & MAY_ACCEPT:
            self._ask_reason()

    def _ask_reason(self) -> None:
        self.fields["reason"] = forms.CharField(
            label=_("Accept all the same, because"),
            help_text=_("Only when the meter was read again and really says this."),
            required=False,
            max_length=200,
        )


@needs("record_meter")
@about_vehicle
def meter_new(request: HttpRequest, vehicle: Vehicle) -> HttpResponse:
    person = reader(request)
    may_accept = person.may("accept_reading")
    form = MeterForm(sent(request), vehicle, may_accept=may_accept)
    here = reverse("meter_new", args=[vehicle.unit_number])
    sheet = Sheet(
        title=_("Meter: %(unit)s") % {"unit": vehicle.unit_number},
        button=_("Record the reading"),
        back=reverse("vehicle", args=[vehicle.unit_number]),
        back_text=vehicle.unit_number,
        said=_("Recorded."),
        template="meter/page.html",
        more={
            "vehicle": vehicle,
            "page": page_of(request, readings(person, vehicle), SHOWN),
            "may_accept": may_accept,
            "usage": usage_of(person, vehicle, timezone.now()),
        },
    )

    def verb(ask: Any) -> Any:
        said = form.cleaned_data
        names = ("typed", "occurred_at", "new_meter", "old_meter")
        reading = Reading(
            vehicle.pk, reason=said.get("reason", ""), **{name: said[name] for name in names}
        )
        return record_meter(ask.actor, reading, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, lambda _row: here)


class ReasonForm(ActForm):
    """Something taken back or left undone: only why."""

    reason = forms.CharField(
        label=gettext_lazy("Why"),
        max_length=200,
        error_messages={"required": gettext_lazy("Say why, in a few words.")},
    )


@needs("accept_reading")
@about_vehicle
def meter_withdraw(request: HttpRequest, vehicle: Vehicle, reading_id: int) -> HttpResponse:
    reading = in_scope(readings(reader(request), vehicle), pk=reading_id)
    form = ReasonForm(sent(request))
    back = reverse("meter_new", args=[vehicle.unit_number])
    sheet = Sheet(
        title=_("Withdraw the reading %(typed)s %(unit)s")
        % {"typed": reading.typed, "unit": reading.get_unit_display()},
        button=_("Withdraw it"),
        back=back,
        back_text=_("Meter"),
        note=_("A reading that was typed wrong. It stays on file, struck out, and counts no more."),
        said=_("Withdrawn. It stays on file and counts no more."),
    )

    def verb(ask: Any) -> Any:
        reason = form.cleaned_data["reason"]
        return withdraw_reading(ask.actor, reading.pk, reason, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, lambda _row: back)
