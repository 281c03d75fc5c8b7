"""What a run proposes, put in place of what stood: only what differs is written.

What changed since the run read it stays: a visit that somebody moved, work that was paid, a
vehicle that was held meanwhile, a day that was locked. Each is told.
"""

from collections import defaultdict
from collections.abc import Sequence
from datetime import date
from typing import Any

from fleet.operations.plan_standing import PAID, Taking, may, read
from fleet.operations.plan_visits import cancel
from fleet.operations.work import Work
from fleet.reads.plan.minutes import PAIR
from fleet.records.models import PlanRun, Visit, VisitPerson, VisitWork, YardPlan

ORDER = ("day", "yard", "bay", "place")


def put_in_place(work: Work, plans: Sequence[YardPlan], run: PlanRun) -> dict[str, Any]:
    """Returns how many visits were made, moved and taken out, and what was left and why."""
    taking = read(work, plans, run)
    wanted = [one for one in taking.proposed if may(taking, one)]
    matched = _match(taking, wanted)
    _free(taking, matched)
    for proposed, visit in matched:
        _put(taking, proposed, visit)
    return {"made": taking.made, "moved": taking.moved, "out": taking.out,
            "stale": taking.stale}  # fmt: skip


def _match(
    taking: Taking, wanted: list[dict[str, Any]]
) -> list[tuple[dict[str, Any], Visit | None]]:
    """Each proposed visit with the standing one that it continues: of its day, else any of its
    vehicle's at that yard, so that a diary sees it move and not vanish."""
    free: dict[tuple[int, int], list[Visit]] = defaultdict(list)
    for pk, visit in taking.visits.items():
        if pk not in taking.fixed:
            free[visit.yard_id, visit.vehicle_id].append(visit)
    found: list[tuple[dict[str, Any], Visit | None]] = []
    later = []
    for proposed in wanted:
        here = free[proposed["yard"], proposed["vehicle"]]
        same = next((v for v in here if v.day.isoformat() == proposed["day"]), None)
        if same is None:
            later.append(proposed)
        else:
            here.remove(same)
            found.append((proposed, same))
    for proposed in later:
        mine = free[proposed["yard"], proposed["vehicle"]]
        goes_on = next((v for v in mine if not v.pinned), None)
        if goes_on:
            mine.remove(goes_on)
        found.append((proposed, goes_on))
    return sorted(found, key=lambda pair: [pair[0][name] for name in ORDER])


def _free(taking: Taking, matched: list[tuple[dict[str, Any], Visit | None]]) -> None:
    """Take out what the proposal has no more, and let go of the work of what it changes."""
    kept = {visit.pk for _proposed, visit in matched if visit is not None}
    for pk, visit in taking.visits.items():
        if pk in kept or pk in taking.fixed or visit.pinned:
            continue
        if visit.vehicle_id in taking.held:
            continue
        cancel(taking.work, visit, "take_out_visit", "planned again")
        taking.out += 1


def _put(taking: Taking, proposed: dict[str, Any], visit: Visit | None) -> None:
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
        visit = Visit.objects.create(vehicle_id=proposed["vehicle"], yard_id=proposed["yard"],
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


def _still(taking: Taking, proposed: dict[str, Any]) -> list[dict[str, Any]]:
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
