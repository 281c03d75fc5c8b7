"""The demo's checks with what they find drawn anew, and judged as the scan judges the record."""

from dataclasses import dataclass, fields, replace
from datetime import datetime

import numpy as np
from django.utils import timezone
from numpy.typing import NDArray

from fleet.calc.clusters.causes import Candidate
from fleet.calc.history import Rows
from fleet.calc.history.causes import Judged, causes_over_time
from fleet.calc.history.looks import Flags, Floats, Ints
from fleet.operations.demo import inputs
from fleet.reads.history import usual
from fleet.reads.history.labels import LABELS, families
from fleet.reads.history.numbers import NONE, Columns
from fleet.reads.history.rows import numbered, start_of, week_of
from fleet.reads.history.standing import LEVEL
from fleet.reads.history.usual import Table, month_number
from fleet.records.models import Baseline, Clock
from tests.bench.demo_causes import Demo

#: Columns of texts; the others hold ids.
TEXTS = ("number", "lot", "practice", "duty")


@dataclass(frozen=True)
class Told:
    """Causes of one draw: standing by themselves, found at all, and what else stood at the end;
    and the finds at each cause's checks."""

    alone: list[str]
    found: list[str]
    other: list[str]
    finds: dict[str, int]


@dataclass(frozen=True, eq=False)
class Drawn:
    """A record that might have been: its checks, and what they are put down to."""

    table: Table
    named: Columns
    at: list[datetime]
    finds: dict[str, int]


def drawn(demo: Demo, rng: np.random.Generator) -> Drawn:
    """What every check finds, drawn anew.

    What is found loose is tightened there and then: its clock begins again, by another tool (for
    wear, with a part of another lot), on the checks that there were. The checks that a find
    brings with it are not made up, so power is told rather too low.
    """
    table, cv = demo.table, inputs.read("truth")["loosening"]["spread_cv"] ** 2
    _ids, whose = np.unique(table.vehicle, return_inverse=True)
    own = rng.gamma(1 / cv, cv, int(whose.max()) + 1)[whose]
    lower, upper = table.lower.astype(np.float64), table.upper.astype(np.float64)
    spell = demo.spell.copy()
    loose, again = (np.zeros(whose.size, dtype=np.bool_) for _ in range(2))
    left = np.arange(whose.size)
    while left.size:
        factor = np.where(again[left], demo.factor_later[left], demo.factor[left])
        hazard = own[left] * factor * demo.hazard(lower[left], upper[left], left)
        found = rng.random(left.size) < -np.expm1(-hazard)
        place = _first_of_each(spell[left], found)
        loose[left[found & (place == np.arange(left.size))]] = True
        # What comes after the first find of a spell is a spell of its own.
        after = (place >= 0) & (np.arange(left.size) > place)
        base = upper[left[place[after]]]
        left = left[after]
        lower[left], upper[left] = np.maximum(lower[left] - base, 0), upper[left] - base
        again[left] = True
        left = left[upper[left] > lower[left]]
    kept = upper > lower
    named = {name: column.copy() for name, column in demo.named.items()}
    named["tool_id"][again & ~table.wear] = None
    named["lot"][again & table.wear] = ""
    table = replace(table, lower=lower, upper=upper, loose=loose)
    return Drawn(
        _taken(table, kept), {name: column[kept] for name, column in named.items()},
        [moment for moment, keep in zip(demo.at, kept, strict=True) if keep],
        {one.name: int(loose[one.mine & ~(again & (one.label == "tool"))].sum())
         for one in demo.planted},
    )  # fmt: skip


def _first_of_each(spell: Ints, found: Flags) -> Ints:
    """For each row the place of the first find in its spell; -1 where there is none."""
    places = np.flatnonzero(found)
    spells, first = np.unique(spell[places], return_index=True)
    if not spells.size:
        return np.full(spell.size, -1)
    where = np.minimum(np.searchsorted(spells, spell), spells.size - 1)
    return np.where(spells[where] == spell, places[first[where]], -1)


def judged(demo: Demo, rng: np.random.Generator) -> Told:
    """Draw what every check finds, and judge it as the scan would."""
    made, now = drawn(demo, rng), timezone.now()
    months = range(int(made.table.month.min()), month_number(now) + 1)
    stored = {month_number(one.month): one
              for one in usual.baselines(made.table, {}, months, now)}  # fmt: skip
    _expected, spent = usual.weighed(made.table, stored)
    each = {clock: _judge(clock, made, spent, stored, now) for clock in Clock}
    return _told(demo, each, made.finds)


def _taken(table: Table, kept: Flags) -> Table:
    arrays = {one.name: getattr(table, one.name)[kept] for one in fields(table)
              if one.name != "kinds"}  # fmt: skip
    return Table(kinds=table.kinds, **arrays)


@dataclass(frozen=True, eq=False)
class OnClock:
    judged: Judged
    members: dict[str, NDArray[np.str_]]

    def named(self, one: Candidate) -> tuple[str, str]:
        return one.label, str(self.members[one.label][one.member])


def _judge(
    clock: Clock, made: Drawn, spent: Floats, stored: dict[int, Baseline], now: datetime
) -> OnClock:  # fmt: skip
    """As `fleet.reads.history.standing` judges a clock, from what is in memory."""
    until, table, at, named = start_of(week_of(now)), made.table, made.at, made.named
    known = np.isfinite(spent) & (table.wear == (clock == Clock.WEAR))
    known &= np.array([moment < until for moment in at])
    week = np.array([week_of(moment) for moment in at], dtype=np.intp)[known]
    _ids, vehicle = np.unique(table.vehicle[known], return_inverse=True)
    labels, members = {}, {}
    some, texts = _numbers({column: values[known] for column, values in named.items()})
    for name, label in LABELS.items():
        if clock in label.clocks:
            labels[name], members[name] = numbered(label, some, texts)
    rows = Rows(week, vehicle, table.loose[known].astype(float), spent[known], labels)

    def shape_at(week: int, _found: Floats, _spent: Floats) -> float:
        told = stored[month_number(start_of(week))].spread[clock]
        return float("inf") if told is None else float(told)

    weeks = range(int(week[0]) + 1, week_of(until) + 1)
    return OnClock(causes_over_time(rows, weeks, shape_at, families(clock), level=LEVEL), members)


def _numbers(named: Columns) -> tuple[Columns, dict[str, list[str]]]:
    """Ids and places of texts, and the texts."""
    found, texts = {}, {}
    for column, values in named.items():
        if column in TEXTS:
            names, found[column] = np.unique(values.astype(str), return_inverse=True)
            texts[column] = names.tolist()
        else:
            found[column] = np.array([NONE if one is None else one for one in values], dtype=int)
    return found, texts


def _told(demo: Demo, each: dict[Clock, OnClock], finds: dict[str, int]) -> Told:
    alone: list[str] = []
    folded: list[str] = []
    other: list[str] = []
    names = {(one.clock, one.label, one.member): one.name for one in demo.planted}
    for clock, one in each.items():
        # Explained by another now is how a salt yard is cleared.
        for cause in [standing.now for standing in one.judged.standing if standing.now]:
            name = names.get((clock, *one.named(cause.candidate)))
            (other if name is None else alone).append(name or cause.candidate.label)
            under = [names.get((clock, *one.named(other_))) for other_ in cause.explains]
            folded += [name for name in under if name]
    return Told(alone, sorted({*alone, *folded}), other, finds)
