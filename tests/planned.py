"""A yard ready to be planned: hours, people's days, trucks that owe something."""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from fleet.operations.actor import Actor, server_actor
from fleet.operations.plan_hours import NewHours, set_hours
from fleet.operations.plan_people import NewDays, set_days
from fleet.operations.plan_runs import ask_for_plan
from fleet.operations.plan_solve import work_plans
from fleet.operations.plan_visits import Place, plan_visit
from fleet.operations.reference import load_reference
from fleet.records.models import Person, PlanRun, Posting, Recheck, Rule, Vehicle, Visit, Yard
from tests import build, people

NOW = build.NOW
# NOW is a Wednesday: the days after it.
THURSDAY, FRIDAY, MONDAY = (NOW.date() + timedelta(days=n) for n in (1, 2, 5))
SATURDAY = NOW.date() + timedelta(days=3)
WEEK = (("07:00", "15:00"),) * 5 + (None, None)
FULL = [480] * 5 + [0, 0]


class Ground:
    """Alder with one bay, a technician, a colleague and a scheduler."""

    def __init__(self, **yard: Any) -> None:
        if not Rule.objects.filter(kind="minutes").exists():
            load_reference(server_actor("command"), at=NOW)
        self.now = NOW
        self.yard: Yard = build.yard("Alder", **yard)
        self.technician: Person = people.technician(self.yard)
        self.colleague: Person = people.colleague(self.yard)
        self.scheduler = Actor(people.scheduler())
        self.hours()
        for who in (self.technician, self.colleague):
            self.days(who)

    @property
    def at(self) -> dict[str, Any]:
        return {"at": self.now}

    def hours(self, week: Any = WEEK, **more: Any) -> None:
        set_hours(self.scheduler, self.yard.pk, NewHours(week, **more), **self.at)

    def days(self, who: Person, minutes: Any = None, *skills: str) -> None:
        set_days(self.scheduler, who.pk, NewDays(minutes or FULL, skills), **self.at)

    def other(
        self, name: str = "Birch", *posted: Person, week: Any = WEEK, crew: Yard | None = None,
        drive: int = 0, **yard: Any,
    ) -> Yard:  # fmt: skip
        """Another yard with hours: people of Alder are posted to it too, or it is sent a crew."""
        made = build.yard(name, **yard)
        new = NewHours(week, crew.pk if crew else None, drive)
        set_hours(self.scheduler, made.pk, new, **self.at)
        Posting.objects.bulk_create(Posting(person=who, yard=made) for who in posted)
        return made

    def truck(
        self, unit: str = "A-101", due_in: int = 3, at: Yard | None = None, **more: Any
    ) -> Vehicle:
        """A truck that owes one retorque, not on a joint that holds."""
        truck = build.vehicle(at or self.yard, unit)
        self.owe(truck, due_in, **more)
        return truck

    def owe(self, truck: Vehicle, due_in: int = 3, joint: str = "", **more: Any) -> Recheck:
        on = build.joint(truck, joint or "damper_frame_end")
        return build.recheck(truck, on, due_in, **{"methods": ["wrench"], **more})

    def plan(self, truck: Vehicle, day: date = FRIDAY, **where: Any) -> Visit:
        place = Place(day, **{"pinned": False, **where})
        return plan_visit(self.scheduler, truck.pk, place, **self.at).row

    def run(
        self, first: date | None = None, days: int = 7, seconds: float = 0.3,
        others: Sequence[Yard] = (), yard: Yard | None = None,
    ) -> PlanRun:  # fmt: skip
        """Asked for, and worked off as the work process does."""
        asked = ask_for_plan(
            self.scheduler, (yard or self.yard).pk, first=first, days=days,
            others=[each.pk for each in others], **self.at,
        ).row  # fmt: skip
        work_plans(server_actor(), at=self.now, seconds=seconds)
        return PlanRun.objects.get(pk=asked.pk)


def visit_of(truck: Vehicle) -> Visit:
    """Its one planned visit."""
    return Visit.objects.get(vehicle=truck, state="planned")
