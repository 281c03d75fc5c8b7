"""What stands out in the record by the end of the last whole week, with its figures.

Computed from the record alone: the same whenever and however often it is asked.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import numpy as np

from fleet.calc.clusters import ClusterError, e_value_worsening, vehicle_spread
from fleet.calc.clusters.causes import Candidate
from fleet.calc.history.causes import Standing, causes_over_time
from fleet.calc.history.looks import Floats, Ints
from fleet.calc.history.watch import NEVER, opened_each
from fleet.reads.history import shares
from fleet.reads.history.figures import Figures, figures
from fleet.reads.history.rows import Watched, start_of, watched, week_of
from fleet.reads.history.usual import month_number, months_of
from fleet.records.models import Baseline, Clock

#: Two clocks, each with half of one false pattern in twenty, for joints and for groups.
LEVEL = 0.025
#: Seasons that a vehicle may have become worse with: quarters of a year.
MONTHS_A_SEASON = 3
#: A vehicle's own pace is looked at every so many weeks.
EVERY = 4
WORSENING = "worsening"


@dataclass(frozen=True, slots=True)
class StandOut:
    """One pattern found by statistics.

    `kind` and `key` are the pattern's; `log_e` is of the moment it was opened; `facts` are the
    ids of what went wrong. `explained_by` is the label and member that explain it now.
    """

    kind: str
    key: str
    clock: str
    label: str
    member: str
    opened_at: datetime
    last_at: datetime
    until: datetime
    figures: Figures
    log_e: float
    tested: int
    level: float
    fact: str
    facts: tuple[int, ...]
    explains: tuple[tuple[str, str], ...] = ()
    not_told_apart: tuple[tuple[str, str], ...] = ()
    explained_by: tuple[str, str] | None = None


ShapeAt = Callable[[int, Floats, Floats], float]


@dataclass(frozen=True, slots=True, eq=False)
class Asked:
    """One question of the record, by the end of the last whole week."""

    rows: Watched
    shape_at: ShapeAt
    until: datetime

    @property
    def shape(self) -> float:
        """The spread between vehicles as it is taken to be now."""
        return self.shape_at(week_of(self.until), *_by_vehicle(self.rows))

    def stand_outs(self) -> list[StandOut]:
        found = _of_question(self)
        if self.rows.clock == Clock.TIGHTNESS:
            found += _worsening(self)
        return found


def questions(at: datetime) -> list[Asked]:
    """Every question by the end of the week before `at`; a fixed number of queries."""
    until = start_of(week_of(at))
    spread = _Spreads()
    return [
        *(Asked(watched(clock, until), spread.of(clock), until) for clock in Clock),
        *(
            Asked(rows, _AsSeen(), until)
            for rows in (shares.missed(until), shares.toe_drift(until))
        ),
    ]


def stand_outs(at: datetime) -> list[StandOut]:
    """All that ever stood out by the end of the week before `at`."""
    return [one for asked in questions(at) for one in asked.stand_outs()]


class _Spreads:
    """How vehicles differed, by the baseline of the month that a week lies in."""

    def __init__(self) -> None:
        self.by_month = {month_number(row.month): row.spread for row in Baseline.objects.all()}

    def of(self, clock: Clock) -> ShapeAt:
        def shape(week: int, _found: Floats, _spent: Floats) -> float:
            told = self.by_month.get(month_number(start_of(week)), {clock: 1.0})
            value = told.get(clock, 1.0)
            return float("inf") if value is None else float(value)

        return shape


class _AsSeen:
    """How vehicles differ, by the rows themselves; looked at anew with each month."""

    def __init__(self) -> None:
        self.month, self.shape = 0, 1.0

    def __call__(self, week: int, found: Floats, spent: Floats) -> float:
        month, known = month_number(start_of(week)), spent > 0
        if month != self.month:
            self.month = month
            try:
                self.shape = vehicle_spread(found[known], spent[known]).shape
            except ClusterError:
                self.shape = 1.0
        return self.shape


def _weeks(rows: Watched) -> Sequence[int]:
    """Ends of weeks in which something was looked at: no other week says anything new."""
    return [int(week) + 1 for week in np.unique(rows.rows.week)]


def _months_of(rows: Watched, last: int) -> Sequence[int]:
    """Ends of four weeks, counted from the same week always, in which something was looked at."""
    ends = {week // EVERY * EVERY + EVERY for week in np.unique(rows.rows.week).tolist()}
    return sorted(week for week in ends if week <= last)


def _of_question(asked: Asked) -> list[StandOut]:
    rows = asked.rows
    judged = causes_over_time(rows.rows, _weeks(rows), asked.shape_at, rows.families, level=LEVEL)
    return [_stand_out(asked, one, judged.tested[one.candidate.label]) for one in judged.standing]


def _by_vehicle(rows: Watched) -> tuple[Floats, Floats]:
    whose, many = rows.rows.vehicle, rows.vehicles.size
    found = np.bincount(whose, rows.rows.found, many)
    spent = np.bincount(whose, rows.rows.spent, many)
    return found.astype(np.float64), spent.astype(np.float64)


def _stand_out(asked: Asked, one: Standing, tested: int) -> StandOut:
    rows = asked.rows

    def named(other: Candidate) -> tuple[str, str]:
        return other.label, str(rows.members[other.label][other.member])

    label, member = named(one.candidate)
    now = one.now or one.opened
    mine = rows.rows.labels[label] == one.candidate.member
    return _told(
        rows, mine, kind=_kind(rows, label), label=label, member=member,
        opened_at=start_of(one.week), until=asked.until, log_e=one.opened.log_e, tested=tested,
        figures=figures(rows, mine, label, asked.shape),
        explains=tuple(named(other) for other in now.explains),
        not_told_apart=tuple(named(other) for other in now.not_told_apart),
        explained_by=named(one.explained_by) if one.explained_by else None,
    )  # fmt: skip


def _told(rows: Watched, mine: Any, **told: Any) -> StandOut:
    wrong = mine & (rows.rows.found > 0)
    last = float(rows.at[wrong].max(initial=rows.at[0]))
    return StandOut(
        key=f"{rows.clock}:{told['label']}:{told['member']}", clock=rows.clock, level=LEVEL,
        last_at=datetime.fromtimestamp(last, tz=told["until"].tzinfo), fact=rows.fact,
        facts=tuple(rows.facts[wrong].tolist()), **told,
    )  # fmt: skip


def _kind(rows: Watched, label: str) -> str:
    return {shares.MISSED: "missed", shares.TOE: "toe_drift"}.get(rows.clock, label)


def _worsening(asked: Asked) -> Iterable[StandOut]:
    """Vehicles whose finds come faster than their checks and their own past explain."""
    rows, until = asked.rows, asked.until
    if not rows.at.size:
        return
    months = months_of(rows.at)
    season: Ints = (months - months[0]) // MONTHS_A_SEASON
    opened = np.full(rows.vehicles.size, NEVER)
    strength, since = np.zeros(opened.size), np.zeros(opened.size, dtype=np.intp)
    for week in _months_of(rows, week_of(until)):
        some = slice(0, int(np.searchsorted(rows.rows.week, week)))
        shape = asked.shape_at(week, np.zeros(0), np.zeros(0))
        told = e_value_worsening(
            rows.rows.found[some],
            rows.rows.spent[some],
            rows.rows.vehicle[some],
            season[some],
            shape,
        )
        logs = np.full(opened.size, -np.inf)
        logs[: told.log_e.size] = told.log_e
        new = opened_each(logs[None, :], LEVEL)[0] & (opened == NEVER)
        opened[new], strength[new] = week, logs[new]
        since[: told.since.size] = told.since
    for place in np.flatnonzero(opened < NEVER):
        mine = (rows.rows.vehicle == place) & (season >= since[place])
        before = (rows.rows.vehicle == place) & ~mine
        yield _told(
            rows, mine, kind=WORSENING, label="vehicle", member=str(rows.vehicles[place]),
            opened_at=start_of(int(opened[place])), until=until, log_e=float(strength[place]),
            tested=int(opened.size), figures=figures(rows, mine, "vehicle", 1.0, before),
        )  # fmt: skip
