"""What is expected of each check, as the program may know it: from finds of earlier quarters only.

Usual hazard = kind × first or later tightening × duty × use ** shape, fitted anew each quarter to
everything before it. A kind with few finds so far is drawn towards the fleet's mean, and checks
count from the quarter on in which the fleet had enough finds. Seasons and the vehicles' own spread
are not in it.
"""

import numpy as np

from fleet.calc.clusters import expected_events
from tests.support.simulate.weeks import Checks
from tests.support.simulate.world import AT_4000, Flags, Floats, Ints, World

QUARTER = 13
FEWEST_FINDS = 10
#: Finds that the mean of all kinds is worth beside a kind's own.
STRENGTH = 3.0
SHAPES = np.array([0.6, 0.75, 0.9, 1.1, 1.3, 1.6, 2.0])
KINDS, LATER, DUTIES = AT_4000.size, 2, 3
_ROUNDS = 12


def expectations(world: World, checks: Checks) -> tuple[Floats, Flags]:
    """Return each row's expected finds, and whether the fleet was known well enough by then."""
    quarters = -(-world.size.weeks // QUARTER)
    fleet, quarter = world.vehicles.fleet[checks.vehicle], checks.time // QUARTER
    kind, later = checks.stratum // 2, checks.stratum % 2
    shape_axes = (world.size.fleets, quarters, KINDS, LATER, DUTIES)
    cell = np.ravel_multi_index((fleet, quarter, kind, later, checks.duty), shape_axes)
    power = (checks.upper / 4000) ** SHAPES[:, None] - (checks.lower / 4000) ** SHAPES[:, None]

    def before(weight: Floats) -> Floats:
        """Sums over all earlier quarters."""
        sums = np.bincount(cell, weight, np.prod(shape_axes)).reshape(shape_axes)
        return np.asarray(np.cumsum(sums, axis=1) - sums)

    finds = before(checks.found.astype(float))
    exposed = np.stack([before(one) for one in power])
    squares = np.stack([before(one**2) for one in power])
    logs = np.stack([before(checks.found * np.log(one)) for one in power])
    best = _best_shape(finds, exposed, logs)
    chosen = best[None, :, :, None, :, None]
    rate = _fitted(finds, *(np.take_along_axis(one, chosen, 0)[0] for one in (exposed, squares)))
    known = finds.sum(axis=(2, 3, 4)) >= FEWEST_FINDS
    row_rate = rate.reshape(-1)[cell]
    row_shape = SHAPES[best[fleet, quarter, later]]
    expected = expected_events(
        checks.lower, checks.upper, np.arange(checks.found.size),
        lambda use, row: row_rate[row] * (use / 4000) ** row_shape[row],
    )  # fmt: skip
    return expected, known[fleet, quarter]


def _best_shape(finds: Floats, exposed: Floats, logs: Floats) -> Ints:
    """Likeliest of the shapes, for first and later tightenings of each fleet and quarter."""
    by_kind, exposed_by_kind = finds.sum(axis=4), exposed.sum(axis=5)
    with np.errstate(divide="ignore", invalid="ignore"):
        rate = np.where(by_kind > 0, by_kind * np.log(by_kind / exposed_by_kind), 0.0)
    likelihood = rate.sum(axis=3) + logs.sum(axis=(3, 5))
    return np.asarray(likelihood.argmax(axis=0))


def _fitted(finds: Floats, exposed: Floats, squares: Floats) -> Floats:
    """Kind × tightening × duty, each in turn made to meet its finds."""
    rate = np.ones_like(finds)
    for _ in range(_ROUNDS):
        for others in ((2, 3, 4), (2, 4), (2, 3)):
            rate = rate * _step(finds, _due(rate, exposed, squares), others)
    return rate * _step(finds, _due(rate, exposed, squares), (3, 4), STRENGTH)


def _due(rate: Floats, exposed: Floats, squares: Floats) -> Floats:
    """Sum of 1 - exp(-rate x), to the second order as long as that holds."""
    return np.maximum(rate * exposed - rate**2 * squares / 2, rate * exposed / 2)


def _step(finds: Floats, due: Floats, over: tuple[int, ...], strength: float = 0.0) -> Floats:
    with np.errstate(divide="ignore", invalid="ignore"):
        step = (finds.sum(axis=over, keepdims=True) + strength) / (
            due.sum(axis=over, keepdims=True) + strength
        )
    return np.where(np.isfinite(step), np.clip(step, 0.02, 50.0), 1.0)
