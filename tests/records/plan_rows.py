"""Rows of the plan for the cases of its constraints."""

from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from fleet.records.models import (
    AwayDay,
    ClosedDay,
    DayOff,
    LockedDay,
    PlanRun,
    PlanRunYard,
    Visit,
    VisitPerson,
    VisitWork,
    YardPlan,
)
from tests import build
from tests.build import NOW

TODAY = NOW.date()


@dataclass
class PlanRows:
    """`rows` has a yard, a person, a truck, a joint and a ticket."""

    rows: Any

    def hours(self, **wrong: Any) -> YardPlan:
        return YardPlan.objects.create(yard=self.rows.yard, **wrong)

    def closed(self) -> ClosedDay:
        return ClosedDay.objects.create(yard=self.rows.yard, day=TODAY, why="holiday")

    def off(self, **wrong: Any) -> DayOff:
        return DayOff.objects.create(person=self.rows.who, first=TODAY, **wrong)

    def away(self, **wrong: Any) -> AwayDay:
        return AwayDay.objects.create(vehicle=self.rows.truck, first=TODAY, **wrong)

    def visit(self, **other: Any) -> Visit:
        values = {"day": TODAY, "bay": 1, "minutes": 30, "changed_at": NOW, **other}
        return Visit.objects.create(vehicle=self.rows.truck, yard=self.rows.yard, **values)

    def named_twice(self) -> None:
        visit = self.visit()
        for _each in range(2):
            VisitPerson.objects.create(visit=visit, person=self.rows.who, minutes=30)

    def work(self, **other: Any) -> VisitWork:
        owed = build.recheck(self.rows.truck, self.rows.end)
        return VisitWork.objects.create(visit=self.visit(), recheck=owed, minutes=10, **other)

    def twice_planned(self, *, recheck: bool) -> None:
        owed = build.recheck(self.rows.truck, self.rows.end)
        what: dict[str, Any] = {"recheck": owed} if recheck else {"ticket": self.rows.ticket}
        for number in range(2):
            visit = self.visit(day=TODAY + timedelta(days=number))
            VisitWork.objects.create(visit=visit, minutes=10, **what)

    def locked(self) -> LockedDay:
        return LockedDay.objects.create(yard=self.rows.yard, day=TODAY, by=self.rows.who)

    def run(self, **wrong: Any) -> PlanRun:
        values = {"first": TODAY, "last": TODAY, "asked_at": NOW, **wrong}
        return PlanRun.objects.create(yard=self.rows.yard, asked_by=self.rows.who, **values)

    def over(self, **wrong: Any) -> PlanRunYard:
        """A yard of a run of its own."""
        values = {"run": self.run(), "yard": self.rows.yard, "first": TODAY, **wrong}
        return PlanRunYard.objects.create(**values)

    def over_twice(self) -> None:
        first = self.over(at_work=False)
        self.over(run=first.run, at_work=False)
