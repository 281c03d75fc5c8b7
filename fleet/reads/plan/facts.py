"""All that a run of the planner is made against, read at one moment, as its own plain values."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from fleet.calc import planning as calc
from fleet.calc.calendar import local_date
from fleet.reads.days import zone_of
from fleet.reads.plan.hours import Day, days_from, open_days
from fleet.reads.plan.minutes import PAIR, Minutes, Takes
from fleet.reads.plan.people import WHEEL, Hand, hands_of
from fleet.reads.plan.visits import PLANNED, crew_of, visits, warrants_hold
from fleet.reads.plan.week import named_elsewhere
from fleet.records.models import (
    AwayDay,
    ClosedDay,
    LockedDay,
    Person,
    Recheck,
    Ticket,
    TicketLine,
    Vehicle,
    Visit,
    VisitWork,
    Yard,
    YardPlan,
)

INSPECT = "inspect"
# Where people who come from another yard are at home: no yard of this plan.
ELSEWHERE = "elsewhere"
# Before half of its interval a retorque pays nothing (the setting `retorque_counts_from`).
HALF = 2


@dataclass(frozen=True)
class Question:
    """What `plan_visits` is asked, and the versions of the visits that it was read with."""

    work: list[calc.Work]
    yard: calc.Yard
    people: list[calc.Person]
    days: list[date]
    standing: calc.Standing
    read: dict[int, int]


def key_of(row: Recheck | Ticket) -> str:
    return f"{'r' if isinstance(row, Recheck) else 't'}{row.pk}"


def question(person: Person, yard: Yard, first: date, last: date, today: date) -> Question:
    """The number of queries does not grow with what is owed or planned.

    What a day that is over left undone is planned again; what stands between today and the first
    day stays as it is.
    """
    plan = YardPlan.objects.filter(yard=yard).first()
    days = days_from(first, (last - first).days + 1)
    minutes = Minutes.now()
    here = list(visits(person).filter(yard=yard, state=PLANNED))
    span = {"yard": yard, "day__range": (first, last)}
    closed = dict(ClosedDay.objects.filter(**span).values_list("day", "why"))
    locked = set(LockedDay.objects.filter(**span).values_list("day", flat=True))
    opening = {day.day: day for day in open_days(yard, plan, closed, days)}
    standing = [visit for visit in here if first <= visit.day <= last]
    over = [visit for visit in here if visit.day < today]
    left_over = {visit.pk for visit in over}
    work = [*_rechecks(yard, last, standing, left_over, minutes),
            *_tickets(yard, first, standing, left_over, minutes)]  # fmt: skip
    return Question(
        work=work,
        yard=_yard(yard, plan, opening, minutes),
        people=_people(yard, hands_of(yard, plan), days, opening),
        days=days,
        standing=calc.Standing(
            away=_away(yard, first, last),
            pins=tuple(_pins(standing, {one.key for one in work}, yard)),
            locked=frozenset((yard.slug, day) for day in locked),
            previous=tuple(_previous(standing, minutes.set_up, yard)),
        ),
        read={visit.pk: visit.version for visit in [*standing, *over]},
    )


def _yard(
    yard: Yard, plan: YardPlan | None, opening: dict[date, Day], minutes: Minutes
) -> calc.Yard:
    return calc.Yard(
        yard.slug, yard.bays, {day: one.minutes for day, one in opening.items()},
        setup_minutes=minutes.set_up, travel_minutes=2 * plan.travel_minutes if plan else 0,
    )  # fmt: skip


def _people(
    yard: Yard, hands: Sequence[Hand], days: list[date], opening: dict[date, Day]
) -> list[calc.Person]:
    """Of those who only help, one a day: so one of any two is somebody who inspects."""
    elsewhere = named_elsewhere(yard, hands, days)
    helped: set[date] = set()
    found = []
    for hand in sorted(hands, key=lambda one: not one.inspects):
        free = {
            day: there
            for day in days
            if (hand.person.pk, day) not in elsewhere and (there := hand.minutes(day))
        }
        if not hand.inspects:
            free = {day: there for day, there in free.items() if day not in helped}
            helped |= set(free)
        if free:
            found.append(_person(yard, hand, free))
    return found


def _person(yard: Yard, hand: Hand, free: dict[date, int]) -> calc.Person:
    skills = hand.skills | ({INSPECT, WHEEL} if hand.inspects else {WHEEL})
    home, sent = (yard.slug, set[str]()) if hand.home else (ELSEWHERE, {yard.slug})
    return calc.Person(str(hand.person.pk), home, free, frozenset(skills), frozenset(sent))


def _rechecks(
    yard: Yard, last: date, standing: Sequence[Visit], left_over: set[int], minutes: Minutes
) -> list[calc.Work]:
    """What falls due by the last day, what stands on the plan, and what a past day left undone."""
    on_plan = VisitWork.objects.filter(recheck=OuterRef("pk"), live=True)
    mine = [*(visit.pk for visit in standing), *left_over]
    # What is planned for after the last day stays there.
    wanted = Exists(on_plan.filter(visit__in=mine)) | (~Exists(on_plan) & Q(falls_on__lte=last))
    rows = Recheck.objects.filter(
        wanted, state__in=Recheck.LIVE, vehicle__yard=yard,
        vehicle__status=Vehicle.Status.IN_SERVICE,
    ).select_related("joint__kind", "vehicle").order_by("id")  # fmt: skip
    return [_work(row, yard, minutes.recheck(row)) for row in rows]


def _work(row: Recheck, yard: Yard, takes: Takes) -> calc.Work:
    low = row.use_on_low if row.use_on_low and row.use_on_low < row.falls_on else None
    return calc.Work(
        key_of(row), str(row.vehicle_id), yard.slug, takes.minutes, row.falls_on, due_low=low,
        earliest=earliest_of(row, yard), holds=warrants_hold(row), people=takes.people,
        skills=skills_of(takes), wished=str(row.assigned_to_id) if row.assigned_to_id else None,
    )  # fmt: skip


def skills_of(takes: Takes) -> frozenset[str]:
    """Of each who does it; of two, one holds the wheel."""
    base = WHEEL if takes.people >= PAIR else INSPECT
    return frozenset({base, takes.skill} if takes.skill else {base})


def earliest_of(row: Recheck, yard: Yard) -> date:
    """Before half of its interval a look would pay nothing; and not before its own time."""
    began = local_date(row.started_at, zone_of(yard))
    half = began + timedelta(days=max((row.falls_on - began).days, 0) // HALF)
    return max(half, local_date(row.not_before, zone_of(yard))) if row.not_before else half


def open_tickets(yard: Yard) -> QuerySet[Ticket]:
    """With lines still to do: `left` says how many."""
    lines = Q(lines__state=TicketLine.State.OPEN)
    rows = Ticket.objects.filter(state=Ticket.State.OPEN, vehicle__yard=yard)
    rows = rows.annotate(left=Count("lines", filter=lines)).filter(left__gt=0)
    return rows.select_related("vehicle").order_by("id")


def _tickets(
    yard: Yard, first: date, standing: Sequence[Visit], left_over: set[int], minutes: Minutes
) -> list[calc.Work]:
    """Repair under way keeps a vehicle: it is due at once, and outranks what only falls due."""
    on_plan = VisitWork.objects.filter(ticket=OuterRef("pk"), live=True)
    mine = [*(visit.pk for visit in standing), *left_over]
    rows = open_tickets(yard).filter(~Exists(on_plan) | Exists(on_plan.filter(visit__in=mine)))
    found = []
    for row in rows.filter(vehicle__status=Vehicle.Status.IN_SERVICE):
        takes = minutes.ticket(getattr(row, "left", 0))
        found.append(calc.Work(
            key_of(row), str(row.vehicle_id), yard.slug, takes.minutes, first, holds=True,
            skills=skills_of(takes),
        ))  # fmt: skip
    return found


def _away(yard: Yard, first: date, last: date) -> dict[str, frozenset[date]]:
    rows = AwayDay.objects.filter(vehicle__yard=yard, first__lte=last, last__gte=first)
    found: dict[str, set[date]] = defaultdict(set)
    for row in rows:
        found[str(row.vehicle_id)].update(days_from(row.first, (row.last - row.first).days + 1))
    return {vehicle: frozenset(days) for vehicle, days in found.items()}


def _works(visit: Visit) -> list[Any]:
    return list(getattr(visit, "to_do", ()))


def _key(work: VisitWork) -> str:
    return f"r{work.recheck_id}" if work.recheck_id else f"t{work.ticket_id}"


def _named(visit: Visit, work: VisitWork) -> tuple[str, ...]:
    """Who does one thing of a visit: the first named; two where it takes two."""
    return tuple(str(one.person_id) for one in crew_of(visit)[: work.hands])


def _pins(rows: Iterable[Visit], asked: set[str], yard: Yard) -> Iterable[calc.Pin]:
    for visit in rows:
        for work in _works(visit) if visit.pinned else ():
            named = _named(visit, work)
            if _key(work) in asked:
                yield calc.Pin(_key(work), visit.day, yard.slug,
                               named if len(named) == work.hands else ())  # fmt: skip


def _previous(rows: Iterable[Visit], set_up: int, yard: Yard) -> Iterable[calc.Assignment]:
    """The plan that people were told, minute by minute as the day sheet shows it."""
    ends: dict[tuple[date, int], int] = defaultdict(int)
    orders: dict[tuple[date, int], int] = defaultdict(int)
    for visit in sorted(rows, key=lambda row: (row.day, row.bay, row.place, row.pk)):
        place = (visit.day, visit.bay)
        begins = max(ends[place], visit.begins)
        start = begins + set_up
        for work in _works(visit):
            orders[place] += 1
            yield calc.Assignment(
                _key(work), str(visit.vehicle_id), yard.slug, visit.day, visit.bay, orders[place],
                start, work.minutes, _named(visit, work),
            )  # fmt: skip
            start += work.minutes
        ends[place] = begins + visit.minutes


def now_first(yard: Yard, plan: YardPlan | None, now: datetime) -> date:
    """The first day that can still be planned: today until the yard opens, then the next."""
    today = local_date(now, zone_of(yard))
    [day] = open_days(yard, plan, {}, [today])
    return today if day.opens is None or now <= day.opens else today + timedelta(days=1)
