"""Visits put on the plan, moved, pinned and taken out by hand. Two schedulers are safe: whoever
comes second is shown what the first did."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import F
from django.utils.translation import gettext as _

from fleet.operations.actor import Actor
from fleet.operations.errors import refuse
from fleet.operations.once import Request
from fleet.operations.plan_crew import (
    bay_for,
    crew_chosen,
    crew_for,
    free_from,
    last_place,
    name_people,
    refuse_elsewhere,
)
from fleet.operations.plan_lock import lock_plan, refuse_day, refuse_locked, vehicle_in_scope
from fleet.operations.work import Done, Work, find, run, same_version
from fleet.reads.plan.crew import Needs, needs_of
from fleet.reads.plan.minutes import Minutes
from fleet.reads.plan.week import HORIZON, to_plan
from fleet.records.models import Recheck, Vehicle, Visit, VisitPerson, VisitWork, YardPlan

PLANNED, CANCELLED = Visit.State.PLANNED, Visit.State.CANCELLED


@dataclass(frozen=True)
class Place:
    """Where a visit goes. Without a bay the one with most room; without people, who can."""

    day: date
    bay: int | None = None
    people: Sequence[int] | None = None
    pinned: bool = True


def plan_visit(
    actor: Actor, vehicle_id: int, where: Place, *, at: datetime, request: Request | None = None
) -> Done[Visit]:
    """Put all that a vehicle owes soon, and that is on no day yet, on one day by hand."""
    actor.need("edit_plan")

    def apply(work: Work) -> Visit:
        vehicle = vehicle_in_scope(work, vehicle_id)
        plan = lock_plan(work, vehicle.yard_id, [vehicle.pk], where.people or ())
        refuse_day(work, plan, where.day, vehicle)
        owed = [row for row in to_plan(plan.yard, where.day, HORIZON) if row.vehicle == vehicle]
        if not owed:
            message = _("%(unit)s owes nothing within four weeks of that day that is not planned.")
            raise refuse("nothing_owed", message % {"unit": vehicle.unit_number})
        same_day = planned_on(vehicle, where.day)
        if same_day is not None:
            _add(same_day, owed)
            return _changed(work, "add_to_visit", same_day, {}, {"rechecks": len(owed)})
        return _put(work, plan, vehicle, where, owed)

    return run("plan_visit", actor, at, apply, request)


def planned_on(vehicle: Vehicle, day: date) -> Visit | None:
    return Visit.objects.filter(vehicle=vehicle, day=day, state=PLANNED).first()


def _put(
    work: Work, plan: YardPlan, vehicle: Vehicle, where: Place, owed: Sequence[Recheck]
) -> Visit:
    minutes = Minutes.now()
    needs = needs_of((minutes.recheck(row) for row in owed), minutes.set_up)
    bay = bay_for(plan, where.day, where.bay)
    crew = _crew(plan, needs, where, [], None)
    visit = Visit.objects.create(
        vehicle=vehicle, yard=plan.yard, day=where.day, bay=bay, minutes=needs.minutes,
        place=last_place(plan, where.day, bay), begins=free_from(plan, where.day, crew),
        pinned=where.pinned, changed_at=work.at,
    )  # fmt: skip
    name_people(visit, crew)
    _works(visit, owed, minutes)
    work.trail("plan_visit", visit, vehicle=vehicle, after=said_of(visit))
    return visit


def _works(visit: Visit, owed: Sequence[Recheck], minutes: Minutes) -> None:
    takes = [minutes.recheck(row) for row in owed]
    VisitWork.objects.bulk_create(
        VisitWork(visit=visit, recheck=row, minutes=one.minutes, hands=one.people)
        for row, one in zip(owed, takes, strict=True)
    )


def _add(visit: Visit, owed: Sequence[Recheck]) -> None:
    """Work on one vehicle is put together: what it owes goes to the visit that it has."""
    minutes = Minutes.now()
    _works(visit, owed, minutes)
    reckon_anew(visit, minutes.set_up)


def reckon_anew(visit: Visit, set_up: int) -> None:
    """What a visit takes, from what it still does."""
    rows = list(VisitWork.objects.filter(visit=visit, live=True))
    pair = sum(row.minutes for row in rows if row.hands > 1)
    visit.minutes = set_up + sum(row.minutes for row in rows)
    named = list(VisitPerson.objects.filter(visit=visit).order_by("-minutes", "pk"))
    for place, person in enumerate(named):
        person.minutes = visit.minutes if place == 0 else pair
    VisitPerson.objects.bulk_update(named, ["minutes"])
    visit.save(update_fields=["minutes"])


def _crew(
    plan: YardPlan, needs: Needs, where: Place, keep: Sequence[int], visit: Visit | None
) -> list[Any]:
    if where.people:
        return crew_chosen(plan, needs, where.day, where.people)
    return crew_for(plan, needs, where.day, keep, visit)


def move_visit(
    actor: Actor, visit_id: int, where: Place, *, at: datetime,
    expected_version: int | None = None, request: Request | None = None,
) -> Done[Visit]:  # fmt: skip
    """Move a visit to a day, a bay, other people. It is pinned there unless told otherwise."""
    actor.need("edit_plan")

    def apply(work: Work) -> Visit:
        visit, plan = lock_visit(work, visit_id, expected_version, where.people or ())
        refuse_locked(plan.yard, visit.day)
        refuse_day(work, plan, where.day, visit.vehicle)
        if where.day != visit.day and planned_on(visit.vehicle, where.day):
            message = _("%(unit)s is planned for that day already. Take one of the two out.")
            said = message % {"unit": visit.vehicle.unit_number}
            raise refuse("planned_that_day", said, field="day")
        before, stood = said_of(visit), as_it_stands(visit)
        bay = bay_for(plan, where.day, _bay(plan, visit, where), visit)
        crew = _crew(plan, needs_now(visit), where, stood["people"], visit)
        if (where.day, bay) != (visit.day, visit.bay):
            visit.place = last_place(plan, where.day, bay, visit)
        visit.begins = free_from(plan, where.day, crew, visit)
        visit.day, visit.bay, visit.pinned, visit.moved_from = where.day, bay, where.pinned, stood
        name_people(visit, crew)
        return _changed(work, "move_visit", visit, before, said_of(visit))

    return run("move_visit", actor, at, apply, request)


def _bay(plan: YardPlan, visit: Visit, where: Place) -> int | None:
    """On the day it has, a visit stays in its bay where none is asked for."""
    if where.bay is None and where.day == visit.day and visit.bay <= plan.yard.bays:
        return visit.bay
    return where.bay


def lock_visit(
    work: Work, visit_id: int, expected: int | None, people: Sequence[int] = ()
) -> tuple[Visit, YardPlan]:
    """A planned visit under the lock of its yard's plan, still as the caller read it."""
    seen = find(Visit, work.actor, visit_id, _("visit"))
    plan = lock_plan(work, seen.yard_id, [seen.vehicle_id], people)
    visit = Visit.objects.select_related("vehicle__yard", "yard").get(pk=seen.pk)
    same_version(visit, expected)
    if visit.state != PLANNED:
        raise refuse("visit_over", _("This visit is no longer planned."))
    return visit, plan


