"""All that a run of the planner is made against, read at one moment, as its own plain values."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cached_property
from typing import Any

from django.db.models import Count, F, OuterRef, Q, Subquery

from fleet.calc import planning as calc
from fleet.calc.calendar import local_date
from fleet.reads.days import zone_of
from fleet.reads.plan.hours import days_from, open_days
from fleet.reads.plan.minutes import PAIR, Minutes, Takes
from fleet.reads.plan.people import WHEEL, Hand, hands_at
from fleet.reads.plan.people_asked import INSPECT, people_asked
from fleet.reads.plan.span import Span, named_outside
from fleet.reads.plan.visits import PLANNED, crew_of, visits, warrants_hold
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

# Before half of its interval a retorque pays nothing (the setting `retorque_counts_from`).
HALF = 2


@dataclass(frozen=True)
class Question:
    """What `plan_visits` is asked, and the versions of the visits that it was read with."""

    work: list[calc.Work]
    yards: list[calc.Yard]
    people: list[calc.Person]
    days: list[date]
    standing: calc.Standing
    read: dict[int, int]

    def yard(self, key: str) -> calc.Yard:
        return next(one for one in self.yards if one.key == key)

    def at_home(self, yard: str) -> set[str]:
        return {one.key for one in self.people if one.home == yard}


def key_of(row: Recheck | Ticket) -> str:
    return f"{'r' if isinstance(row, Recheck) else 't'}{row.pk}"


def question(person: Person, spans: Sequence[Span]) -> Question:
    """The number of queries does not grow with what is owed or planned, nor with the yards.

    What a day that is over left undone is planned again; what stands between today and the first
    day of its yard stays as it is. The first of the spans is the yard that was asked from.
    """
    now = _Now.read(person, spans)
    work = [*_rechecks(now), *_tickets(now)]
    asked = {span.yard.slug: {one.key for one in work if one.yard == span.yard.slug}
             for span in spans}  # fmt: skip
    elsewhere = named_outside(spans, now.people, now.days)
    return Question(
        work=work,
        yards=[_yard(span, now) for span in spans],
        people=people_asked(now.hands, now.days, elsewhere, spans[0].yard.slug),
        days=now.days,
        standing=calc.Standing(
            away=_away(now),
            pins=tuple(pin for span in spans
                       for pin in _pins(now.standing_at(span), asked[span.yard.slug], span.yard)),
            locked=frozenset(
                (span.yard.slug, day) for span in spans for day in now.days
                if span.holds(day) and (span.yard.pk, day) in now.locked),
            previous=tuple(one for span in spans for one in _previous(
                now.standing_at(span), asked[span.yard.slug], now.minutes.set_up, span.yard)),
        ),
        read={visit.pk: visit.version for visit in [*now.standing, *now.over]},
    )  # fmt: skip


@dataclass(frozen=True)
class _Now:
    """Calendars, people and visits of the yards, as they stand."""

    spans: Sequence[Span]
    days: list[date]
    minutes: Minutes
    plans: Mapping[int, YardPlan]
    closed: Mapping[int, Mapping[date, str]]
    locked: set[tuple[int, date]]
    hands: Mapping[str, Sequence[Hand]]
    standing: Sequence[Visit]
    # Planned for a day that is over, and not done.
    over: Sequence[Visit]

    @classmethod
    def read(cls, person: Person, spans: Sequence[Span]) -> "_Now":
        yards = [span.yard for span in spans]
        first, last = min(span.first for span in spans), max(span.last for span in spans)
        plans = {plan.yard_id: plan for plan in YardPlan.objects.filter(yard__in=yards)}
        within = {"yard__in": yards, "day__range": (first, last)}
        closed: dict[int, dict[date, str]] = defaultdict(dict)
        for yard, day, why in ClosedDay.objects.filter(**within).values_list("yard", "day", "why"):
            closed[yard][day] = why
        hands = hands_at([(yard, plans.get(yard.pk)) for yard in yards])
        here = list(visits(person).filter(yard__in=yards, state=PLANNED))
        of = {span.yard.pk: span for span in spans}
        return cls(
            spans, days_from(first, (last - first).days + 1), Minutes.now(), plans, closed,
            set(LockedDay.objects.filter(**within).values_list("yard", "day")),
            {yard.slug: [hand for hand in those if hand.helps]
             for yard, those in zip(yards, hands, strict=True)},
            standing=[visit for visit in here if of[visit.yard_id].holds(visit.day)],
            over=[visit for visit in here if visit.day < of[visit.yard_id].today],
        )  # fmt: skip

    @property
    def yards(self) -> list[Yard]:
        return [span.yard for span in self.spans]

    @property
    def last(self) -> date:
        return self.days[-1]

    @property
    def people(self) -> list[Person]:
        return [hand.person for those in self.hands.values() for hand in those]

    def standing_at(self, span: Span) -> list[Visit]:
        return [visit for visit in self.standing if visit.yard_id == span.yard.pk]

    def wanted(self, on_visit: int | None, yard: Yard) -> bool:
        """Whether work that stands on a visit is asked for: the plan of its vehicle's own yard
        asks for all that it has itself, and for what another yard of the run lets go."""
        if on_visit is None:
            return True
        visit = self.by_id[on_visit]
        return visit.yard_id == yard.pk or not self.kept(visit)

    def kept(self, visit: Visit) -> bool:
        return visit.pinned or (visit.yard_id, visit.day) in self.locked

    @cached_property
    def by_id(self) -> dict[int, Visit]:
        return {visit.pk: visit for visit in [*self.standing, *self.over]}


def _yard(span: Span, now: _Now) -> calc.Yard:
    yard, plan = span.yard, now.plans.get(span.yard.pk)
    days = [day for day in now.days if span.holds(day)]
    opening = open_days(yard, plan, now.closed.get(yard.pk, {}), days)
    return calc.Yard(
        yard.slug, yard.bays, {day.day: day.minutes for day in opening},
        setup_minutes=now.minutes.set_up, travel_minutes=2 * plan.travel_minutes if plan else 0,
    )  # fmt: skip


def _on_visit(**what: Any) -> Subquery:
    """The visit that work stands on; what is live is planned once."""
    return Subquery(VisitWork.objects.filter(live=True, **what).values("visit")[:1])


def _rechecks(now: _Now) -> list[calc.Work]:
    """What falls due by the last day, what stands on the plan, and what a past day left undone."""
    # What is planned for after the last day stays there.
    wanted = Q(on_visit__in=list(now.by_id)) | Q(on_visit=None, falls_on__lte=now.last)
    rows = Recheck.objects.annotate(on_visit=_on_visit(recheck=OuterRef("pk"))).filter(
        wanted, state__in=Recheck.LIVE, vehicle__yard__in=now.yards,
        vehicle__status=Vehicle.Status.IN_SERVICE,
    ).select_related("joint__kind", "vehicle__yard").order_by("id")  # fmt: skip
    return [
        _work(row, row.vehicle.yard, now.minutes.recheck(row))
        for row in rows
        if now.wanted(row.on_visit, row.vehicle.yard)
    ]


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


def _tickets(now: _Now) -> list[calc.Work]:
    """Repair under way keeps a vehicle: it is due at once, and outranks what only falls due."""
    lines = Q(lines__state=TicketLine.State.OPEN)
    open_ = Ticket.objects.filter(
        state=Ticket.State.OPEN, vehicle__yard__in=now.yards,
        vehicle__status=Vehicle.Status.IN_SERVICE,
    )  # fmt: skip
    on_visit = _on_visit(ticket=OuterRef("pk"))
    rows = open_.annotate(left=Count("lines", filter=lines), on_visit=on_visit)
    rows = rows.filter(Q(on_visit=None) | Q(on_visit__in=list(now.by_id)), left__gt=0)
    first = {span.yard.pk: span.first for span in now.spans}
    found = []
    for row in rows.select_related("vehicle__yard").order_by("id"):
        yard = row.vehicle.yard
        if now.wanted(row.on_visit, yard):
            takes = now.minutes.ticket(row.left)
            found.append(calc.Work(
                key_of(row), str(row.vehicle_id), yard.slug, takes.minutes, first[yard.pk],
                holds=True, skills=skills_of(takes),
            ))  # fmt: skip
    return found


def _away(now: _Now) -> dict[str, frozenset[date]]:
    """Days on which a vehicle can't come: away, or on another yard's plan and kept there."""
    rows = AwayDay.objects.filter(
        vehicle__yard__in=now.yards, first__lte=now.last, last__gte=now.days[0]
    )
    found: dict[str, set[date]] = defaultdict(set)
    for row in rows:
        found[str(row.vehicle_id)].update(days_from(row.first, (row.last - row.first).days + 1))
    moved = Visit.objects.filter(
        state=PLANNED, vehicle__yard__in=now.yards, day__range=(now.days[0], now.last)
    ).exclude(yard=F("vehicle__yard"))
    for visit in moved:
        if visit.pk not in now.by_id or now.kept(visit):
            found[str(visit.vehicle_id)].add(visit.day)
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


def _previous(
    rows: Iterable[Visit], asked: set[str], set_up: int, yard: Yard
) -> Iterable[calc.Assignment]:
    """The plan that people were told, minute by minute as the day sheet shows it."""
    ends: dict[tuple[date, int], int] = defaultdict(int)
    orders: dict[tuple[date, int], int] = defaultdict(int)
    for visit in sorted(rows, key=lambda row: (row.day, row.bay, row.place, row.pk)):
        place = (visit.day, visit.bay)
        begins = max(ends[place], visit.begins)
        start = begins + set_up
        for work in _works(visit):
            orders[place] += 1
            if _key(work) in asked:
                yield calc.Assignment(
                    _key(work), str(visit.vehicle_id), yard.slug, visit.day, visit.bay,
                    orders[place], start, work.minutes, _named(visit, work),
                )  # fmt: skip
            start += work.minutes
        ends[place] = begins + visit.minutes


def now_first(yard: Yard, plan: YardPlan | None, now: datetime) -> date:
    """The first day that can still be planned: today until the yard opens, then the next."""
    today = local_date(now, zone_of(yard))
    [day] = open_days(yard, plan, {}, [today])
    return today if day.opens is None or now <= day.opens else today + timedelta(days=1)
