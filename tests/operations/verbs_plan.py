"""The verbs of the plan, for the table in verbs.py."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

from fleet.operations import (
    plan_days,
    plan_hours,
    plan_people,
    plan_runs,
    plan_visits,
)
from fleet.operations.plan_visits import Place
from fleet.records.models import (
    AwayDay,
    ClosedDay,
    DayOff,
    PlanRun,
    PlanRunYard,
    Visit,
    VisitWork,
    YardPlan,
)
from tests import build

Call = Callable[..., Any]
WEEK = [["07:00", "15:00"]] * 7


class Planned:
    """One visit that was moved, a proposal, a day shut, a day off, a day away."""

    def __init__(self, house: Any) -> None:
        day = house.now.date() + timedelta(days=3)
        self.day, who = day, house.technician.person
        YardPlan.objects.create(yard=house.yard, hours=WEEK)
        owed = build.recheck(house.vehicle, house.joint(), 0, ladder="planned",
                             due_on=day, falls_on=day)  # fmt: skip
        stood = {"day": str(day), "bay": 1, "place": 1, "begins": 0, "pinned": False, "people": [],
                 "minutes": []}  # fmt: skip
        self.visit = Visit.objects.create(
            vehicle=house.vehicle, yard=house.yard, day=day, bay=1, minutes=30,
            changed_at=house.now, moved_from=stood,
        )  # fmt: skip
        VisitWork.objects.create(visit=self.visit, recheck=owed, minutes=10)
        self.run = PlanRun.objects.create(
            yard=house.yard, first=day, last=day, asked_by=who, asked_at=house.now,
            state="proposed", proposal={"visits": [], "read": {}, "unplaced": [], "clashes": []},
        )  # fmt: skip
        PlanRunYard.objects.create(run=self.run, yard=house.yard, first=day, at_work=False)
        self.closed = ClosedDay.objects.create(
            yard=house.yard, day=day + timedelta(days=9), why="holiday"
        )
        self.off = DayOff.objects.create(person=who, first=day, last=day)
        self.away = AwayDay.objects.create(vehicle=house.vehicle, first=day + timedelta(days=9),
                                           last=day + timedelta(days=9))  # fmt: skip

    @property
    def place(self) -> Place:
        return Place(self.day + timedelta(days=1))


def _hours() -> plan_hours.NewHours:
    return plan_hours.NewHours([("08:00", "16:00")] * 7)


PLAN: dict[str, tuple[str, Call]] = {
    "plan_visit": ("edit_plan", lambda s, a, **k: plan_visits.plan_visit(
        a, s.house.vehicle.pk, s.plan.place, **s.at, **k)),
    "move_visit": ("edit_plan", lambda s, a, **k: plan_visits.move_visit(
        a, s.plan.visit.pk, s.plan.place, **s.at, **k)),
    "pin_visit": ("edit_plan", lambda s, a, **k: plan_visits.pin_visit(
        a, s.plan.visit.pk, True, **s.at, **k)),
    "take_out_visit": ("edit_plan", lambda s, a, **k: plan_visits.take_out_visit(
        a, s.plan.visit.pk, **s.at, **k)),
    "undo_move": ("edit_plan", lambda s, a, **k: plan_visits.undo_move(
        a, s.plan.visit.pk, **s.at, **k)),
    "lock_day": ("edit_plan", lambda s, a, **k: plan_days.lock_day(
        a, s.house.yard.pk, s.plan.day, **s.at, **k)),
    "unlock_day": ("edit_plan", lambda s, a, **k: plan_days.unlock_day(
        a, s.house.yard.pk, s.plan.day, **s.at, **k)),
    "ask_for_plan": ("edit_plan", lambda s, a, **k: plan_runs.ask_for_plan(
        a, s.house.yard.pk, **s.at, **k)),
    "stop_run": ("edit_plan", lambda s, a, **k: plan_runs.stop_run(
        a, s.plan.run.pk, **s.at, **k)),
    "take_run": ("edit_plan", lambda s, a, **k: plan_runs.take_run(
        a, s.plan.run.pk, **s.at, **k)),
    "leave_run": ("edit_plan", lambda s, a, **k: plan_runs.leave_run(
        a, s.plan.run.pk, **s.at, **k)),
    "set_hours": ("edit_plan", lambda s, a, **k: plan_hours.set_hours(
        a, s.house.yard.pk, _hours(), **s.at, **k)),
    "close_day": ("edit_plan", lambda s, a, **k: plan_hours.close_day(
        a, s.house.yard.pk, s.plan.day, "holiday", **s.at, **k)),
    "open_day": ("edit_plan", lambda s, a, **k: plan_hours.open_day(
        a, s.plan.closed.pk, **s.at)),
    "set_days": ("edit_plan", lambda s, a, **k: plan_people.set_days(
        a, s.house.technician.person.pk, plan_people.NewDays([480] * 7), **s.at, **k)),
    "add_day_off": ("edit_plan", lambda s, a, **k: plan_people.add_day_off(
        a, s.house.technician.person.pk, s.plan.day, s.plan.day, **s.at, **k)),
    "drop_day_off": ("edit_plan", lambda s, a, **k: plan_people.drop_day_off(
        a, s.plan.off.pk, **s.at)),
    "add_away": ("edit_plan", lambda s, a, **k: plan_people.add_away(
        a, s.house.vehicle.pk, s.plan.day, s.plan.day, **s.at, **k)),
    "drop_away": ("edit_plan", lambda s, a, **k: plan_people.drop_away(
        a, s.plan.away.pk, **s.at)),
}  # fmt: skip
