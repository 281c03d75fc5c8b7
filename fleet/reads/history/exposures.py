"""Exposures of some vehicles, as their facts say: each check on its joint's clock."""

from collections.abc import Iterable
from datetime import UTC, datetime

import numpy as np

from fleet.calc.history.looks import Floats, Ints, Looks, Starts, last_start, looks_of
from fleet.reads.history import columns as read
from fleet.reads.history.columns import Columns, Facts
from fleet.reads.history.labels import practice_of
from fleet.records.models import Clock, Exposure, Sight


def exposures_of(vehicle_ids: Iterable[int] | None = None) -> list[Exposure]:
    """Every exposure of these vehicles, not saved and with nothing expected yet; three queries."""
    facts = read.facts_of(vehicle_ids)
    made: list[Exposure] = []
    for (clock, sight), which in read.clocks_of(facts.findings).items():
        made += _on_clock(facts, read.taken(facts.findings, which), clock, sight)
    return sorted(made, key=lambda one: (one.at, one.finding_id))


def _on_clock(facts: Facts, findings: Columns, clock: Clock, sight: Sight) -> list[Exposure]:
    if clock == Clock.TIGHTNESS:
        begun = facts.turnings
        watched = np.full(begun["joint"].size, True)
    else:
        begun = facts.parts
        watched = np.array([seen is not None for seen in begun["seen"]], dtype=np.bool_)
    looks = looks_of(read.starts_of(begun, watched), read.checks_of(findings, sight))
    part = _part_at(facts, findings, looks) if clock == Clock.TIGHTNESS else looks.start
    return [
        _exposure(place, looks, findings, begun, facts, part, clock, sight)
        for place in range(looks.check.size)
    ]


def _part_at(facts: Facts, findings: Columns, looks: Looks) -> Ints:
    """The part in place at each look; -1 where none is on record."""
    parts = facts.parts
    places = Starts(
        read.whole(parts["joint"]), read.seconds(parts["at"]), _nowhere(parts),
        np.full(parts["joint"].size, True),
    )  # fmt: skip
    at = read.seconds(findings["at"])[looks.check]
    return last_start(places, read.whole(findings["joint"])[looks.check], at)


def _nowhere(rows: Columns) -> Floats:
    return np.zeros(rows["joint"].size)


def _exposure(
    place: int, looks: Looks, findings: Columns, begun: Columns, facts: Facts, part: Ints,
    clock: Clock, sight: Sight,
) -> Exposure:  # fmt: skip
    check, start = looks.check[place], looks.start[place]
    tight = clock == Clock.TIGHTNESS
    in_place = part[place]
    fitted: Columns = facts.parts
    return Exposure(
        finding_id=findings["finding"][check], joint_id=findings["joint"][check],
        vehicle_id=findings["vehicle"][check], clock=clock, sight=sight,
        at=datetime.fromtimestamp(looks.at[place], UTC), lower_si=round(looks.lower[place]),
        upper_si=round(looks.upper[place]), loose=bool(looks.loose[place]),
        first=bool(begun["first"][start]) if tight else True,
        turning_id=begun["turning"][start] if tight else None,
        part_id=fitted["part"][in_place] if in_place >= 0 else None,
        tool_id=begun["tool"][start] if tight else None,
        practice=practice_of(begun["origin"][start], begun["threads"][start]) if tight else "",
        number=fitted["number"][in_place] if in_place >= 0 else "",
        lot=fitted["lot"][in_place] if in_place >= 0 else "", duty=findings["duty"][check],
    )  # fmt: skip
