"""A week's plan in which there are so many of everything."""

from datetime import timedelta
from typing import Any

from fleet.records.models import (
    AwayDay,
    ClosedDay,
    DayOff,
    LockedDay,
    Person,
    PersonPlan,
    PlanRun,
    PlanRunYard,
    Recheck,
    Vehicle,
    Visit,
    VisitPerson,
    VisitWork,
    Yard,
    YardPlan,
)
from tests.build import NOW

TODAY = NOW.date()
OPEN = [["07:00", "15:00"]] * 7


def plan(yard: Yard, vehicle: Vehicle, others: list[Vehicle], by: Person, size: int) -> None:
    YardPlan.objects.create(yard=yard, hours=OPEN)
    _people(yard, size)
    ahead = [TODAY + timedelta(days=30 + n) for n in range(size)]
    ClosedDay.objects.bulk_create(ClosedDay(yard=yard, day=d, why="holiday") for d in ahead)
    LockedDay.objects.bulk_create(LockedDay(yard=yard, day=day, by=by) for day in ahead)
    AwayDay.objects.bulk_create(AwayDay(vehicle=vehicle, first=d, last=d) for d in ahead)
    _visits(yard, [vehicle, *others], size)
    _run(yard, by, size)


def _people(yard: Yard, size: int) -> None:
    crew = list(Person.objects.filter(postings__yard=yard).order_by("id"))
    PersonPlan.objects.bulk_create(PersonPlan(person=who, minutes=[480] * 7) for who in crew)
    DayOff.objects.bulk_create(
        DayOff(person=crew[0], first=TODAY + timedelta(days=n), last=TODAY + timedelta(days=n))
        for n in range(size)
    )


def _visits(yard: Yard, vehicles: list[Vehicle], size: int) -> None:
    """One a vehicle in this week, half of them on days that are over; the last is today's."""
    crew = list(Person.objects.filter(postings__yard=yard).order_by("id"))
    days = [TODAY + timedelta(days=n % 5 - 2) for n in range(len(vehicles))]
    days[0] = TODAY
    rows = Visit.objects.bulk_create(
        Visit(vehicle=one, yard=yard, day=day, bay=1, place=n + 1, minutes=40, changed_at=NOW)
        for n, (one, day) in enumerate(zip(vehicles, days, strict=True))
    )
    VisitPerson.objects.bulk_create(
        VisitPerson(visit=row, person=crew[n % len(crew)], minutes=40) for n, row in enumerate(rows)
    )
    owed: dict[int, Recheck] = {}
    for recheck in Recheck.objects.filter(state="owed").order_by("id"):
        owed.setdefault(recheck.vehicle_id, recheck)
    # Half of what is owed stays on no day.
    VisitWork.objects.bulk_create(
        VisitWork(visit=row, recheck=owed[row.vehicle_id], minutes=20)
        for row in rows[: size // 2 + 1]
    )


def _run(yard: Yard, by: Person, size: int) -> None:
    works: list[dict[str, Any]] = [
        {"vehicle": visit.vehicle_id, "day": str(TODAY + timedelta(days=2)), "bay": 1,
         "place": n, "begins": 0, "people": [[by.pk, 40]],
         "works": [{"recheck": work.recheck_id, "minutes": 20, "hands": 1}
                   for work in visit.works.all()]}
        for n, visit in enumerate(Visit.objects.prefetch_related("works"))
    ]  # fmt: skip
    reason = {"cause": "bays_full", "days": [str(TODAY)], "people": 1, "skills": [], "minutes": 9}
    unplaced = [
        {"work": f"r{pk}", "yard": yard.pk, "reasons": [reason]}
        for pk in Recheck.objects.filter(planned=None, state="owed").values_list("pk", flat=True)
    ]
    late = [
        {"work": one["work"], "yard": yard.pk, "holds": False, "weighed": 0.5, "day": None,
         "due": str(TODAY), "low": None}
        for one in unplaced
    ]  # fmt: skip
    made = PlanRun.objects.bulk_create(
        PlanRun(
            yard=yard, first=TODAY, last=TODAY + timedelta(days=14), asked_by=by, asked_at=NOW,
            state="proposed", best=2.0, bound=1.0, seconds=1.0, ended_at=NOW,
            proposal={"visits": works, "unplaced": unplaced, "clashes": [], "late": late,
                      "read": {str(visit.pk): 0 for visit in Visit.objects.all()}},
        )
        for _n in range(size)
    )  # fmt: skip
    PlanRunYard.objects.bulk_create(
        PlanRunYard(run=run, yard=yard, first=run.first, at_work=False) for run in made
    )
