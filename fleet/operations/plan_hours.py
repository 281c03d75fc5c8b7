"""When a yard works: hours by weekday, closed days, and the crew that comes to a far one."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any

from django.db.models import F
from django.utils.translation import gettext as _

from fleet.operations.actor import Actor
from fleet.operations.errors import Problem, Refused, refuse
from fleet.operations.once import Request
from fleet.operations.unique import or_taken
from fleet.operations.work import Done, Work, find, run, same_version
from fleet.records.models import ClosedDay, Yard, YardPlan

WEEK = 7
# A crew that drives for longer than this there and back has no day left.
MOST_TRAVEL = 300
Hours = tuple[str, str] | None


@dataclass(frozen=True)
class NewHours:
    """From Monday on: opens and closes by the yard's clock ("07:30"), or None where it is shut."""

    hours: Sequence[Hours]
    crew_from_id: int | None = None
    travel_minutes: int = 0


def set_hours(
    actor: Actor, yard_id: int, new: NewHours, *, at: datetime,
    expected_version: int | None = None, request: Request | None = None,
) -> Done[YardPlan]:  # fmt: skip
    """Say when a yard works. What is planned already stays where it is and is shown as it fits."""
    actor.need("edit_plan")

    def apply(work: Work) -> YardPlan:
        yard = find(Yard, actor, yard_id, _("yard"))
        Yard.objects.filter(pk=yard.pk).select_for_update().get()
        _refuse_wrong(actor, yard, new)
        plan = YardPlan.objects.filter(yard=yard).first() or YardPlan(yard=yard)
        if plan.pk:
            same_version(plan, expected_version)
        before = {name: getattr(plan, name) for name in ("hours", "crew_from_id",
                                                         "travel_minutes")}  # fmt: skip
        plan.hours = [list(day) if day else None for day in new.hours]
        plan.crew_from_id = new.crew_from_id
        plan.travel_minutes = new.travel_minutes if new.crew_from_id else 0
        plan.version += 1
        plan.save()
        after = {name: getattr(plan, name) for name in before}
        work.trail("set_hours", plan, before=_told(before), after=_told(after))
        return plan

    return run("set_hours", actor, at, apply, request)


def _told(facts: dict[str, Any]) -> dict[str, Any]:
    """Hours as the trail writes them: from Monday on."""
    days = ["-".join(day) if day else "-" for day in facts["hours"]]
    return {**facts, "hours": ", ".join(days)}


def _refuse_wrong(actor: Actor, yard: Yard, new: NewHours) -> None:
    found = [problem for n, day in enumerate(new.hours) if (problem := _wrong_day(n, day))]
    if len(new.hours) != WEEK:
        found.append(Problem("hours_wrong", _("Send seven days, from Monday on."), field="hours"))
    elif not any(new.hours):
        message = _("Give the hours of at least one day.")
        found.append(Problem("hours_missing", message, field="hours"))
    sent = new.crew_from_id
    seen = sent is None or Yard.visible_to(actor.person).filter(pk=sent).exists()
    if not seen or sent == yard.pk:
        message = _("Choose another yard of yours that the crew comes from.")
        found.append(Problem("yard_wrong", message, field="crew_from"))
    if not 0 <= new.travel_minutes <= MOST_TRAVEL:
        message = _("Type the minutes of one way, from 0 to %(most)s.") % {"most": MOST_TRAVEL}
        found.append(Problem("travel_wrong", message, field="travel_minutes"))
    if found:
        raise Refused(tuple(found))


def _wrong_day(number: int, day: Hours) -> Problem | None:
    if day is None:
        return None
    try:
        opens, closes = (time.fromisoformat(clock) for clock in day)
    except ValueError:
        message = _("Type hours like 07:30 and 16:00.")
        return Problem("hours_wrong", message, field=f"hours.{number}")
    if opens >= closes:
        message = _("It has to close after it opens.")
        return Problem("hours_wrong", message, field=f"hours.{number}")
    return None


def close_day(
    actor: Actor, yard_id: int, day: date, why: str, *, at: datetime,
    request: Request | None = None,
) -> Done[ClosedDay]:  # fmt: skip
    """A holiday, or another day on which the yard is shut."""
    actor.need("edit_plan")

    def apply(work: Work) -> ClosedDay:
        yard = find(Yard, actor, yard_id, _("yard"))
        if not why.strip():
            raise refuse("why_missing", _("Say why it is shut, like a holiday."), field="why")
        taken = Problem("day_taken", _("The yard is shut on that day already."), field="day")
        with or_taken(taken):
            row = ClosedDay.objects.create(yard=yard, day=day, why=why.strip()[:80])
        _moved(yard)
        work.trail("close_day", row, after={"day": day.isoformat(), "why": row.why})
        return row

    return run("close_day", actor, at, apply, request)


def open_day(actor: Actor, closed_id: int, *, at: datetime) -> Done[Yard]:
    """The yard works on that day after all."""
    actor.need("edit_plan")

    def apply(work: Work) -> Yard:
        row = find(ClosedDay, actor, closed_id, _("closed day"))
        yard = row.yard
        work.trail("open_day", row, before={"day": row.day.isoformat(), "why": row.why})
        row.delete()
        _moved(yard)
        return yard

    return run("open_day", actor, at, apply)


def _moved(yard: Yard) -> None:
    YardPlan.objects.filter(yard=yard).update(version=F("version") + 1)


__all__ = ["NewHours", "close_day", "open_day", "set_hours"]
