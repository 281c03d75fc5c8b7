"""People's days and skills, days off, and days on which a vehicle is away."""

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.dates import WEEKDAYS
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.operations.plan_people import (
    NewDays,
    add_away,
    add_day_off,
    drop_away,
    drop_day_off,
    set_days,
)
from fleet.reads.plan.set_up import colleagues, days_away, days_off
from fleet.records.models import Person, Skill, Vehicle
from fleet.web.about import about_vehicle
from fleet.web.doors import in_scope, needs, reader, yards
from fleet.web.forms import ActForm, Ask, Sheet, form_page, sent
from fleet.web.plan_doors import pressed
from fleet.web.plan_set_up import A_DAY, set_up_address

DAYS = range(7)
USUAL, SATURDAY = 360, 5
MOST = 24 * 60


def _back(request: HttpRequest, person: Person) -> str:
    """To what the plan of their yard stands on; of somebody of all yards, of the first."""
    mine = yards(request)
    posted = {posting.yard_id for posting in person.postings.all()}
    here = next((yard for yard in mine if yard.pk in posted), mine[0] if mine else None)
    return set_up_address(here) if here else reverse("plan")


class DaysForm(ActForm):
    names = {f"minutes.{day}": f"day_{day}" for day in DAYS}

    def __init__(self, data: Any, **more: Any) -> None:
        super().__init__(data, **more)
        for day in DAYS:
            self.fields[f"day_{day}"] = forms.IntegerField(
                label=str(WEEKDAYS[day]), min_value=0, max_value=MOST, required=False,
                widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
                error_messages={"invalid": _("Type minutes as a whole number, like 360.")},
            )  # fmt: skip
        self.fields["skills"] = forms.MultipleChoiceField(
            label=_("Beside their role"), choices=Skill.choices, required=False,
            widget=forms.CheckboxSelectMultiple,
        )  # fmt: skip

    def said(self) -> NewDays:
        said = self.cleaned_data
        return NewDays([said[f"day_{day}"] or 0 for day in DAYS], said["skills"])


@needs("edit_plan")
def plan_person(request: HttpRequest, person_id: int) -> HttpResponse:
    person = in_scope(colleagues(reader(request)), pk=person_id)
    plan = getattr(person, "plan", None)
    minutes = plan.minutes if plan else [USUAL if day < SATURDAY else 0 for day in DAYS]
    stands: dict[str, Any] = {f"day_{day}": minutes[day] for day in DAYS}
    stands["skills"] = plan.skills if plan else []
    form = DaysForm(sent(request), version=plan.version if plan else None, initial=stands)
    back = _back(request, person)
    sheet = Sheet(
        title=_("Days of %(who)s") % {"who": person.name}, button=_("Keep"), back=back,
        back_text=_("What the plan stands on"), said=_("On file."),
        note=_(
            "Minutes of front-end work on each day of the week; 0 or empty where they are not "
            "there for it."
        ),
    )  # fmt: skip

    def verb(ask: Ask) -> Any:
        version = form.cleaned_data["version"]
        return set_days(ask.actor, person.pk, form.said(), at=ask.at, expected_version=version,
                        request=ask.request)  # fmt: skip

    return form_page(request, form, sheet, verb, lambda _row: back)


class SpanForm(ActForm):
    first = forms.DateField(
        label=gettext_lazy("First day"), error_messages=A_DAY,
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
    )  # fmt: skip
    last = forms.DateField(
        label=gettext_lazy("Last day"), error_messages=A_DAY,
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
    )  # fmt: skip


class AwayForm(SpanForm):
    why = forms.CharField(label=gettext_lazy("Where to"), max_length=80, required=False)


@needs("edit_plan")
def plan_off(request: HttpRequest, person_id: int) -> HttpResponse:
    person = in_scope(colleagues(reader(request)), pk=person_id)
    form, back = SpanForm(sent(request)), _back(request, person)
    sheet = Sheet(
        title=_("Days off of %(who)s") % {"who": person.name}, button=_("Keep"), back=back,
        back_text=_("What the plan stands on"), said=_("On file."),
    )  # fmt: skip

    def verb(ask: Ask) -> Any:
        said = form.cleaned_data
        return add_day_off(ask.actor, person.pk, said["first"], said["last"], at=ask.at,
                           request=ask.request)  # fmt: skip

    return form_page(request, form, sheet, verb, lambda _row: back)


@needs("edit_plan")
def plan_off_drop(request: HttpRequest, off_id: int) -> HttpResponse:
    row = in_scope(days_off(reader(request)), pk=off_id)
    back = _back(request, row.person)

    def verb(ask: Ask, _version: int | None) -> Any:
        return drop_day_off(ask.actor, row.pk, at=ask.at)

    return pressed(request, verb, lambda _row: back, back, _("They are there on those days."))


@needs("edit_plan")
@about_vehicle
def plan_away(request: HttpRequest, vehicle: Vehicle) -> HttpResponse:
    form, back = AwayForm(sent(request)), set_up_address(vehicle.yard)
    sheet = Sheet(
        title=_("%(unit)s is away") % {"unit": vehicle.unit_number}, button=_("Keep"), back=back,
        back_text=_("What the plan stands on"), said=_("On file."),
        note=_("Nothing is planned for it on these days."),
    )  # fmt: skip

    def verb(ask: Ask) -> Any:
        said = form.cleaned_data
        return add_away(ask.actor, vehicle.pk, said["first"], said["last"], said["why"],
                        at=ask.at, request=ask.request)  # fmt: skip

    return form_page(request, form, sheet, verb, lambda _row: back)


@needs("edit_plan")
def plan_away_drop(request: HttpRequest, away_id: int) -> HttpResponse:
    row = in_scope(days_away(reader(request)), pk=away_id)
    back = set_up_address(row.vehicle.yard)

    def verb(ask: Ask, _version: int | None) -> Any:
        return drop_away(ask.actor, row.pk, at=ask.at)

    return pressed(request, verb, lambda _row: back, back, _("It is there on those days."))
