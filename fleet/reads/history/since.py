"""What came after: whether an action helped, and whether what was laid to rest is back."""

from dataclasses import dataclass
from datetime import datetime

import numpy as np

from fleet.calc.clusters import (
    ClusterError,
    Helped,
    Posterior,
    did_it_help,
    e_value_among,
    posterior,
    shrink_rates,
)
from fleet.calc.clusters.evidence import JOINT_RATIOS, RATIOS
from fleet.calc.history.looks import Flags
from fleet.calc.history.watch import ON_ONE_VEHICLE
from fleet.reads.history.standing import Asked

#: An action on these bears on what is put together after it; on the others, on every later check.
FROM_THE_START = ("joint", "tool", "lot", "part", "practice")
#: Evidence of one thing looked at by itself: one false return in twenty.
BACK = float(np.log(20))


@dataclass(frozen=True, slots=True)
class Since:
    """The verdict, with the finds and expected finds since; `checks` made since."""

    helped: Helped
    seen: int
    expected: float
    checks: int


def verdict(asked: Asked, label: str, member: str, acted_at: datetime) -> Since:
    """Finds after an action, held against what the record before leads to expect."""
    rows, moment = asked.rows, acted_at.timestamp()
    mine = rows.of(label, member)
    later = rows.at >= moment
    after = later & (rows.begun >= moment) if label in FROM_THE_START else later
    seen = int(rows.rows.found[mine & after].sum())
    expected = float(rows.expected[mine & after].sum())
    rest = ~mine & later
    control = int(rows.rows.found[rest].sum()), float(rows.expected[rest].sum())
    before = _before(asked, label, mine, ~later)
    told = did_it_help(before, seen, expected, control=control)
    return Since(told, seen, expected, int((mine & after).sum()))


def _before(asked: Asked, label: str, mine: Flags, earlier: Flags) -> Posterior:
    """The ratio before, drawn towards the others of its label: what stood out did so by chance
    too."""
    rows = asked.rows
    number = rows.rows.labels[label]
    told = earlier & (number >= 0)
    found = np.bincount(number[told], rows.rows.found[told])
    due = np.bincount(number[told], rows.expected[told])
    place = int(number[mine][0])
    observed = int(rows.rows.found[mine & earlier].sum())
    expected = float(rows.expected[mine & earlier].sum())
    kept = np.cumsum(due > 0) - 1
    try:
        shrunk = shrink_rates(found[due > 0], due[due > 0])
    except ClusterError:
        return Posterior(1.0 + observed, (1.0 + observed) / (1.0 + expected))
    return posterior(observed, float(shrunk.mean[kept[place]]), shrunk.prior_shape)


def is_back(asked: Asked, label: str, member: str, since: datetime) -> bool:
    """Whether what came since stands out by itself, as if nothing had been before."""
    rows = asked.rows
    mine = rows.of(label, member)
    later = rows.at >= since.timestamp()
    told = later & (rows.rows.labels[label] >= 0)
    if not (mine & later).any():
        return False
    whose, many = rows.rows.vehicle, rows.vehicles.size
    keys, cell = np.unique(rows.rows.labels[label][told] * many + whose[told], return_inverse=True)
    logs = e_value_among(
        np.bincount(cell, rows.rows.found[told], keys.size),
        np.bincount(cell, rows.rows.spent[told], keys.size), keys % many, keys // many,
        np.bincount(whose[later], rows.rows.found[later], many),
        np.bincount(whose[later], rows.rows.spent[later], many), asked.shape,
        ratios=JOINT_RATIOS if label in ON_ONE_VEHICLE else RATIOS,
    )  # fmt: skip
    return bool(logs[int(rows.rows.labels[label][mine][0])] >= BACK)
