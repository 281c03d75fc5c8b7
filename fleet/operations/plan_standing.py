"""The plans of a run's yards as they stand under their locks, and what of a proposal still fits."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.db.models import Q

from fleet.operations.work import Work
from fleet.reads.plan.hours import open_days
from fleet.reads.plan.minutes import Minutes
from fleet.reads.plan.span import Span, named_outside, spans_of
from fleet.records.models import (
    ClosedDay,
    Hold,
    LockedDay,
    Person,
    PlanRun,
    Recheck,
    Ticket,
    Vehicle,
    Visit,
    VisitPerson,
    VisitWork,
    YardPlan,
)

PLANNED = Visit.State.PLANNED
# Why something proposed was left: said in words on reading (fleet/reads/plan/run.py).
PAID, HELD, MOVED, GONE, DAY, PEOPLE = "paid", "held", "moved", "gone", "day", "people"


@dataclass(frozen=True)
class _Owed:
    """Of what is proposed: what is still owed, and what is on a visit that stays as it is."""

    rechecks: set[int]
    tickets: set[int]
    planned: set[int]

    @classmethod
    def now(cls, run: PlanRun, fixed: set[int]) -> "_Owed":
        works = [one for visit in run.proposal["visits"] for one in visit["works"]]
        rechecks = {one["recheck"] for one in works if one.get("recheck")}
        tickets = {one["ticket"] for one in works if one.get("ticket")}
        live = Recheck.objects.filter(pk__in=rechecks, state__in=Recheck.LIVE)
        open_ = Ticket.objects.filter(pk__in=tickets, state=Ticket.State.OPEN)
        # On a visit that stays, or on one outside the days of the run.
        elsewhere = VisitWork.objects.filter(live=True, recheck__in=rechecks).filter(
            Q(visit__in=fixed) | Q(visit__day__gt=run.last)
        )
        return cls(
            set(live.values_list("pk", flat=True)), set(open_.values_list("pk", flat=True)),
            set(elsewhere.values_list("recheck", flat=True)),
        )  # fmt: skip


@dataclass
class Taking:
    """What stands, and what comes of taking a proposal in. Days are told by (yard, day)."""

    work: Work
    run: PlanRun
    proposed: list[dict[str, Any]]
    minutes: Minutes
    visits: dict[int, Visit]
    fixed: set[int]
    shut: set[tuple[int, date]]
    held: set[int]
    vehicles: dict[int, Vehicle]
    # Where people are named on a day by what the proposal does not change; None is outside of it.
    named: dict[tuple[int, date], set[int | None]]
    owed: _Owed
    made: int = 0
    moved: int = 0
    out: int = 0
    stale: list[dict[str, Any]] = field(default_factory=list)

    def leave(self, proposed: dict[str, Any], why: str) -> None:
        told = {name: proposed[name] for name in ("yard", "vehicle", "day")}
        self.stale.append({**told, "why": why})


def read(work: Work, plans: Sequence[YardPlan], run: PlanRun) -> Taking:
    """The number of queries grows neither with what is proposed nor with the yards."""
    spans, versions = spans_of(run, work.at), run.proposal["read"]
    proposed = [{"yard": run.yard_id, **one} for one in run.proposal["visits"]]
    visits = _standing(spans)
    locked = set(LockedDay.objects.filter(yard__in=[span.yard for span in spans])
                 .values_list("yard", "day"))  # fmt: skip
    vehicles = {one["vehicle"] for one in proposed}
    fixed = {
        pk for pk, visit in visits.items()
        if (visit.yard_id, visit.day) in locked or versions.get(str(pk)) != visit.version
    }  # fmt: skip
    held = set(Hold.objects.filter(vehicle__in=vehicles, lifted_at=None,
                                   placed_at__gt=run.asked_at)
               .values_list("vehicle", flat=True))  # fmt: skip
    stay = [visit for pk, visit in visits.items() if pk in fixed or visit.vehicle_id in held]
    return Taking(
        work, run, proposed, Minutes.now(), visits, fixed,
        shut=_shut(plans, proposed) | locked, held=held,
        vehicles=Vehicle.objects.in_bulk(vehicles),
        named=_named(spans, proposed, stay), owed=_Owed.now(run, fixed),
    )  # fmt: skip


def _standing(spans: Sequence[Span]) -> dict[int, Visit]:
    """What each yard's part of the run may change, and what its past days left undone."""
    asked_about = Q(pk__in=[])
    for span in spans:
        days = Q(day__range=(span.first, span.last)) | Q(day__lt=span.today)
        asked_about |= Q(yard=span.yard) & days
    rows = Visit.objects.filter(asked_about, state=PLANNED)
    return {visit.pk: visit for visit in rows.select_related("vehicle").order_by("id")}


def _shut(plans: Sequence[YardPlan], proposed: list[dict[str, Any]]) -> set[tuple[int, date]]:
    closed: dict[int, dict[date, str]] = defaultdict(dict)
    rows = ClosedDay.objects.filter(yard__in=[plan.yard_id for plan in plans])
    for yard, day, why in rows.values_list("yard", "day", "why"):
        closed[yard][day] = why
    days = {date.fromisoformat(one["day"]) for one in proposed}
    return {
        (plan.yard_id, day.day)
        for plan in plans
        for day in open_days(plan.yard, plan, closed[plan.yard_id], days)
        if not day.minutes
    }


def _named(
    spans: Sequence[Span], proposed: list[dict[str, Any]], stay: list[Visit]
) -> dict[tuple[int, date], set[int | None]]:
    """Nobody is in two yards on one day: neither outside of the run nor by what stays in it."""
    found: dict[tuple[int, date], set[int | None]] = defaultdict(set)
    days = [date.fromisoformat(one["day"]) for one in proposed]
    people = {person for one in proposed for person, _minutes in one["people"]}
    crew = Person.objects.filter(pk__in=people)
    for place in named_outside(spans, crew, days) if days else ():
        found[place].add(None)
    for person, day, yard in VisitPerson.objects.filter(
        visit__in=stay, person__in=people
    ).values_list("person", "visit__day", "visit__yard"):
        found[person, day].add(yard)
    return found


def may(taking: Taking, proposed: dict[str, Any]) -> bool:
    """Whether a proposed visit still fits what stands now; if not, why is kept."""
    day, yard = date.fromisoformat(proposed["day"]), proposed["yard"]
    fixed = [taking.visits[pk] for pk in taking.fixed]
    if any(v.vehicle_id == proposed["vehicle"] and v.day == day for v in fixed):
        if (yard, day) not in taking.shut:
            taking.leave(proposed, MOVED)
        return False
    why = _why_not(taking, proposed, day)
    if why:
        taking.leave(proposed, why)
    return not why


def _why_not(taking: Taking, proposed: dict[str, Any], day: date) -> str:
    vehicle, yard = taking.vehicles.get(proposed["vehicle"]), proposed["yard"]
    in_service = vehicle is not None and vehicle.status == Vehicle.Status.IN_SERVICE
    if vehicle is None or not in_service or vehicle.yard_id != yard:
        return GONE
    if proposed["vehicle"] in taking.held:
        return HELD
    if (yard, day) in taking.shut:
        return DAY
    if any(taking.named.get((person, day), set()) - {yard}
           for person, _minutes in proposed["people"]):  # fmt: skip
        return PEOPLE
    return ""
