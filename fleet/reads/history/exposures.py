"""Exposures of some vehicles: as their facts say, and as they are kept. Each check on its joint's
clock, as arrays."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields
from typing import Any, Self

import numpy as np
from django.db.models import Q
from numpy.typing import NDArray

from fleet.calc.history.looks import Flags, Floats, Ints, Looks, Starts, last_start, looks_of
from fleet.reads.history import columns as read
from fleet.reads.history import numbers
from fleet.reads.history.columns import Facts, Kinds
from fleet.reads.history.numbers import NONE, Columns, looked_up
from fleet.records.models import Clock, Duty, Exposure, MeterUnit, Sight, Vehicle

DUTIES = tuple(Duty.values)
HOURS = (MeterUnit.HOURS,)


@dataclass(frozen=True, slots=True, eq=False)
class Exposures:
    """One entry a check that says something, in order of time.

    `at` is in microseconds, `lower` and `upper` in metres or seconds of an hour meter. `turning`,
    `part` and `tool` are ids, NONE where there is none; `kind` and `duty` are places among the
    kinds of joint by code and in `DUTIES`.
    """

    finding: Ints
    joint: Ints
    vehicle: Ints
    kind: Ints
    duty: Ints
    hours: Flags
    wear: Flags
    play: Flags
    at: Ints
    lower: Ints
    upper: Ints
    loose: Flags
    first: Flags
    turning: Ints
    part: Ints
    tool: Ints

    def __len__(self) -> int:
        return int(self.finding.size)

    def of(self, which: Flags | Ints | slice) -> Self:
        return type(self)(**{name: column[which] for name, column in self.columns().items()})

    def columns(self) -> Columns:
        return {field.name: getattr(self, field.name) for field in fields(self)}

    def in_order(self) -> Self:
        return self.of(np.lexsort((self.finding, self.at)))


@dataclass(frozen=True, slots=True, eq=False)
class Weights:
    """What was usual for each exposure: the baseline's id (NONE for none), finds expected and
    hazard spent by it (nan)."""

    baseline: Ints
    expected: Floats
    spent: Floats

    def of(self, which: Flags | Ints | slice) -> "Weights":
        return Weights(self.baseline[which], self.expected[which], self.spent[which])


def joined(parts: Sequence[Exposures]) -> Exposures:
    """Several as one, in order of time."""
    told = [part.columns() for part in parts]
    return Exposures(
        **{name: np.concatenate([one[name] for one in told]) for name in told[0]}
    ).in_order()


def exposures_of(kinds: Kinds, vehicle_ids: Iterable[int] | None = None) -> Exposures:
    """Every exposure of these vehicles as their facts say; four queries."""
    ids = None if vehicle_ids is None else list(vehicle_ids)
    facts, fleet = read.facts_of(kinds, ids), _fleet(ids)
    return joined([
        _on_clock(facts, read.taken(facts.findings, which), fleet, kinds, clock, sight)
        for (clock, sight), which in read.clocks_of(facts.findings, kinds).items()
    ])  # fmt: skip


def kept_exposures(
    kinds: Kinds, vehicle_ids: Iterable[int] | None = None, which: Q | None = None
) -> tuple[Exposures, Weights]:
    """Every exposure of these vehicles as it is kept, and what it was weighed by; one query."""
    rows = Exposure.objects.filter(which or Q())
    if vehicle_ids is not None:
        rows = rows.filter(vehicle__in=list(vehicle_ids))
    found = numbers.read(
        rows.order_by(), finding=numbers.ident("finding_id"), joint=numbers.ident("joint_id"),
        vehicle=numbers.ident("vehicle_id"), kind=numbers.ident("joint__kind_id"),
        duty=numbers.coded("duty", DUTIES),
        hours=numbers.coded("vehicle__meter_unit", HOURS),
        wear=numbers.coded("clock", (Clock.WEAR,)), play=numbers.coded("sight", (Sight.PLAY,)),
        at=numbers.moment("at"), lower=numbers.whole("lower_si"), upper=numbers.whole("upper_si"),
        loose=numbers.flag("loose"), first=numbers.flag("first"),
        turning=numbers.ident("turning_id", may_miss=True),
        part=numbers.ident("part_id", may_miss=True), tool=numbers.ident("tool_id", may_miss=True),
        baseline=numbers.ident("baseline_id", may_miss=True),
        expected=numbers.measure("expected"), spent=numbers.measure("spent"),
    )  # fmt: skip
    found = read.taken(found, np.lexsort((found["finding"], found["at"])))
    weights = Weights(*(found.pop(field.name) for field in fields(Weights)))
    found["kind"] = kinds.places(found["kind"])
    for name in ("hours", "wear", "play"):
        found[name] = found[name] == 0
    return Exposures(**found), weights


def _fleet(ids: list[int] | None) -> Columns:
    rows = Vehicle.objects.all() if ids is None else Vehicle.objects.filter(pk__in=ids)
    return numbers.read(
        rows.order_by("pk"), vehicle=numbers.ident("pk"), duty=numbers.coded("duty", DUTIES),
        hours=numbers.coded("meter_unit", HOURS),
    )  # fmt: skip


def _on_clock(
    facts: Facts, findings: Columns, fleet: Columns, kinds: Kinds, clock: Clock, sight: Sight
) -> Exposures:
    tight = clock == Clock.TIGHTNESS
    begun = facts.turnings if tight else facts.parts
    watched = np.ones(begun["id"].size, dtype=np.bool_) if tight else begun["entry"] != NONE
    looks = looks_of(read.starts_of(begun, watched), read.checks_of(findings, sight))
    seen = read.taken(findings, looks.check)
    every, none = np.ones(looks.check.size, dtype=np.bool_), np.full(looks.check.size, NONE)
    return Exposures(
        finding=seen["id"], joint=seen["joint"], vehicle=seen["vehicle"],
        kind=kinds.places(seen["kind"]),
        duty=looked_up(fleet["vehicle"], fleet["duty"], seen["vehicle"]),
        hours=looked_up(fleet["vehicle"], fleet["hours"], seen["vehicle"]) == 0,
        wear=every & (not tight), play=every & (sight == Sight.PLAY),
        at=np.rint(looks.at * 1e6).astype(np.int64), lower=_to_whole(looks.lower),
        upper=_to_whole(looks.upper), loose=looks.loose,
        first=begun["first"][looks.start] if tight else every,
        turning=begun["id"][looks.start] if tight else none,
        part=_part_at(facts, seen, looks) if tight else begun["id"][looks.start],
        tool=begun["tool"][looks.start] if tight else none,
    )  # fmt: skip


def _to_whole(use: Floats) -> Ints:
    return np.rint(use).astype(np.int64)


def _part_at(facts: Facts, seen: Columns, looks: Looks) -> NDArray[Any]:
    """The part in place at each look; NONE where none is on record."""
    parts = facts.parts
    some = np.ones(parts["id"].size, dtype=np.bool_)
    places = Starts(parts["joint"], numbers.seconds(parts["at"]), np.zeros(some.size), some)
    place = last_start(places, seen["joint"], numbers.seconds(seen["at"]))
    known = place >= 0
    found = np.full(place.size, NONE)
    found[known] = parts["id"][place[known]]
    return found