def needs_now(visit: Visit) -> Needs:
    """What the work that a visit still does asks of people."""
    minutes = Minutes.now()
    rows = VisitWork.objects.filter(visit=visit, live=True).select_related("recheck")
    skill = next((s for row in rows if row.recheck and (s := minutes.recheck(row.recheck).skill)),
                 "")  # fmt: skip
    pair = sum(row.minutes for row in rows if row.hands > 1)
    return Needs(visit.minutes, pair, skill)


def as_it_stands(visit: Visit) -> dict[str, Any]:
    """All that undoing a move needs."""
    named = VisitPerson.objects.filter(visit=visit).order_by("-minutes", "pk")
    return {
        "day": visit.day.isoformat(), "bay": visit.bay, "place": visit.place,
        "begins": visit.begins,
        "pinned": visit.pinned, "people": list(named.values_list("person", flat=True)),
        "minutes": list(named.values_list("minutes", flat=True)),
    }  # fmt: skip


def said_of(visit: Visit) -> dict[str, Any]:
    """What the trail says of a visit: names of people stay with people."""
    named = VisitPerson.objects.filter(visit=visit).order_by("person")
    return {
        "day": visit.day.isoformat(), "bay": visit.bay, "pinned": visit.pinned,
        "people": list(named.values_list("person", flat=True)),
    }  # fmt: skip


