"""The demo's plan: hours, a holiday, people's days, a truck away, and the next four weeks planned
by the planner, as the scheduler would have had it this morning."""

from datetime import date, datetime, timedelta
from typing import Any

from fleet.operations.actor import Actor, server_actor
from fleet.operations.demo import inputs
from fleet.operations.plan_days import lock_day
from fleet.operations.plan_hours import NewHours, close_day, set_hours
from fleet.operations.plan_people import NewDays, add_away, add_day_off, set_days
from fleet.operations.plan_runs import ask_for_plan, take_run
from fleet.operations.plan_solve import work_plans
from fleet.operations.plan_visits import pin_visit
from fleet.reads.plan.hours import open_days
from fleet.reads.plan.shared import sharing
from fleet.reads.plan.visits import PLANNED
from fleet.reads.plan.week import plan_of
from fleet.records.models import ClosedDay, Person, PlanRun, Vehicle, Visit, Yard

# The demo does not wait for the best plan, and has the same one on any machine.
ROUNDS = 10
DAYS = 28


def make(today: date, now: datetime) -> None:
    """Set up the plan and have it made; nothing where this demo has no scheduler."""
    scheduler = Person.objects.filter(role="scheduler").first()
    if scheduler is None:
        return
    actor, said = Actor(scheduler, "web"), inputs.read("plan")
    yards = {yard.name: yard for yard in Yard.objects.all()}
    for name, hours in said["hours"].items():
        _hours(actor, yards, name, hours, today, now, said["holiday"])
    for username, days in said["people"].items():
        person = Person.objects.filter(username=username).first()
        if person is not None:
            set_days(actor, person.pk, NewDays(days["minutes"], days.get("skills", ())), at=now)
            for first, last in days.get("off", ()):
                add_day_off(actor, person.pk, today + timedelta(days=first),
                            today + timedelta(days=last), at=now)  # fmt: skip
    away = said["away"]
    truck = Vehicle.objects.filter(unit_number=away["unit"]).first()
    if truck is not None:
        add_away(actor, truck.pk, today + timedelta(days=away["first"]),
                 today + timedelta(days=away["last"]), away["why"], at=now)  # fmt: skip
    planned: set[int] = set()
    for name in said["hours"]:
        if yards[name].pk not in planned:
            planned |= _plan(actor, yards[name], now)
    _pinned_and_locked(actor, yards[next(iter(said["hours"]))], today, now)


def _hours(
    actor: Actor, yards: dict[str, Yard], name: str, said: dict[str, Any], today: date,
    now: datetime, holiday: dict[str, Any],
) -> None:  # fmt: skip
    sent = yards.get(said.get("crew_from", ""))
    week = [tuple(day) if day else None for day in said["week"]]
    new = NewHours(week, sent.pk if sent else None, said.get("travel_minutes", 0))
    set_hours(actor, yards[name].pk, new, at=now)
    day = today + timedelta(days=holiday["day"])
    close_day(actor, yards[name].pk, day, holiday["why"], at=now)


def _plan(actor: Actor, yard: Yard, now: datetime) -> set[int]:
    """Together with the yards that share its people, as the form offers it; returns them all."""
    others = [one.yard.pk for one in sharing(actor.person, yard)]
    asked = ask_for_plan(actor, yard.pk, at=now, days=DAYS, others=others).row
    work_plans(server_actor("command"), at=now, rounds=ROUNDS)
    run = PlanRun.objects.get(pk=asked.pk)
    if run.state == PlanRun.State.PROPOSED and not run.proposal["clashes"]:
        take_run(actor, run.pk, at=now)
    return {yard.pk, *others}


def _pinned_and_locked(actor: Actor, yard: Yard, today: date, now: datetime) -> None:
    """One visit is pinned, and one of the next days is locked: it is kept free on purpose."""
    first = Visit.objects.filter(yard=yard, state=PLANNED).first()
    if first is not None:
        pin_visit(actor, first.pk, pinned=True, at=now)
    days = [today + timedelta(days=n) for n in range(1, 8)]
    closed = dict(ClosedDay.objects.filter(yard=yard).values_list("day", "why"))
    working = [day.day for day in open_days(yard, plan_of(yard), closed, days) if day.minutes]
    lock_day(actor, yard.pk, working[-1], at=now)
