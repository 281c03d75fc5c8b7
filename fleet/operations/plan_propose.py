"""What the planner answers, as a run keeps it: plain data, said in words when it is read."""

from collections import defaultdict
from collections.abc import Mapping
from datetime import date
from typing import Any

from fleet.calc import planning as calc
from fleet.reads.plan.facts import Question
from fleet.reads.plan.why import clash_as_data, reasons_as_data

# The id of each yard by its slug, as the planner knows them by slug.
Yards = Mapping[str, int]


def solved(
    asked: Question, effort: calc.Effort, yards: Yards
) -> tuple[dict[str, Any], dict[str, float]]:
    """The proposal and its figures; with pins and locked days that clash, those instead."""
    try:
        plan = calc.plan_visits(
            asked.work, asked.yards, asked.people, asked.days, asked.standing, effort
        )
    except calc.NoPlan as clash:
        return {"visits": [], "read": {}, "unplaced": [], "late": [],
                "clashes": [{**clash_as_data(one), "yard": yards[one.yards[0]]}
                            for one in clash.clashes]}, {}  # fmt: skip
    work = {one.key: one for one in asked.work}
    return {
        "visits": _visits(plan, asked, yards),
        "read": {str(pk): version for pk, version in asked.read.items()},
        "unplaced": [{"work": one.work, "yard": yards[work[one.work].yard],
                      "reasons": reasons_as_data(one)} for one in plan.unplaced],
        "late": [_late(one, work[one.work], yards) for one in plan.late],
        "clashes": [], "asked": len(asked.work), "stopped": plan.stopped,
        "hold_objective": plan.hold_objective,
    }, {"best": plan.objective, "bound": plan.bound}  # fmt: skip


def _late(one: calc.Late, work: calc.Work, yards: Yards) -> dict[str, Any]:
    """`low` is the first day on which it may fall due, `due` the likely one."""
    return {
        "work": one.work, "yard": yards[work.yard], "holds": work.holds, "weighed": one.weighed,
        "day": one.day.isoformat() if one.day else None, "due": work.due.isoformat(),
        "low": work.due_low.isoformat() if work.due_low else None,
    }  # fmt: skip


def _visits(plan: calc.Plan, asked: Question, yards: Yards) -> list[dict[str, Any]]:
    """All work on one vehicle on one day is one visit; its place in the bay is by its start."""
    by_visit: dict[tuple[str, str, date], list[calc.Assignment]] = defaultdict(list)
    for one in plan.assignments:
        by_visit[one.yard, one.vehicle, one.day].append(one)
    rows = sorted(by_visit.values(), key=lambda works: min((w.day, w.bay, w.start) for w in works))
    places: dict[tuple[str, date, int], int] = defaultdict(int)
    hands = {one.key: one.people for one in asked.work}
    found = []
    for works in rows:
        first = min(works, key=lambda work: work.start)
        yard = asked.yard(first.yard)
        set_up = yard.setup_minutes
        # The planner counts from when a crew from elsewhere is there, a day sheet from the opening.
        drive = 0 if set(first.people) <= asked.at_home(yard.key) else yard.travel_minutes // 2
        places[first.yard, first.day, first.bay] += 1
        found.append({
            "yard": yards[first.yard], "vehicle": int(first.vehicle),
            "day": first.day.isoformat(), "bay": first.bay,
            "place": places[first.yard, first.day, first.bay],
            "begins": max(first.start - set_up, 0) + drive, "people": _people(works, first, set_up),
            "works": [_work(work, hands) for work in works],
        })  # fmt: skip
    return found


def _people(
    works: list[calc.Assignment], first: calc.Assignment, set_up: int
) -> list[tuple[int, int]]:
    """Each with the minutes it takes of them; the first of the first work brings it in and out."""
    minutes: dict[str, int] = defaultdict(int)
    minutes[first.people[0]] += set_up
    for work in works:
        for person in work.people:
            minutes[person] += work.minutes
    return [(int(person), taken) for person, taken in minutes.items()]


def _work(work: calc.Assignment, hands: dict[str, int]) -> dict[str, Any]:
    kind = "recheck" if work.work[0] == "r" else "ticket"
    return {kind: int(work.work[1:]), "minutes": work.minutes,
            "hands": hands.get(work.work, len(work.people))}  # fmt: skip
