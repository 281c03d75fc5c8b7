"""What a yard's plan is made against: hours, closed days, people's days, vehicles' days away."""

from datetime import time
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.dates import WEEKDAYS
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.operations.plan_hours import (
    MOST_TRAVEL,
    NewHours,
    close_day,
    open_day,
    set_hours,
)
from fleet.reads.plan.set_up import closed_days, plan_set_up
from fleet.reads.plan.week import plan_of
from fleet.records.models import Yard
from fleet.web.doors import in_scope, needs, reader, yards
from fleet.web.forms import ActForm, Ask, Sheet, form_page, offer, sent
from fleet.web.plan_doors import about_yard, pressed

DAYS = range(7)
USUAL = ("07:30", "16:00")
A_DAY = dict.fromkeys(("required", "invalid"), gettext_lazy("Choose a day, like 2026-11-30."))


def set_up_address(yard: Yard) -> str:
    return reverse("plan_set_up", args=[yard.slug])


@needs("edit_plan")
@about_yard
def set_up_page(request: HttpRequest, yard: Yard) -> HttpResponse:
    context = {"set_up": plan_set_up(yard, timezone.now()), "yard": yard, "yards": yards(request)}
    return render(request, "plan/set_up.html", context)


class HoursForm(ActForm):
    """Two clocks a day; both empty where the yard is shut."""

    names = {"crew_from": "crew_from", **{f"hours.{day}": f"opens_{day}" for day in DAYS}}

    def __init__(self, data: Any, others: list[Yard], **more: Any) -> None:
        super().__init__(data, **more)
        for day in DAYS:
            self.fields[f"opens_{day}"] = _clock(_("Opens"))
            self.fields[f"closes_{day}"] = _clock(_("Closes"))
        self.fields["crew_from"] = forms.TypedChoiceField(
            label=_("A crew may come from"), coerce=int, empty_value=None, required=False,
            help_text=_("For a yard with too few people of its own."),
        )  # fmt: skip
        offer(self, "crew_from", [("", _("no other yard")), *((y.pk, y.name) for y in others)])
        self.fields["travel_minutes"] = forms.IntegerField(
            label=_("Their drive, one way, minutes"), min_value=0, max_value=MOST_TRAVEL,
            required=False, widget=forms.TextInput(attrs={"inputmode": "numeric"}),
            error_messages={"invalid": _("Type minutes as a whole number, like 75.")},
        )  # fmt: skip

    @property
    def days(self) -> list[tuple[Any, Any, Any]]:
        """Each day of the week with its two clocks."""
        return [(WEEKDAYS[day], self[f"opens_{day}"], self[f"closes_{day}"]) for day in DAYS]

    @property
    def crew(self) -> list[Any]:
        return [self["crew_from"], self["travel_minutes"]]

    def clean(self) -> dict[str, Any] | None:
        said = super().clean() or {}
        for day in DAYS:
            if bool(said.get(f"opens_{day}")) != bool(said.get(f"closes_{day}")):
                missing = f"closes_{day}" if said.get(f"opens_{day}") else f"opens_{day}"
                if missing not in self.errors:
                    self.add_error(missing, _("Type both clocks, or leave both empty."))
        return said

    def said(self) -> NewHours:
        said = self.cleaned_data
        clocks = [(said[f"opens_{day}"], said[f"closes_{day}"]) for day in DAYS]
        hours = [(_hm(a), _hm(b)) if a and b else None for a, b in clocks]
        return NewHours(hours, said["crew_from"], said["travel_minutes"] or 0)


def _clock(label: str) -> forms.TimeField:
    return forms.TimeField(
        label=label, required=False, input_formats=["%H:%M"],
        widget=forms.TimeInput({"type": "time"}, format="%H:%M"),
        error_messages={"invalid": _("Type a clock of 24 hours, like 07:30.")},
    )  # fmt: skip


def _hm(clock: time) -> str:
    return clock.strftime("%H:%M")


@needs("edit_plan")
@about_yard
def plan_hours(request: HttpRequest, yard: Yard) -> HttpResponse:
    plan = plan_of(yard)
    hours = plan.hours if plan else [USUAL if day in yard.working_days else None for day in DAYS]
    stands: dict[str, Any] = {
        "crew_from": plan.crew_from_id if plan else "",
        "travel_minutes": plan.travel_minutes if plan else 0,
    }
    for day, said in enumerate(hours):
        stands[f"opens_{day}"], stands[f"closes_{day}"] = said or ("", "")
    others = [each for each in yards(request) if each != yard]
    form = HoursForm(sent(request), others, version=plan.version if plan else None, initial=stands)
    sheet = Sheet(
        title=_("Hours of %(yard)s") % {"yard": yard.name}, button=_("Keep"),
        back=set_up_address(yard), back_text=_("What the plan stands on"), said=_("On file."),
        template="plan/hours.html",
        note=_("By the yard's own clock. A day with both clocks empty is shut."),
    )  # fmt: skip

    def verb(ask: Ask) -> Any:
        version = form.cleaned_data["version"]
        return set_hours(ask.actor, yard.pk, form.said(), at=ask.at, expected_version=version,
                         request=ask.request)  # fmt: skip

    return form_page(request, form, sheet, verb, lambda _row: set_up_address(yard))


class ClosedForm(ActForm):
    day = forms.DateField(
        label=gettext_lazy("Day"), error_messages=A_DAY,
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
    )  # fmt: skip
    why = forms.CharField(
        label=gettext_lazy("Why"), max_length=80,
        help_text=gettext_lazy("As it shall stand on the day sheet: a holiday, an inventory."),
        error_messages={"required": gettext_lazy("Say why it is shut, like a holiday.")},
    )  # fmt: skip


@needs("edit_plan")
@about_yard
def plan_closed(request: HttpRequest, yard: Yard) -> HttpResponse:
    form = ClosedForm(sent(request))
    sheet = Sheet(
        title=_("A day on which %(yard)s is shut") % {"yard": yard.name}, button=_("Keep"),
        back=set_up_address(yard), back_text=_("What the plan stands on"), said=_("On file."),
    )  # fmt: skip

    def verb(ask: Ask) -> Any:
        said = form.cleaned_data
        return close_day(ask.actor, yard.pk, said["day"], said["why"], at=ask.at,
                         request=ask.request)  # fmt: skip

    return form_page(request, form, sheet, verb, lambda _row: set_up_address(yard))


@needs("edit_plan")
def plan_closed_drop(request: HttpRequest, closed_id: int) -> HttpResponse:
    row = in_scope(closed_days(reader(request)), pk=closed_id)

    def verb(ask: Ask, _version: int | None) -> Any:
        return open_day(ask.actor, row.pk, at=ask.at)

    back = set_up_address(row.yard)
    return pressed(request, verb, lambda _row: back, back, _("The yard works on that day."))