def _changed(
    work: Work, verb: str, visit: Visit, before: dict[str, Any], after: dict[str, Any],
    *, reason: str = "",
) -> Visit:  # fmt: skip
    """Store a change; a diary that follows the plan knows it by the next sequence number."""
    visit.version, visit.sequence = F("version") + 1, F("sequence") + 1
    visit.changed_at = work.at
    visit.save()
    visit.refresh_from_db()
    was = {name: value for name, value in before.items() if after.get(name) != value}
    now = {name: value for name, value in after.items() if before.get(name) != value}
    work.trail(verb, visit, vehicle=visit.vehicle, before=was, after=now, reason=reason)
    return visit


def pin_visit(
    actor: Actor, visit_id: int, pinned: bool, *, at: datetime,
    expected_version: int | None = None, request: Request | None = None,
) -> Done[Visit]:  # fmt: skip
    """Pin a visit to its day, or let the planner move it again."""
    actor.need("edit_plan")

    def apply(work: Work) -> Visit:
        visit, _plan = lock_visit(work, visit_id, expected_version)
        before = {"pinned": visit.pinned}
        visit.pinned = pinned
        return _changed(work, "pin_visit", visit, before, {"pinned": pinned})

    return run("pin_visit", actor, at, apply, request)


def take_out_visit(
    actor: Actor, visit_id: int, *, at: datetime, expected_version: int | None = None,
    request: Request | None = None,
) -> Done[Visit]:  # fmt: skip
    """Take a visit off the plan. What it would have done stays owed and can be planned again."""
    actor.need("edit_plan")

    def apply(work: Work) -> Visit:
        visit, plan = lock_visit(work, visit_id, expected_version)
        refuse_locked(plan.yard, visit.day)
        return cancel(work, visit, "take_out_visit")

    return run("take_out_visit", actor, at, apply, request)


def cancel(work: Work, visit: Visit, verb: str, reason: str = "") -> Visit:
    VisitWork.objects.filter(visit=visit, live=True).update(live=False)
    before = {"state": visit.state}
    visit.state, visit.moved_from = CANCELLED, None
    return _changed(work, verb, visit, before, {"state": visit.state}, reason=reason)


def undo_move(
    actor: Actor, visit_id: int, *, at: datetime, expected_version: int | None = None,
    request: Request | None = None,
) -> Done[Visit]:  # fmt: skip
    """Put a visit back where it was before its last move, where nothing else came since."""
    actor.need("edit_plan")

    def apply(work: Work) -> Visit:
        visit, plan = lock_visit(work, visit_id, expected_version)
        stood = visit.moved_from
        if not stood:
            raise refuse("nothing_to_undo", _("There is no move to undo any more."))
        day = date.fromisoformat(stood["day"])
        refuse_locked(plan.yard, visit.day)
        refuse_day(work, plan, day, visit.vehicle)
        other = planned_on(visit.vehicle, day)
        if other is not None and other.pk != visit.pk:
            message = _("%(unit)s is planned for that day already. Take one of the two out.")
            raise refuse("planned_that_day", message % {"unit": visit.vehicle.unit_number})
        refuse_elsewhere(plan, day, stood["people"])
        before = said_of(visit)
        visit.day, visit.bay, visit.place = day, stood["bay"], stood["place"]
        visit.pinned, visit.begins, visit.moved_from = stood["pinned"], stood["begins"], None
        VisitPerson.objects.filter(visit=visit).delete()
        VisitPerson.objects.bulk_create(
            VisitPerson(visit=visit, person_id=person, minutes=minutes)
            for person, minutes in zip(stood["people"], stood["minutes"], strict=True)
        )
        return _changed(work, "undo_move", visit, before, said_of(visit))

    return run("undo_move", actor, at, apply, request)
