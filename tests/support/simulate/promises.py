"""What the patterns promise, measured on fleets with a known truth.

Nothing wrong: how many fleets ever see a pattern, over all scans. A planted cause: in how many
fleets it was opened by the end of a year, and how many finds its checks led to expect by then.
"""

from dataclasses import dataclass

import numpy as np

from fleet.calc.clusters import spent_hazard, vehicle_spread
from fleet.calc.clusters.causes import Candidate, Cause, find_causes
from fleet.calc.history import Watch
from fleet.calc.history.watch import LEVEL
from tests.support.simulate.baseline import expectations
from tests.support.simulate.scans import GROUPS, SEASON, YEAR, scan, worsened
from tests.support.simulate.weeks import Checks, make_checks
from tests.support.simulate.world import Flags, Floats, Size, Truth, World, make_world, oval_holes

#: Number of the planted member under its label.
PLANTED = {"tool": 0, "lot": 1, "route": 2}


@dataclass(frozen=True)
class FalseAlarms:
    """Fleets with nothing wrong, and those in which something was ever opened."""

    fleets: int
    joints: int
    groups: int
    worsened: int
    any: int


@dataclass(frozen=True)
class Power:
    """By the end of a year: finds expected of the planted cause, and the share of fleets told."""

    year: int
    expected: float
    ratio: float
    power: float


def false_alarms(
    size: Size, seed: int, *, batch: int, every: int = 4, spread: str = "estimated",
    level: float = LEVEL,
) -> FalseAlarms:  # fmt: skip
    """Let fleets with nothing wrong live, `batch` at a time, and scan them again and again."""
    told = np.zeros(4, dtype=np.intp)
    for number in range(0, size.fleets, batch):
        some = Size(min(batch, size.fleets - number), size.vehicles, size.years, size.shape)
        world = make_world(some, Truth(), seed + number)
        checks = make_checks(world)
        joints, groups = any_by(scan(world, checks, every=every, spread=spread, level=level))
        worse = worsened(world, checks, every=SEASON, level=level)
        told += joints.sum(), groups.sum(), worse.sum(), (joints | groups | worse).sum()
    return FalseAlarms(size.fleets, *(int(one) for one in told))


def any_by(opened: Watch) -> tuple[Flags, Flags]:
    """Whether each fleet ever had a pattern among its joints, and one among its groups."""
    return opened.any_of(("joint",)), opened.any_of(GROUPS)


def power(
    size: Size, truth: Truth, seed: int, *, years: tuple[int, ...], every: int = 8
) -> list[Power]:
    """Let fleets with one planted cause live, and tell by when it was opened."""
    world = make_world(size, truth, seed)
    checks = make_checks(world)
    rows = planted_rows(world, checks)
    due, known = expectations(world, checks)
    week = planted_week(world, scan(world, checks, every=every))
    told = []
    for year in years:
        sofar = rows & known & (checks.time < YEAR * year)
        expected, found = due[sofar].sum(), checks.found[sofar].sum()
        share = np.mean(week <= YEAR * year)
        told.append(Power(year, expected / size.fleets, found / expected, float(share)))
    return told


def planted_rows(world: World, checks: Checks) -> Flags:
    """The checks that the planted cause bears on."""
    for name, member in PLANTED.items():
        if getattr(world.truth, name) != 1:
            return np.asarray(getattr(checks, name) == member)
    return np.isin(checks.joint, _holes(world))


def planted_week(world: World, opened: Watch) -> Floats:
    """The week in which the planted cause was first opened, in each fleet."""
    for name, member in PLANTED.items():
        if getattr(world.truth, name) != 1:
            return np.asarray(opened.opened[name][:, member])
    return np.asarray(opened.opened["joint"].ravel()[_holes(world)])


def _holes(world: World) -> np.ndarray:
    return oval_holes(world.size, world.vehicles, world.joints.kind, world.joints.vehicle)


def causes_of(world: World, checks: Checks, fleet: int) -> tuple[Cause, ...]:
    """What one fleet's record comes to at its end, one cause a pattern."""
    due, known = expectations(world, checks)
    rows = known & (world.vehicles.fleet[checks.vehicle] == fleet)
    mine = checks.take(rows)
    expected = spent_hazard(due[rows], mine.found)
    vehicle = mine.vehicle - fleet * world.size.vehicles
    finds, exposed = np.bincount(vehicle, mine.found), np.bincount(vehicle, expected)
    spread = vehicle_spread(finds, exposed)
    labels = {name: getattr(mine, name) for name in ("joint", *GROUPS)}
    return find_causes(mine.found, expected, vehicle, labels, prior_shape=spread.shape)


def planted(world: World, fleet: int = 0) -> Candidate:
    """The planted cause, as `find_causes` would name it."""
    for name, member in PLANTED.items():
        if getattr(world.truth, name) != 1:
            return Candidate(name, member)
    return Candidate("joint", int(_holes(world)[fleet]))
