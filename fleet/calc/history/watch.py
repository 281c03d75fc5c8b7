"""Finds held against what was usual, week by week as they came: what is opened, and when."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fleet.calc.clusters.among import Cells, among
from fleet.calc.clusters.evidence import JOINT_RATIOS, RATIOS

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Flags = NDArray[np.bool_]

LEVEL = 0.05
#: The week of what was never opened.
NEVER = 1_000_000
#: Labels whose members each lie on one vehicle may go far beyond what any group does.
ON_ONE_VEHICLE = ("joint",)


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """Checks in order of time, of one fleet or of several side by side.

    Attributes
    ----------
    week : ndarray of int, shape (n,)
        Not falling.
    vehicle : ndarray of int, shape (n,)
        Numbered through all fleets.
    found : ndarray, shape (n,)
    spent : ndarray, shape (n,)
        `fleet.calc.clusters.spent_hazard` by what was usual before.
    labels : mapping of str to ndarray of int, shape (n,)
        Member of each check within its fleet; -1 for none, or not to be shown.
    """

    week: Ints
    vehicle: Ints
    found: Floats
    spent: Floats
    labels: Mapping[str, Ints]


@dataclass(frozen=True, slots=True, eq=False)
class Watch:
    """For each label the week in which each member was first opened, (fleets, members)."""

    opened: Mapping[str, Ints]

    def any_of(self, labels: Sequence[str], week: int = NEVER - 1) -> Flags:
        """Whether each fleet had a pattern among these labels by a week."""
        least = [self.opened[name].min(axis=1, initial=NEVER) for name in labels]
        return np.asarray(np.min(least, axis=0) <= week)


def watch(
    rows: Rows,
    weeks: Sequence[int],
    shape_at: Callable[[int, Floats, Floats], Floats],
    *,
    families: Sequence[Sequence[str]],
    vehicle_fleet: Ints,
    widths: Mapping[str, int] | None = None,
    level: float = LEVEL,
) -> Watch:
    """Judge the record at the end of each of these weeks, by what had happened until then.

    Parameters
    ----------
    rows : Rows
    weeks : sequence of int
        Rising. Rows of an earlier number than the week judged count.
    shape_at : callable
        ``(week, found, spent)``, the latter by vehicle so far, to the gamma shape of the spread
        between vehicles of each fleet. It must hang on what was before alone.
    families : sequence of sequences of str
        Labels that are judged together (`fleet.calc.clusters.e_bh`).
    vehicle_fleet : ndarray of int, shape (vehicles,)
    widths : mapping of str to int, optional
        How many members a label has; one more than its highest by default.
    level : float
        Share of false patterns, for each family.

    Returns
    -------
    Watch

    Notes
    -----
    The evidence is `fleet.calc.clusters.e_value_among`, which may be looked at at any time; what
    is opened depends on the record alone, not on when anybody scanned it. A member of which
    nothing was expected yet is not one of its family.
    """
    count = int(vehicle_fleet.max(initial=0)) + 1
    labels = [name for family in families for name in family]
    sums = {
        name: _Running(rows, name, vehicle_fleet, count, (widths or {}).get(name))
        for name in labels
    }
    opened = {name: np.full((count, one.width), NEVER) for name, one in sums.items()}
    found, spent = np.zeros(vehicle_fleet.size), np.zeros(vehicle_fleet.size)
    done = 0
    for week in weeks:
        until = int(np.searchsorted(rows.week, week))
        some, done = slice(done, until), until
        found += np.bincount(rows.vehicle[some], rows.found[some], found.size)
        spent += np.bincount(rows.vehicle[some], rows.spent[some], spent.size)
        for one in sums.values():
            one.add(some, rows)
        shape = shape_at(week, found, spent)
        for family in families:
            logs = [sums[name].evidence(found, spent, shape, -np.log(level)) for name in family]
            enough = opened_each(np.concatenate(logs, axis=1), level)
            parts = np.split(enough, np.cumsum([one.shape[1] for one in logs])[:-1], axis=1)
            for name, told in zip(family, parts, strict=True):
                opened[name] = np.minimum(opened[name], np.where(told, week, NEVER))
    return Watch(opened)


class _Running:
    """Finds and expectation so far of each cell (a member on a vehicle), as weeks are added."""

    def __init__(
        self, rows: Rows, name: str, vehicle_fleet: Ints, fleets: int, width: int | None
    ) -> None:
        member = rows.labels[name]
        self.fleets = fleets
        self.width = width if width is not None else int(member.max(initial=-1)) + 1
        self.told = member >= 0
        keys, self.cell = np.unique(
            member[self.told] * vehicle_fleet.size + rows.vehicle[self.told], return_inverse=True
        )
        self.vehicle = keys % vehicle_fleet.size
        self.member = vehicle_fleet[self.vehicle] * self.width + keys // vehicle_fleet.size
        #: Where each row's cell stands among those of rows that have one.
        self.place = np.cumsum(self.told)
        self.ratios = JOINT_RATIOS if name in ON_ONE_VEHICLE else RATIOS
        self.found, self.due = np.zeros(keys.size), np.zeros(keys.size)

    def add(self, some: slice, rows: Rows) -> None:
        told = self.told[some]
        end = int(self.place[some.stop - 1]) if some.stop else 0
        begin = end - int(told.sum())
        cell = self.cell[begin:end]
        self.found += np.bincount(cell, rows.found[some][told], self.found.size)
        self.due += np.bincount(cell, rows.spent[some][told], self.due.size)

    def evidence(self, all_found: Floats, all_due: Floats, shape: Floats, least: float) -> Floats:
        """Log e, (fleets, members); minus infinity where nothing was expected yet.

        What is below `least`, the line of a family of one, opens nothing: it is some figure there.
        """
        size = self.fleets * self.width
        exposed = np.bincount(self.member, self.due, size)
        cells = Cells(self.found, self.due, self.vehicle, self.member, size)
        logs = among(cells, all_found, all_due, shape, self.ratios, least)
        return np.asarray(np.where(exposed > 0, logs, -np.inf).reshape(self.fleets, self.width))


def opened_each(log_e: Floats, level: float = LEVEL) -> Flags:
    """`fleet.calc.clusters.e_bh` in each row by itself; minus infinity is no member.

    >>> opened_each(np.log([[1.0, 90.0, 0.2, 70.0, 25.0]])).tolist()
    [[False, True, False, True, False]]
    """
    size = np.isfinite(log_e).sum(axis=1, keepdims=True)
    found = np.zeros(log_e.shape, dtype=np.bool_)
    # The line falls to that of a family of one at most: what is below it need not be put in order.
    may = np.flatnonzero((log_e >= -np.log(level) - 1e-9).any(axis=0))
    if not may.size:
        return found
    some = log_e[:, may]
    order = (-some).argsort(axis=1, kind="stable")
    ranks = np.arange(1, may.size + 1)
    line = np.log(np.maximum(size, 1) / level) - np.log(ranks)
    enough = np.take_along_axis(some, order, axis=1) >= line
    last = np.where(enough.any(axis=1), may.size - enough[:, ::-1].argmax(axis=1), 0)
    place = order.argsort(axis=1, kind="stable")
    found[:, may] = place < last[:, None]
    return found
