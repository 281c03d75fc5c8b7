"""What a run proposes, put in place of what stood: only what differs is written.

What changed since the run read it stays: a visit that somebody moved, work that was paid, a
vehicle that was held meanwhile, a day that was locked. Each is told.
"""

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.db.models import Q

from fleet.operations.plan_visits import cancel
from fleet.operations.work import Work
from fleet.reads.days import today_at
from fleet.reads.plan.hours import open_days
from fleet.reads.plan.minutes import PAIR, Minutes
from fleet.reads.plan.people import hands_of
from fleet.reads.plan.week import named_elsewhere
from fleet.records.models import (
    ClosedDay,
    Hold,
    LockedDay,
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
PAID, HELD, MOVED, GONE, DAY, PEOPLE, TAKEN = (
    "paid", "held", "moved", "gone", "day", "people", "taken",
)  # fmt: skip


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
class _Taking:
    """The plan as it stands under its lock, and what comes of taking a proposal in."""

    work: Work
    plan: YardPlan
    run: PlanRun
    minutes: Minutes
    visits: dict[int, Visit]
    fixed: set[int]
    shut: set[date]
    held: set[int]
    vehicles: dict[int, Vehicle]
    elsewhere: dict[tuple[int, date], str]
    owed: _Owed
    made: int = 0
    moved: int = 0
    out: int = 0
    stale: list[dict[str, Any]] = field(default_factory=list)

    def leave(self, proposed: dict[str, Any], why: str) -> None:
        self.stale.append({"vehicle": proposed["vehicle"], "day": proposed["day"], "why": why})


def put_in_place(work: Work, plan: YardPlan, run: PlanRun) -> dict[str, Any]:
    """Returns how many visits were made, moved and taken out, and what was left and why."""
    taking = _read(work, plan, run)
    wanted = [one for one in run.proposal["visits"] if _may(taking, one)]
    matched = _match(taking, wanted)
    _free(taking, matched)
    for proposed, visit in matched:
        _put(taking, proposed, visit)
    return {"made": taking.made, "moved": taking.moved, "out": taking.out,
            "stale": taking.stale}  # fmt: skip


def _read(work: Work, plan: YardPlan, run: PlanRun) -> _Taking:
    read = {int(pk): version for pk, version in run.proposal["read"].items()}
    asked_about = Q(day__range=(run.first, run.last)) | Q(day__lt=today_at(plan.yard, work.at))
    rows = Visit.objects.filter(asked_about, yard=plan.yard, state=PLANNED)
    visits = {visit.pk: visit for visit in rows.select_related("vehicle").order_by("id")}
    locked = set(LockedDay.objects.filter(yard=plan.yard).values_list("day", flat=True))
    days = {date.fromisoformat(one["day"]) for one in run.proposal["visits"]}
    closed = dict(ClosedDay.objects.filter(yard=plan.yard).values_list("day", "why"))
    shut = {day.day for day in open_days(plan.yard, plan, closed, days) if not day.minutes}
    span = [min(days), max(days)] if days else [run.first, run.last]
    vehicles = {one["vehicle"] for one in run.proposal["visits"]}
    fixed = {
        pk for pk, visit in visits.items() if visit.day in locked or read.get(pk) != visit.version
    }
    return _Taking(
        work, plan, run, Minutes.now(), visits, fixed,
        shut=shut | locked,
        held=set(Hold.objects.filter(vehicle__in=vehicles, lifted_at=None,
                                     placed_at__gt=run.asked_at).values_list("vehicle", flat=True)),
        vehicles=Vehicle.objects.in_bulk(vehicles),
        elsewhere=named_elsewhere(plan.yard, hands_of(plan.yard, plan), span),
        owed=_Owed.now(run, fixed),
    )  # fmt: skip


def _may(taking: _Taking, proposed: dict[str, Any]) -> bool:
    """Whether a proposed visit still fits what stands now; if not, why is kept."""
    day, vehicle = date.fromisoformat(proposed["day"]), taking.vehicles.get(proposed["vehicle"])
    fixed = [taking.visits[pk] for pk in taking.fixed]
    if any(v.vehicle_id == proposed["vehicle"] and v.day == day for v in fixed):
        if day not in taking.shut:
            taking.leave(proposed, MOVED)
        return False
    why = ""
    if (
        vehicle is None
        or vehicle.yard_id != taking.plan.yard_id
        or (vehicle.status != Vehicle.Status.IN_SERVICE)
    ):
        why = GONE
    elif proposed["vehicle"] in taking.held:
        why = HELD
    elif day in taking.shut:
        why = DAY
    elif any((person, day) in taking.elsewhere for person, _minutes in proposed["people"]):
        why = PEOPLE
    if why:
        taking.leave(proposed, why)
    return not why


def _match(
    taking: _Taking, wanted: list[dict[str, Any]]
) -> list[tuple[dict[str, Any], Visit | None]]:
    """Each proposed visit with the standing one that it continues: of its day, else any of its
    vehicle's, so that a diary sees it move and not vanish."""
    free: dict[int, list[Visit]] = defaultdict(list)
    for pk, visit in taking.visits.items():
        if pk not in taking.fixed:
            free[visit.vehicle_id].append(visit)
    found: list[tuple[dict[str, Any], Visit | None]] = []
    later = []
    for proposed in wanted:
        here = free[proposed["vehicle"]]
        same = next((v for v in here if v.day.isoformat() == proposed["day"]), None)
        if same is None:
            later.append(proposed)
        else:
            here.remove(same)
            found.append((proposed, same))
    for proposed in later:
        here = [v for v in free[proposed["vehicle"]] if not v.pinned]
        if here:
            free[proposed["vehicle"]].remove(here[0])
        found.append((proposed, here[0] if here else None))
    return sorted(found, key=lambda pair: (pair[0]["day"], pair[0]["bay"], pair[0]["place"]))


def _free(taking: _Taking, matched: list[tuple[dict[str, Any], Visit | None]]) -> None:
    """Take out what the proposal has no more, and let go of the work of what it changes."""
    kept = {visit.pk for _proposed, visit in matched if visit is not None}
    for pk, visit in taking.visits.items():
        if pk in kept or pk in taking.fixed or visit.pinned:
            continue
        if visit.vehicle_id in taking.held:
            continue
        cancel(taking.work, visit, "take_out_visit", "planned again")
        taking.out += 1


def _put(taking: _Taking, proposed: dict[str, Any], visit: Visit | None) -> None:
    works = _still(taking, proposed)
    if not works:
        taking.leave(proposed, PAID)
        if visit is not None and not visit.pinned:
            cancel(taking.work, visit, "take_out_visit", "planned again")
            taking.out += 1
        return
    set_up = taking.minutes.set_up
    minutes = set_up + sum(one["minutes"] for one in works)
    place = {"day": date.fromisoformat(proposed["day"]), "bay": proposed["bay"],
             "place": proposed["place"], "begins": proposed["begins"],
             "minutes": minutes}  # fmt: skip
    if visit is None:
        visit = Visit.objects.create(vehicle_id=proposed["vehicle"], yard=taking.plan.yard,
                                     changed_at=taking.work.at, **place)  # fmt: skip
        _fill(visit, proposed, works)
        taking.work.trail("plan_visit", visit, vehicle=taking.vehicles[proposed["vehicle"]],
                          after=_said(place))  # fmt: skip
        taking.made += 1
    elif _differs(visit, place, proposed, works):
        before = _said({name: getattr(visit, name) for name in place})
        for name, value in place.items():
            setattr(visit, name, value)
        visit.version, visit.sequence = visit.version + 1, visit.sequence + 1
        visit.changed_at, visit.moved_from = taking.work.at, None
        visit.save()
        _fill(visit, proposed, works)
        after = _said(place)
        taking.work.trail("move_visit", visit, vehicle=visit.vehicle,
                          before={n: v for n, v in before.items() if after[n] != v},
                          after={n: v for n, v in after.items() if before[n] != v})  # fmt: skip
        taking.moved += 1


def _said(place: dict[str, Any]) -> dict[str, Any]:
    return {"day": place["day"].isoformat(), "bay": place["bay"], "minutes": place["minutes"]}


def _still(taking: _Taking, proposed: dict[str, Any]) -> list[dict[str, Any]]:
    """The work that is still owed, and that no visit which stays has."""
    owed = taking.owed
    return [
        one
        for one in proposed["works"]
        if (one.get("recheck") in owed.rechecks and one["recheck"] not in owed.planned)
        or one.get("ticket") in owed.tickets
    ]


def _differs(
    visit: Visit, place: dict[str, Any], proposed: dict[str, Any], works: list[dict[str, Any]]
) -> bool:
    named = set(VisitPerson.objects.filter(visit=visit).values_list("person", flat=True))
    standing = VisitWork.objects.filter(visit=visit, live=True).values_list("recheck", "ticket")
    wanted = {(one.get("recheck"), one.get("ticket")) for one in works}
    return (
        any(getattr(visit, name) != value for name, value in place.items())
        or named != {person for person, _minutes in proposed["people"]}
        or set(standing) != wanted
    )


def _fill(visit: Visit, proposed: dict[str, Any], works: list[dict[str, Any]]) -> None:
    """Its people and its work; work that another visit of the proposal gives up moves here."""
    VisitPerson.objects.filter(visit=visit).delete()
    VisitPerson.objects.bulk_create(
        VisitPerson(visit=visit, person_id=person, minutes=minutes)
        for person, minutes in proposed["people"]
    )
    VisitWork.objects.filter(visit=visit, live=True).update(live=False)
    rechecks = [one["recheck"] for one in works if one.get("recheck")]
    tickets = [one["ticket"] for one in works if one.get("ticket")]
    VisitWork.objects.filter(recheck__in=rechecks, live=True).update(live=False)
    VisitWork.objects.filter(ticket__in=tickets, live=True).update(live=False)
    VisitWork.objects.bulk_create(
        VisitWork(visit=visit, recheck_id=one.get("recheck"), ticket_id=one.get("ticket"),
                  minutes=one["minutes"], hands=min(one["hands"], PAIR))
        for one in works
    )  # fmt: skip
