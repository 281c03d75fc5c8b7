"""Scans again and again over the years: what is opened when, in fleets side by side."""

from dataclasses import dataclass

import numpy as np

from fleet.calc.clusters import e_value, spent_hazard
from fleet.calc.clusters.evidence import JOINT_RATIOS, RATIOS, Cells, among
from fleet.calc.clusters.shrinking import vehicle_spread
from tests.support.simulate.baseline import expectations
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
    Ints,
    World,
)

LEVEL = 0.05
YEAR = 52
NEVER = 1_000_000
GROUPS = ("tool", "lot", "yard", "route", "practice")


@dataclass(frozen=True)
class Opened:
    """For each fleet and member of a family, (fleets, members), the week it was first opened."""

    joints: Ints
    groups: Ints
    #: First column of each label among the groups.
    starts: dict[str, int]

    def any_by(self, week: int = NEVER - 1) -> tuple[Flags, Flags]:
        """Whether each fleet has a pattern among its joints, and one among its groups."""
        return self.joints.min(axis=1) <= week, self.groups.min(axis=1) <= week


def members(world: World) -> dict[str, int]:
    lots = FIRST_LOTS + (world.size.weeks // PERIOD + 1) * LOTS_A_PERIOD
    return {"tool": TOOLS, "lot": lots, "yard": YARDS, "route": ROUTES, "practice": 2}


class _Running:
    """Finds and expectation so far of each cell (a member on a vehicle), as weeks are added."""

    def __init__(self, world: World, checks: Checks, label: str) -> None:
        vehicles, self.fleets = world.vehicles.fleet.size, world.size.fleets
        if label == "joint":
            self.width = world.size.vehicles * PLACES.shape[1]
            member = checks.joint - world.vehicles.fleet[checks.vehicle] * self.width
        else:
            self.width = members(world)[label]
            member = getattr(checks, label)
        keys, self.row = np.unique(member * vehicles + checks.vehicle, return_inverse=True)
        self.vehicle = keys % vehicles
        self.member = world.vehicles.fleet[self.vehicle] * self.width + keys // vehicles
        self.ratios = JOINT_RATIOS if label == "joint" else RATIOS
        self.found, self.due = np.zeros(keys.size), np.zeros(keys.size)

    def add(self, rows: slice, found: Floats, due: Floats) -> None:
        self.found += np.bincount(self.row[rows], found, self.found.size)
        self.due += np.bincount(self.row[rows], due, self.due.size)

    def evidence(self, all_found: Floats, all_due: Floats, shape: Floats | None) -> Floats:
        """Log e, (fleets, members); minus infinity where nothing was expected yet."""
        size = self.fleets * self.width
        exposed = np.bincount(self.member, self.due, size)
        if shape is None:
            with np.errstate(divide="ignore"):
                logs = np.log(e_value(np.bincount(self.member, self.found, size), exposed))
        else:
            cells = Cells(self.found, self.due, self.vehicle, self.member, size)
            logs = among(cells, all_found, all_due, shape, self.ratios)
        return np.asarray(np.where(exposed > 0, logs, -np.inf).reshape(self.fleets, self.width))


def scan(world: World, checks: Checks, *, every: int = 1, spread: str = "estimated") -> Opened:
    """Scan every so many weeks from the end of the first year on.

    `spread` is how vehicles are taken to differ: "estimated" anew each year, "true", or "none"
    (the fleet's own total alone); with "fixed" finds are held against a fixed expectation.
    """
    due, known = expectations(world, checks)
    checks, due = checks.take(known), due[known]
    found = checks.found.astype(float)
    if spread != "fixed":
        due = spent_hazard(due, checks.found)
    tables = {name: _Running(world, checks, name) for name in ("joint", *GROUPS)}
    count = world.vehicles.fleet.size
    all_found, all_due = np.zeros(count), np.zeros(count)
    shape: Floats | None = None
    joints = groups = np.full((1, 1), NEVER)
    done = 0
    for week in range(YEAR, world.size.weeks + 1, every):
        until = int(np.searchsorted(checks.time, week))
        rows, done = slice(done, until), until
        all_found += np.bincount(checks.vehicle[rows], found[rows], count)
        all_due += np.bincount(checks.vehicle[rows], due[rows], count)
        for table in tables.values():
            table.add(rows, found[rows], due[rows])
        if (week - YEAR) % YEAR < every and spread != "fixed":
            shape = _shape(world, all_found, all_due, spread)
        logs = {name: one.evidence(all_found, all_due, shape) for name, one in tables.items()}
        together = np.concatenate([logs[name] for name in GROUPS], axis=1)
        joints = np.minimum(joints, np.where(opened_each(logs["joint"]), week, NEVER))
        groups = np.minimum(groups, np.where(opened_each(together), week, NEVER))
    widths = np.cumsum([0, *(tables[name].width for name in GROUPS)])
    return Opened(joints, groups, dict(zip(GROUPS, widths.tolist(), strict=False)))


def _shape(world: World, all_found: Floats, all_due: Floats, spread: str) -> Floats:
    if spread == "none":
        return np.full(world.size.fleets, np.inf)
    if spread == "true":
        return np.full(world.size.fleets, world.size.shape)
    found, due = (one.reshape(world.size.fleets, -1) for one in (all_found, all_due))
    return np.array([_of_fleet(*one) for one in zip(found, due, strict=True)])


def _of_fleet(found: Floats, due: Floats) -> float:
    kept = due > 0
    if not found[kept].any() or kept.sum() < 2:
        return 1.0
    return vehicle_spread(found[kept], due[kept]).shape


def opened_each(log_e: Floats) -> Flags:
    """e-BH in each row by itself; entries of minus infinity are no members."""
    size = np.isfinite(log_e).sum(axis=1, keepdims=True)
    order = (-log_e).argsort(axis=1)
    ranks = np.arange(1, log_e.shape[1] + 1)
    line = np.log(np.maximum(size, 1) / LEVEL) - np.log(ranks)
    enough = np.take_along_axis(log_e, order, axis=1) >= line
    last = np.where(enough.any(axis=1), log_e.shape[1] - enough[:, ::-1].argmax(axis=1), 0)
    place = order.argsort(axis=1)
    return np.asarray(place < last[:, None])
