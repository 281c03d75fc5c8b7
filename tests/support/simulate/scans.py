"""Scans again and again over the years: what is opened when, in fleets side by side."""

import numpy as np

from fleet.calc.clusters import e_value_worsening, spent_hazard
from fleet.calc.clusters.shrinking import vehicle_spread
from fleet.calc.history import NEVER, Rows, Watch, watch
from fleet.calc.history.watch import LEVEL, opened_each
from tests.support.simulate.baseline import MONTH, expectations
from tests.support.simulate.weeks import TOOLS, Checks
from tests.support.simulate.world import (
    FIRST_LOTS,
    LOTS_A_PERIOD,
    PERIOD,
    PLACES,
    ROUTES,
    YARDS,
    Flags,
    Floats,
    World,
)

YEAR = 52
SEASON = 13
GROUPS = ("tool", "lot", "yard", "route", "practice")
FAMILIES = (("joint",), GROUPS)
__all__ = ["FAMILIES", "GROUPS", "NEVER", "YEAR", "members", "scan", "worsened"]


def members(world: World) -> dict[str, int]:
    lots = FIRST_LOTS + (world.size.weeks // PERIOD + 1) * LOTS_A_PERIOD
    return {
        "tool": TOOLS, "lot": lots, "yard": YARDS, "route": ROUTES, "practice": 2,
        "joint": world.size.vehicles * PLACES.shape[1],
    }  # fmt: skip


def rows_of(world: World, checks: Checks) -> Rows:
    """Checks from the time on at which their fleet was known, weighed by what was usual before."""
    due, known = expectations(world, checks)
    checks, due = checks.take(known), due[known]
    joint = checks.joint - world.vehicles.fleet[checks.vehicle] * members(world)["joint"]
    labels = {name: getattr(checks, name) for name in GROUPS}
    return Rows(
        checks.time, checks.vehicle, checks.found.astype(float), spent_hazard(due, checks.found),
        {"joint": joint, **labels},
    )  # fmt: skip


def scan(
    world: World, checks: Checks, *, every: int = 1, spread: str = "estimated",
    level: float = LEVEL,
) -> Watch:  # fmt: skip
    """Scan every so many weeks from the end of the first year on.

    `spread` is how vehicles are taken to differ: "estimated" anew each month, "true", or "none"
    (the fleet's own total alone).
    """
    return watch(
        rows_of(world, checks), range(YEAR, world.size.weeks + 1, every),
        _Spread(world, spread, every), families=FAMILIES, vehicle_fleet=world.vehicles.fleet,
        widths=members(world), level=level,
    )  # fmt: skip


def worsened(world: World, checks: Checks, *, every: int, level: float = LEVEL) -> Flags:
    """In which fleets a vehicle was ever told to get worse, looked at every so many weeks."""
    rows = rows_of(world, checks)
    whose = world.vehicles.fleet[rows.vehicle]
    told = np.zeros(world.size.fleets, dtype=np.bool_)
    for fleet in range(world.size.fleets):
        mine = whose == fleet
        vehicle = rows.vehicle[mine] - fleet * world.size.vehicles
        week, found, spent = rows.week[mine], rows.found[mine], rows.spent[mine]
        for until in range(YEAR, world.size.weeks + 1, every):
            some = slice(0, int(np.searchsorted(week, until)))
            finds, due = (
                np.bincount(vehicle[some], one[some], world.size.vehicles).astype(float)
                for one in (found, spent)
            )
            log_e = e_value_worsening(
                found[some], spent[some], vehicle[some], week[some] // SEASON,
                _of_fleet(finds, due),
            ).log_e  # fmt: skip
            told[fleet] |= bool(opened_each(log_e[None, :], level).any())
    return told


class _Spread:
    """The spread between vehicles of each fleet, as each month began with it."""

    def __init__(self, world: World, how: str, every: int) -> None:
        self.world, self.how, self.every = world, how, every
        self.shape: Floats | None = None

    def __call__(self, week: int, found: Floats, spent: Floats) -> Floats:
        if self.shape is None or (week - YEAR) % max(MONTH, self.every) < self.every:
            self.shape = self._now(found, spent)
        return self.shape

    def _now(self, found: Floats, spent: Floats) -> Floats:
        size = self.world.size
        if self.how == "none":
            return np.full(size.fleets, np.inf)
        if self.how == "true":
            return np.full(size.fleets, size.shape)
        each = (one.reshape(size.fleets, -1) for one in (found, spent))
        return np.array([_of_fleet(*one) for one in zip(*each, strict=True)])


def _of_fleet(found: Floats, due: Floats) -> float:
    kept = due > 0
    if not found[kept].any() or kept.sum() < 2:
        return 1.0
    return vehicle_spread(found[kept], due[kept]).shape
