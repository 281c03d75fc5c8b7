"""The evidence of groups weighed against the spread between vehicles, on arrays known to fit."""

from typing import NamedTuple

import numpy as np

from fleet.calc.clusters.counts import Flags, Floats, Ints

#: Room for rounding where a bound is held against a line.
_SLACK = 1e-6


class Cells(NamedTuple):
    """Finds and expectation of each group on each vehicle; `groups` is how many there are."""

    seen: Floats
    due: Floats
    vehicle: Ints
    group: Ints
    groups: int

    def of(self, groups: Flags) -> "Cells":
        """Those of some groups."""
        kept = groups[self.group]
        return Cells(
            self.seen[kept], self.due[kept], self.vehicle[kept], self.group[kept], self.groups
        )


def among(
    cells: Cells, all_seen: Floats, all_due: Floats, shape: Floats, ratios: tuple[float, ...],
    least: float | None = None,
) -> Floats:  # fmt: skip
    """`fleet.calc.clusters.e_value_among`.

    `shape` has one entry for each fleet: vehicles and groups may be those of several fleets of
    one size, one after another. With `least`, groups whose log e can't reach it are not worked
    out: what is told of them is some figure below it.
    """
    fleet = _Fleet(all_seen, all_due, shape)
    if np.bincount(cells.group, minlength=cells.groups).max(initial=0) > 1:
        return _shared(cells, fleet, ratios, least)
    if least is None:
        return _alone(cells, fleet, ratios)
    # e is the mean over r of r ** finds times something below 1: too few finds never get there.
    found = np.bincount(cells.group, cells.seen, cells.groups)
    may = found >= fewest_finds(ratios, least)
    return np.where(may, _alone(cells.of(may), fleet, ratios), least - 1)


def fewest_finds(ratios: tuple[float, ...], least: float) -> int:
    """Finds without which no log e of `least` can be reached, whatever was expected.

    >>> fewest_finds((1.5, 2.0, 3.0, 4.5, 9.0, 18.0), np.log(40))
    2
    """
    finds = 0
    while np.log(np.mean(np.power(ratios, finds))) < least - _SLACK:
        finds += 1
    return finds


def _alone(cells: Cells, fleet: "_Fleet", ratios: tuple[float, ...]) -> Floats:
    """Groups that each lie on one vehicle: too small to move the fleet's level."""
    found = np.bincount(cells.group, cells.seen, cells.groups)
    level = np.repeat(fleet.level.ravel(), cells.groups // fleet.level.size)[cells.group]
    own = fleet.beside(cells)
    logs = [
        found * np.log(r) - np.bincount(cells.group, own.added(level, r), cells.groups)
        for r in ratios
    ]
    return mixed(logs)


def _shared(
    cells: Cells, fleet: "_Fleet", ratios: tuple[float, ...], least: float | None
) -> Floats:
    """Groups over several vehicles, each of which moves the level that meets the fleet's finds."""
    fleets = fleet.level.size
    found, due = (np.bincount(cells.group, one, cells.groups) for one in (cells.seen, cells.due))
    with np.errstate(divide="ignore", invalid="ignore"):
        share = due.reshape(fleets, -1) / fleet.total_due
    own = fleet.beside(cells)
    gains, levels = [], []
    for r in ratios:
        lower = 1 / (1 + (r - 1) * share)
        now = fleet.level * lower
        added = np.bincount(cells.group, own.added(now.ravel()[cells.group], r), cells.groups)
        gains.append((found * np.log(r) - added).reshape(fleets, -1))
        levels.append(lower)
    return _with_level_moved(fleet, gains, levels, share, least).ravel()


def _with_level_moved(
    fleet: "_Fleet", gains: list[Floats], levels: list[Floats], share: Floats, least: float | None
) -> Floats:
    """Add what it costs and brings that the fleet's level moves with the group.

    The sum over all vehicles that this takes is worked out where the bound on it leaves room.
    """
    if not share.any():
        return mixed(gains)
    both = list(zip(gains, levels, strict=True))
    line = -np.inf if least is None else least - _SLACK
    bounds = mixed([gain + fleet.most_moved(lower) for gain, lower in both])
    # Not "above the line": what can't be worked out stays so.
    room = np.flatnonzero(~(bounds < line).all(axis=0))
    if room.size:
        bounds[:, room] = mixed([g[:, room] + fleet.moved(lower[:, room]) for g, lower in both])
    return bounds


class _Fleet:
    """Vehicles of fleets, (fleets, vehicles), with the weight 1/k of their spread."""

    def __init__(self, seen: Floats, due: Floats, shape: Floats) -> None:
        self.seen, self.due = seen.reshape(shape.size, -1), due.reshape(shape.size, -1)
        self.weight = (1 / shape)[:, None]
        self.total_seen = self.seen.sum(axis=1, keepdims=True)
        self.total_due = self.due.sum(axis=1, keepdims=True)
        with np.errstate(divide="ignore", invalid="ignore"):
            self.level = np.nan_to_num(self.total_seen / self.total_due, posinf=0.0)

    def explained(self, level: Floats) -> Floats:
        """Sum over vehicles of (k + O) log(1 + level E / k), for levels (fleets, any)."""
        each = _logs(self.weight[..., None], level[..., None] * self.due[:, None, :])
        return np.asarray(np.einsum("fv,fgv->fg", 1 + self.weight * self.seen, each))

    def moved(self, lower: Floats) -> Floats:
        """What it adds to log e that the level falls to `lower` times itself, (fleets, groups)."""
        whole = self.total_seen * np.log(lower) + self.explained(self.level)
        return np.asarray(whole - self.explained(self.level * lower))

    def most_moved(self, lower: Floats) -> Floats:
        """The most that `moved` can be.

        What is explained rises ever faster with the logarithm of the level, so it falls by no more
        than its slope at the fleet's own level times the way down.
        """
        borne = self.level * self.due
        slope = ((1 + self.weight * self.seen) * borne / (1 + self.weight * borne)).sum(
            axis=1, keepdims=True
        )
        return np.asarray((slope - self.total_seen) * -np.log(lower))

    def beside(self, cells: Cells) -> "_Beside":
        weight = np.broadcast_to(self.weight, self.due.shape).ravel()[cells.vehicle]
        due, seen = self.due.ravel()[cells.vehicle], self.seen.ravel()[cells.vehicle]
        return _Beside(cells.due, weight, due, 1 + weight * seen)


class _Beside(NamedTuple):
    """Each cell's expectation beside the weight, expectation and pull of its vehicle."""

    due: Floats
    weight: Floats
    vehicle_due: Floats
    pull: Floats

    def added(self, level: Floats, r: float) -> Floats:
        """What a cell's (r - 1) E adds to the sum of its vehicle."""
        base = 1 + self.weight * level * self.vehicle_due
        return np.asarray(self.pull * _logs(self.weight, level * (r - 1) * self.due / base))


def _logs(weight: Floats, x: Floats) -> Floats:
    """``log(1 + weight x) / weight``, which is x where the weight is 0."""
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(weight > 0, np.log1p(weight * x) / weight, x)


def mixed(logs: list[Floats]) -> Floats:
    """Log of the mean of what these are the logs of."""
    each = np.stack(logs)
    most = each.max(axis=0)
    return np.asarray(most + np.log(np.exp(each - most).mean(axis=0)))
