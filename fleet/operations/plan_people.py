"""When people are there, what they can do beside their role, and when vehicles are away."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.utils.translation import gettext as _

from fleet.operations.actor import Actor
from fleet.operations.errors import Problem, Refused, refuse
from fleet.operations.once import Request
from fleet.operations.work import Done, Work, find, not_there, run, same_version
from fleet.records.models import AwayDay, DayOff, Person, PersonPlan, Skill, Vehicle

WEEK = 7
MOST_MINUTES = 24 * 60
LONGEST = 366


@dataclass(frozen=True)
class NewDays:
    """Minutes of front-end work by weekday, from Monday on, and skills (`Skill`)."""

    minutes: Sequence[int]
    skills: Sequence[str] = ()


def set_days(
    actor: Actor, person_id: int, new: NewDays, *, at: datetime,
    expected_version: int | None = None, request: Request | None = None,
) -> Done[PersonPlan]:  # fmt: skip
    """Say how many minutes a person gives to front-end work on each weekday."""
    actor.need("edit_plan")

    def apply(work: Work) -> PersonPlan:
        person = _person(actor, person_id)
        _refuse_wrong(new)
        plan = PersonPlan.objects.filter(person=person).first() or PersonPlan(person=person)
        if plan.pk:
            same_version(plan, expected_version)
        before = {"minutes": _told(plan.minutes), "skills": ", ".join(plan.skills)}
        plan.minutes, plan.skills = list(new.minutes), sorted(set(new.skills))
        plan.version += 1
        plan.save()
        after = {"minutes": _told(plan.minutes), "skills": ", ".join(plan.skills)}
        work.trail("set_days", plan, before=before, after=after)
        return plan

    return run("set_days", actor, at, apply, request)


def _person(actor: Actor, person_id: int) -> Person:
    """Locked: whoever is named for work meanwhile waits for it."""
    seen = Person.visible_to(actor.person).filter(pk=person_id, is_active=True).first()
    if seen is None:
        raise not_there(_("person"))
    return Person.objects.select_for_update().get(pk=seen.pk)


def _told(minutes: Sequence[int]) -> str:
    return ", ".join(str(one) for one in minutes)


def _refuse_wrong(new: NewDays) -> None:
    found = []
    if len(new.minutes) != WEEK:
        message = _("Send seven days, from Monday on.")
        found.append(Problem("minutes_wrong", message, field="minutes"))
    for number, minutes in enumerate(new.minutes):
        if not 0 <= minutes <= MOST_MINUTES:
            message = _("Type minutes, from 0 to 1440.")
            found.append(Problem("minutes_wrong", message, field=f"minutes.{number}"))
    if set(new.skills) - set(Skill.values):
        message = _("Choose from the list.")
        found.append(Problem("skill_unknown", message, field="skills"))
    if found:
        raise Refused(tuple(found))


def add_day_off(
    actor: Actor, person_id: int, first: date, last: date, *, at: datetime,
    request: Request | None = None,
) -> Done[DayOff]:  # fmt: skip
    """A person is not there from one day to another, both among them."""
    actor.need("edit_plan")

    def apply(work: Work) -> DayOff:
        person = _person(actor, person_id)
        _refuse_span(first, last)
        row = DayOff.objects.create(person=person, first=first, last=last)
        work.trail("add_day_off", row, after={"first": str(first), "last": str(last)})
        return row

    return run("add_day_off", actor, at, apply, request)


def drop_day_off(actor: Actor, day_off_id: int, *, at: datetime) -> Done[Person]:
    """They are there after all."""
    actor.need("edit_plan")

    def apply(work: Work) -> Person:
        row = find(DayOff, actor, day_off_id, _("day off"))
        before = {"first": str(row.first), "last": str(row.last)}
        work.trail("drop_day_off", row, before=before)
        person = row.person
        row.delete()
        return person

    return run("drop_day_off", actor, at, apply)


def _refuse_span(first: date, last: date) -> None:
    if last < first:
        message = _("The last day comes before the first.")
        raise refuse("span_wrong", message, field="last")
    if (last - first).days > LONGEST:
        message = _("Longer than a year. Type the last day again.")
        raise refuse("span_wrong", message, field="last")


def add_away(
    actor: Actor, vehicle_id: int, first: date, last: date, why: str = "", *, at: datetime,
    request: Request | None = None,
) -> Done[AwayDay]:  # fmt: skip
    """A vehicle is not to be had from one day to another, both among them."""
    actor.need("edit_plan")

    def apply(work: Work) -> AwayDay:
        vehicle = find(Vehicle, actor, vehicle_id, _("vehicle"))
        _refuse_span(first, last)
        row = AwayDay.objects.create(vehicle=vehicle, first=first, last=last,
                                     why=why.strip()[:80])  # fmt: skip
        after = {"first": str(first), "last": str(last), "why": row.why}
        work.trail("add_away", row, vehicle=vehicle, after=after)
        return row

    return run("add_away", actor, at, apply, request)


def drop_away(actor: Actor, away_id: int, *, at: datetime) -> Done[Vehicle]:
    """It is there after all."""
    actor.need("edit_plan")

    def apply(work: Work) -> Vehicle:
        row = find(AwayDay, actor, away_id, _("days away"))
        vehicle = row.vehicle
        before = {"first": str(row.first), "last": str(row.last), "why": row.why}
        work.trail("drop_away", row, vehicle=vehicle, before=before)
        row.delete()
        return vehicle

    return run("drop_away", actor, at, apply)
