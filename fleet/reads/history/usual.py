"""What was usual when each month began, and what that leads to expect of each check since.

A check is held against the baseline of its own month, which rests on earlier months only and never
changes. So an expectation is fixed before its check, and the same however often it is worked out.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

import numpy as np

from fleet.calc.clusters import ClusterError, spent_hazard, vehicle_spread
from fleet.calc.history.looks import Flags, Floats, Ints
from fleet.calc.history.usual import FEWEST_FINDS, Usual, expected_of, tallied, usual_before
from fleet.reads.history.columns import Kinds
from fleet.reads.history.exposures import DUTIES, Exposures, Weights
from fleet.reads.history.numbers import NONE
from fleet.records.models import Baseline, Clock

DISTANCE, HOURS = "distance", "hours"
METERS = (DISTANCE, HOURS)
#: A use of the size that checks lie apart: 4,000 miles, 180 hours (own).
SCALES = {DISTANCE: 6_437_376.0, HOURS: 648_000.0}
STRATA = {Clock.TIGHTNESS: 4, Clock.WEAR: 1}


@dataclass(frozen=True, slots=True, eq=False)
class Table:
    """Exposures in order of time, each with its place in the baseline of its month."""

    month: Ints
    vehicle: Ints
    wear: Flags
    hours: Flags
    kind: Ints
    stratum: Ints
    duty: Ints
    lower: Floats | Ints
    upper: Floats | Ints
    loose: Flags
    kinds: tuple[str, ...]

    def on(self, clock: Clock, meter: str) -> Flags:
        wear, hours = clock == Clock.WEAR, meter == HOURS
        return np.asarray((self.wear == wear) & (self.hours == hours))


def month_number(moment: datetime | date) -> int:
    """Months since year 0, by UTC."""
    when = moment.astimezone(UTC) if isinstance(moment, datetime) else moment
    return when.year * 12 + when.month - 1


def months_of(at: Floats) -> Ints:
    """The same of many moments in seconds."""
    months = at.astype("datetime64[s]").astype("datetime64[M]").astype(np.intp)
    return np.asarray(months + month_number(date(1970, 1, 1)))


def first_of(month: int) -> date:
    return date(month // 12, month % 12 + 1, 1)


def months_at(moments: Ints) -> Ints:
    """The same of many moments in microseconds."""
    months = moments.astype("datetime64[us]").astype("datetime64[M]").astype(np.intp)
    return np.asarray(months + month_number(date(1970, 1, 1)))


def table_of(exposures: Exposures, kinds: Kinds) -> Table:
    """Exposures with their places in the baselines."""
    # Wear is one stratum; tightness has first and later, moved and play.
    stratum = np.where(exposures.wear, 0, 2 * exposures.play + ~exposures.first)
    return Table(
        month=months_at(exposures.at), vehicle=exposures.vehicle, wear=exposures.wear,
        hours=exposures.hours, kind=exposures.kind, stratum=stratum, duty=exposures.duty,
        lower=exposures.lower, upper=exposures.upper, loose=exposures.loose, kinds=kinds.codes,
    )  # fmt: skip


def baselines(
    table: Table, stored: Mapping[int, Baseline], months: Sequence[int], at: datetime
) -> list[Baseline]:
    """Baselines of these months, in a row, that are not stored yet; they are not saved.

    Each rests on the exposures of the months before it.
    """
    if not months:
        return []
    made = {month: dict[str, dict[str, Any]]() for month in months if month not in stored}
    for clock in Clock:
        for meter in METERS:
            for month, usual in _usual(table, clock, meter, months):
                if month in made:
                    made[month].setdefault(clock, {})[meter] = _told(usual, table.kinds)
    rows = {
        month: Baseline(month=first_of(month), made_at=at, usual=usual, spread={})
        for month, usual in made.items()
    }
    spent = weighed(table, {**stored, **rows})[1]
    for clock in Clock:
        for month, shape in _spreads(table, spent, clock, list(rows)):
            rows[month].spread[clock] = shape
    return list(rows.values())


def _usual(
    table: Table, clock: Clock, meter: str, months: Sequence[int]
) -> Iterable[tuple[int, Usual]]:
    which = table.on(clock, meter)
    first = min(int(table.month[which].min(initial=months[0])), months[0])
    sizes = (months[-1] - first + 1, len(table.kinds), STRATA[clock], len(DUTIES))
    which &= table.month <= months[-1]
    cell = np.ravel_multi_index(
        (table.month[which] - first, table.kind[which], table.stratum[which], table.duty[which]),
        sizes,
    )
    tally = tallied(cell, sizes, table.lower[which], table.upper[which], table.loose[which],
                    SCALES[meter])  # fmt: skip
    usual = usual_before(tally, axis=0)
    for month in months:
        at = month - first
        yield month, Usual(usual.rate[at], usual.shape[at], usual.finds[at])


def _told(usual: Usual, kinds: tuple[str, ...]) -> dict[str, Any]:
    return {
        "finds": float(usual.finds), "shape": usual.shape.tolist(),
        "rate": [[[float(f"{rate:.4g}") for rate in row] for row in kind] for kind in usual.rate],
        "kinds": list(kinds), "duties": list(DUTIES),
    }  # fmt: skip


def _spreads(
    table: Table, spent: Floats, clock: Clock, months: Sequence[int]
) -> Iterable[tuple[int, float | None]]:
    """Gamma shape of how vehicles differed before each of rising months; None where none was seen.

    Checks lie in order of time, so each month adds what came since the one before it.
    """
    which = (table.wear == (clock == Clock.WEAR)) & np.isfinite(spent)
    ids, whose = np.unique(table.vehicle[which], return_inverse=True)
    loose, borne = table.loose[which], spent[which]
    found, due = np.zeros(ids.size), np.zeros(ids.size)
    done = 0
    for month, until in zip(months, np.searchsorted(table.month[which], months), strict=True):
        np.add.at(found, whose[done:until], loose[done:until])
        np.add.at(due, whose[done:until], borne[done:until])
        done = until
        yield month, _spread(found[due > 0], due[due > 0])


def _spread(found: Floats, due: Floats) -> float | None:
    try:
        shape = vehicle_spread(found, due).shape
    except ClusterError:
        # Too few to tell: as if they differed much, which errs on the side of silence.
        return 1.0
    return float(shape) if np.isfinite(shape) else None


def weights_of(exposures: Exposures, kinds: Kinds) -> Weights:
    """Weigh exposures by the baselines of their months, where there are any; one query."""
    table = table_of(exposures, kinds)
    months = [first_of(month) for month in np.unique(table.month).tolist()]
    stored = {month_number(row.month): row for row in Baseline.objects.filter(month__in=months)}
    expected, spent = weighed(table, stored)
    baseline = np.full(len(exposures), NONE)
    known = np.isfinite(expected)
    for month in np.unique(table.month[known]).tolist():
        baseline[known & (table.month == month)] = stored[month].pk
    return Weights(baseline, expected, spent)


def first_known_month(stored: Iterable[Baseline]) -> date | None:
    """The first month in which the fleet was known well enough to expect anything."""
    return min(
        (
            row.month
            for row in stored
            for by_meter in row.usual.values()
            if any(one["finds"] >= FEWEST_FINDS for one in by_meter.values())
        ),
        default=None,
    )


def weighed(table: Table, stored: Mapping[int, Baseline]) -> tuple[Floats, Floats]:
    """Expected finds, and hazard spent, of each exposure; nan where the fleet was not known."""
    expected = np.full(table.month.size, np.nan)
    for clock in Clock:
        for meter in METERS:
            _expect(table, table.on(clock, meter), clock, meter, stored, expected)
    spent = np.full(expected.size, np.nan)
    known = np.isfinite(expected)
    spent[known] = spent_hazard(expected[known], table.loose[known])
    return expected, spent


def _expect(
    table: Table, which: Flags, clock: Clock, meter: str, stored: Mapping[int, Baseline],
    expected: Floats,
) -> None:  # fmt: skip
    """Fill in one clock and meter; baselines are laid on each other, one a month."""
    usual, months = _laid(stored, clock, meter, table.kinds)
    place = np.searchsorted(months, table.month)
    place[place == months.size] = 0
    rows = which & (months[place] == table.month) if months.size else np.zeros_like(which)
    if not rows.any():
        return
    rows[rows] &= usual.known[place[rows]]
    expected[rows] = expected_of(
        usual, (place[rows],), table.kind[rows], table.stratum[rows], table.duty[rows],
        table.lower[rows], table.upper[rows], SCALES[meter],
    )  # fmt: skip
    # A kind that came after the baseline has no rate in it.
    expected[rows & ~np.isfinite(expected)] = np.nan


def _laid(
    stored: Mapping[int, Baseline], clock: Clock, meter: str, kinds: tuple[str, ...]
) -> tuple[Usual, Ints]:
    """Stored baselines as one array by month, the kinds in the order of `kinds`."""
    told = {month: stored[month].usual.get(clock, {}).get(meter) for month in sorted(stored)}
    months = [month for month, one in told.items() if one]
    rate = np.full((len(months), len(kinds), STRATA[clock], len(DUTIES)), np.nan)
    shape = np.ones((len(months), STRATA[clock]))
    finds = np.zeros(len(months))
    place = {code: number for number, code in enumerate(kinds)}
    for number, month in enumerate(months):
        one = told[month]
        at = [place[code] for code in one["kinds"] if code in place]
        kept = [row for code, row in zip(one["kinds"], one["rate"], strict=True) if code in place]
        rate[number, at] = kept
        shape[number], finds[number] = one["shape"], one["finds"]
    return Usual(rate, shape, finds), np.array(months, dtype=np.intp)
