"""The figures of one pattern: finds, what like checks lead to expect, their ratio and its range."""

from dataclasses import dataclass

import numpy as np

from fleet.calc.clusters import (
    ClusterError,
    compare_rates,
    group_dispersion,
    rate_outliers,
    shrink_rates,
)
from fleet.calc.history.looks import Flags
from fleet.reads.history.rows import Watched

#: Members of these lie on one vehicle each: their ratio is drawn towards that of their like.
SHRUNK = ("joint", "vehicle")


@dataclass(frozen=True, slots=True)
class Figures:
    """`p_above`: chance of such finds were the true ratio no more than 1.5; None if not reckoned.

    `checks` and `vehicles` are what it rests on.
    """

    observed: int
    expected: float
    ratio: float
    low: float
    high: float
    p_above: float | None
    checks: int
    vehicles: int


def figures(
    rows: Watched, mine: Flags, label: str, shape: float, before: Flags | None = None
) -> Figures:
    """Reckon them; `before` holds a vehicle against its own past instead of against others."""
    observed, expected = int(rows.rows.found[mine].sum()), float(rows.expected[mine].sum())
    if before is not None:
        ratio, low, high, above = _against(rows, mine, mine | before, shape=float("inf"))
    elif label in SHRUNK:
        ratio, low, high, above = _among_its_like(rows, mine, label)
    else:
        everything = np.full(mine.size, True)
        ratio, low, high, above = _against(rows, mine, everything, shape)
    vehicles = int(np.unique(rows.rows.vehicle[mine]).size)
    return Figures(observed, expected, ratio, low, high, above, int(mine.sum()), vehicles)


Ratio = tuple[float, float, float, float | None]


def _against(rows: Watched, mine: Flags, among: Flags, shape: float) -> Ratio:
    """A group beside the rest of its kinds of joint, exactly; widened by the vehicles' spread."""
    due, whose = rows.expected[among], rows.rows.vehicle[among]
    try:
        wide = 1.0 if np.isinf(shape) else group_dispersion(due, whose, mine[among], shape)
        told = compare_rates(
            rows.rows.found[among], due, mine[among], rows.kind[among], dispersion=wide
        )
    except ClusterError:
        # The whole of what is on file lies in the group: held against what was usual before.
        alone = rate_outliers(int(rows.rows.found[mine].sum()), float(rows.expected[mine].sum()))
        return float(alone.ratio), float(alone.low), float(alone.high), None
    return told.ratio, told.low, told.high, told.p_above


def _among_its_like(rows: Watched, mine: Flags, label: str) -> Ratio:
    """One joint or vehicle, drawn towards the mean of all."""
    member = rows.rows.labels[label]
    known = member >= 0
    found = np.bincount(member[known], rows.rows.found[known])
    due = np.bincount(member[known], rows.expected[known])
    place = int(member[mine][0])
    kept = np.cumsum(due > 0) - 1
    told = shrink_rates(found[due > 0], due[due > 0])
    one = int(kept[place])
    return float(told.mean[one]), float(told.low[one]), float(told.high[one]), None
