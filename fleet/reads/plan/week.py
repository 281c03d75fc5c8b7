"""A yard's week as a ruled day sheet: each day by bay, its load, and what is not planned."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import Exists, OuterRef, QuerySet
from django.utils import timezone

from fleet.reads.days import today_at
from fleet.reads.due import with_all_shown
from fleet.reads.plan.hours import WEEK, Day, days_from, open_days, week_of
from fleet.reads.plan.minutes import Minutes, together
from fleet.reads.plan.people import Hand, hands_of
from fleet.reads.plan.visits import (
    PLANNED,
    Names,
    Task,
    VisitLine,
    crew_of,
    lines_of_day,
    task_of,
    visits,
    warrants_hold,
)
from fleet.reads.plan.why import in_words
from fleet.records.holds import keeping_in
from fleet.records.models import (
    ClosedDay,
    Hold,
    LockedDay,
    Person,
    PlanRun,
    Recheck,
    Role,
    Vehicle,
    Visit,
    VisitWork,
    Yard,
    YardPlan,
)

# What falls due within so many days of today is to be planned.
HORIZON = 28


@dataclass(frozen=True)
class Load:
    """Minutes planned of those there are."""

    used: int
    there: int

    @property
    def share(self) -> float:
        return min(self.used / self.there, 1.0) if self.there else float(self.used > 0)

    @property
    def over(self) -> bool:
        return self.used > self.there

    @property
    def hundred(self) -> int:
        """As wide as the ruled bar is drawn, of a hundred."""
        return round(self.share * 100)


@dataclass(frozen=True)
class PersonLoad:
    person: Person
    load: Load
    elsewhere: str = ""


@dataclass(frozen=True)
class Sheet:
    """One day of a yard."""

    day: Day
    bays: Sequence[tuple[int, Sequence[VisitLine]]]
    bay_load: Load
    people: Sequence[PersonLoad]
    locked: bool
    past: bool
    today: bool

    @property
    def takes(self) -> bool:
        """Whether a visit may be put on it."""
        return bool(self.day.minutes) and not self.locked and not self.past

    @property
    def lines(self) -> list[VisitLine]:
        return [line for _bay, lines in self.bays for line in lines]


@dataclass(frozen=True)
class Unplanned:
    """A vehicle with work that falls due soon and is on no day of the plan."""

    vehicle: Vehicle
    tasks: Sequence[Task]
    falls_on: date
    minutes: int
    late: bool
    held: bool
    # Why the last run of the planner found no day for it.
    reasons: Sequence[str] = ()

    @property
    def holds(self) -> bool:
        return any(task.holds for task in self.tasks)


@dataclass(frozen=True)
class Week:
    yard: Yard
    plan: YardPlan | None
    first: date
    today: date
    sheets: Sequence[Sheet]
    # Planned for a day that is over, and not done.
    left_over: Sequence[VisitLine]
    unplanned: Sequence[Unplanned]
    hands: Sequence[Hand]
    run: PlanRun | None
    # The other yards of that run, and whether the reader may open it: they see all of its yards.
    run_with: Sequence[Yard] = ()
    run_opens: bool = False

    @property
    def before(self) -> date:
        return self.first - timedelta(days=WEEK)

    @property
    def after(self) -> date:
        return self.first + timedelta(days=WEEK)

    @property
    def last(self) -> date:
        return self.sheets[-1].day.day

    @property
    def lacks_hours(self) -> bool:
        return self.plan is None or not any(self.plan.hours)

    @property
    def lacks_people(self) -> bool:
        return not any(hand.plan and any(hand.plan.minutes) for hand in self.hands)

    @property
    def empty(self) -> bool:
        return not any(sheet.lines for sheet in self.sheets)


def plan_of(yard: Yard) -> YardPlan | None:
    """Its hours, where they are on file."""
    return YardPlan.objects.filter(yard=yard).select_related("crew_from").first()


def week(person: Person, yard: Yard, first: date | None, now: datetime, days: int = WEEK) -> Week:
    """The days from `first` on, or the week in which the yard next works.

    The number of queries does not grow with what is planned.
    """
    plan, today, names = plan_of(yard), today_at(yard, now), Names.now()
    first = first or week_of(next_working(plan, today))
    wanted = days_from(first, days)
    rows = visits(person).filter(yard=yard, state=PLANNED)
    here = list(rows.filter(day__range=(wanted[0], wanted[-1])))
    own = person.role == Role.TECHNICIAN
    hands = [] if own else hands_of(yard, plan)
    sheets = _sheets(yard, plan, wanted, today, here, names, hands)
    past = [] if own else list(rows.filter(day__lt=min(today, wanted[0])))
    left = [
        line
        for visit in past
        for lines in lines_of_day(Day(visit.day), [visit], names).values()
        for line in lines
    ]
    run = None if own else _last_run(person, yard)
    open_ = [] if own else unplanned(yard, today, names, run)
    others = [each for each in run.yards.all() if each != yard] if run else []
    opens = bool(getattr(run, "opens", False))
    return Week(yard, plan, first, today, sheets, left, open_, hands, run, others, opens)


def _last_run(person: Person, yard: Yard) -> PlanRun | None:
    """The newest run over a yard, whoever asked for it; two queries."""
    opens = Exists(PlanRun.visible_to(person).filter(pk=OuterRef("pk")))
    rows = PlanRun.objects.filter(over__yard=yard).annotate(opens=opens)
    return rows.prefetch_related("yards").order_by("-id").first()


def next_working(plan: YardPlan | None, today: date) -> date:
    """Today where the yard works today by its hours, else the next day on which it does."""
    ahead = days_from(today) if plan and any(plan.hours) else [today]
    return next((day for day in ahead if plan and plan.hours[day.weekday()]), today)


def days_of(person: Person, yard: Yard, first: date, now: datetime, days: int) -> list[Sheet]:
    """The day sheets alone, with their loads."""
    plan, wanted = plan_of(yard), days_from(first, days)
    rows = visits(person).filter(yard=yard, state=PLANNED, day__range=(wanted[0], wanted[-1]))
    return _sheets(yard, plan, wanted, today_at(yard, now), list(rows), Names.now(), [])


def _sheets(
    yard: Yard, plan: YardPlan | None, wanted: list[date], today: date, here: list[Visit],
    names: Names, hands: Sequence[Hand],
) -> list[Sheet]:  # fmt: skip
    span = {"yard": yard, "day__range": (wanted[0], wanted[-1])}
    closed = dict(ClosedDay.objects.filter(**span).values_list("day", "why"))
    locked = set(LockedDay.objects.filter(**span).values_list("day", flat=True))
    elsewhere = named_elsewhere(yard, hands, wanted)
    by_day: dict[date, list[Visit]] = defaultdict(list)
    for visit in here:
        by_day[visit.day].append(visit)
    return [
        _sheet(yard, day, by_day[day.day], names, hands, elsewhere, day.day in locked, today)
        for day in open_days(yard, plan, closed, wanted)
    ]


def _sheet(
    yard: Yard, day: Day, rows: list[Visit], names: Names, hands: Sequence[Hand],
    elsewhere: dict[tuple[int, date], str], locked: bool, today: date,
) -> Sheet:  # fmt: skip
    lines = lines_of_day(day, rows, names)
    bays = [(bay, lines.get(bay, [])) for bay in sorted({*range(1, yard.bays + 1), *lines})]
    used = sum(visit.minutes for visit in rows)
    return Sheet(
        day, bays, Load(used, yard.bays * day.minutes),
        [_of_person(hand, day, rows, elsewhere.get((hand.person.pk, day.day), ""))
         for hand in hands if hand.plan],
        locked, day.day < today, day.day == today,
    )  # fmt: skip


def _of_person(hand: Hand, day: Day, rows: list[Visit], elsewhere: str) -> PersonLoad:
    named = [one for visit in rows for one in crew_of(visit) if one.person_id == hand.person.pk]
    there = 0 if elsewhere else min(hand.minutes(day.day), day.minutes)
    return PersonLoad(hand.person, Load(sum(one.minutes for one in named), there), elsewhere)


def named_elsewhere(
    yard: Yard, hands: Iterable[Hand], days: list[date]
) -> dict[tuple[int, date], str]:
    """Who of these is named at another yard, and on which day; one query."""
    rows = Visit.objects.filter(state=PLANNED, day__range=(days[0], days[-1])).exclude(yard=yard)
    named = rows.filter(people__in=[hand.person for hand in hands])
    return {
        (person, day): name
        for person, day, name in named.values_list("people", "day", "yard__name")
    }


def to_plan(yard: Yard, today: date, days: int = HORIZON) -> QuerySet[Recheck]:
    """Owed by vehicles of the yard, falling due soon, and on no day of the plan."""
    planned = VisitWork.objects.filter(recheck=OuterRef("pk"), live=True)
    rows = Recheck.objects.filter(
        ~Exists(planned), state__in=Recheck.LIVE, vehicle__yard=yard,
        falls_on__lte=today + timedelta(days=days), vehicle__status=Vehicle.Status.IN_SERVICE,
    )  # fmt: skip
    return with_all_shown(rows).order_by("falls_on", "id")


def unplanned(yard: Yard, today: date, names: Names, run: PlanRun | None = None) -> list[Unplanned]:
    """By vehicle: what may hold it first, then what is latest; three queries."""
    minutes = Minutes.now()
    held = Hold.objects.filter(keeping_in(timezone.now()), vehicle=OuterRef("vehicle"))
    by_vehicle: dict[int, list[Recheck]] = defaultdict(list)
    for row in to_plan(yard, today).annotate(is_held=Exists(held)):
        by_vehicle[row.vehicle_id].append(row)
    why = {one["work"]: one["reasons"] for one in run.proposal.get("unplaced", [])} if run else {}
    found = [_unplanned(rows, today, names, minutes, why) for rows in by_vehicle.values()]
    return sorted(found, key=lambda one: (not one.holds, one.falls_on, one.vehicle.unit_number))


def _unplanned(
    rows: list[Recheck], today: date, names: Names, minutes: Minutes,
    why: dict[str, list[dict[str, Any]]],
) -> Unplanned:  # fmt: skip
    rows = sorted(rows, key=lambda row: (not warrants_hold(row), row.falls_on, row.pk))
    first = min(row.falls_on for row in rows)
    takes = together((minutes.recheck(row) for row in rows), minutes.set_up)
    return Unplanned(
        rows[0].vehicle, [task_of(row, names) for row in rows], first, takes.minutes,
        first < today, bool(getattr(rows[0], "is_held", False)),
        list(dict.fromkeys(in_words(one) for row in rows for one in why.get(f"r{row.pk}", []))),
    )  # fmt: skip
