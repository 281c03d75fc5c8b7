"""Where the mass of a nonparametric life can lie, and which spells reach over which of it.

Cells are the innermost intervals: a left end of some spell followed at once by a right end of
some spell. However mass is moved inside a cell, no spell's chance changes. Every spell reaches
over a run of neighbouring cells, so that sums over cells are differences of running sums.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fleet.calc.spells import Codes, Floats, Spells, tally

#: Ends at one use come in this order: a point's own begin, closed ends, open begins.
_POINT, _CLOSED, _OPEN, _KINDS = 0, 1, 2, 3


@dataclass(frozen=True, slots=True, eq=False)
class Cells:
    """Cells in order, and spells gathered by what they reach over.

    Attributes
    ----------
    left, right : ndarray, shape (m,)
        Cells ``(left, right]``; equal for a point.
    first, past : ndarray, shape (g,)
        Groups of spells with a find before the last cell: the first cell they reach over, and
        the one past their last.
    weight : ndarray, shape (g,)
        How many spells.
    tight : ndarray, shape (m - 1,)
        How many spells are known to have outlived each cell but the last, seen from their entry.
    """

    left: Floats
    right: Floats
    first: Codes
    past: Codes
    weight: Floats
    tight: Floats

    def reach(self, values: Floats) -> Floats:
        """Sum over the cells that each group reaches over, (g,)."""
        running = np.concatenate([[0.0], np.cumsum(values)])
        return np.asarray(running[self.past] - running[self.first])

    def cover(self, values: Floats) -> Floats:
        """Sum over the groups that reach over each cell but the last, (m - 1,)."""
        return _cover(self.first, self.past, values, self.tight.size)


class Reaches:
    """Of each spell: first cell, the one past its last, and those before its entry."""

    def __init__(self, spells: Spells) -> None:
        weighs = spells.weight > 0
        lower, upper, self.weight = (a[weighs] for a in (spells.lower, spells.upper, spells.weight))
        late = np.zeros(lower.size) if spells.entry is None else spells.entry[weighs]
        since = late > 0
        uses, place = np.unique(np.concatenate([lower, upper, late[since]]), return_inverse=True)
        place *= _KINDS
        many = lower.size
        begin = place[:many] + np.where(lower == upper, _POINT, _OPEN)
        end = place[many : 2 * many] + _CLOSED
        # What gave before an entry costs its spell nothing: mass may lie just up to there.
        enter = place[2 * many :] + _CLOSED
        closed = np.zeros(_KINDS * uses.size, dtype=np.bool_)
        closed[end] = closed[enter] = True
        is_end = closed.copy()
        is_end[begin] = True
        ends = np.flatnonzero(is_end)
        inner = np.flatnonzero(~closed[ends[:-1]] & closed[ends[1:]])
        begins, closes = ends[inner], ends[inner + 1]
        self.left, self.right = uses[begins // _KINDS], uses[closes // _KINDS]
        self.first = _how_many(begins, closed.size)[begin]
        closed_before = _how_many(closes, closed.size)
        self.past = closed_before[end + 1]
        self.entry = np.zeros(many, dtype=np.intp)
        self.entry[since] = closed_before[enter + 1]


def _how_many(chosen: Codes, size: int) -> Codes:
    """How many of the chosen are under each number, 0 to `size`."""
    marked = np.zeros(size + 1, dtype=np.intp)
    marked[chosen + 1] = 1
    return np.asarray(np.cumsum(marked))


def gathered(reaches: Reaches) -> Cells:
    """Gather spells that reach over the same cells."""
    many = reaches.left.size
    found = reaches.past < many
    pair = reaches.first[found] * (many + 1) + reaches.past[found]
    pairs, group = np.unique(pair, return_inverse=True)
    weight = tally(group, reaches.weight[found], pairs.size)
    tight = _cover(reaches.entry, reaches.first, reaches.weight, many - 1)
    return Cells(
        reaches.left, reaches.right, pairs // (many + 1), pairs % (many + 1), weight, tight
    )


def gap_to_optimum(reaches: Reaches, mass: Floats) -> tuple[float, float]:
    """Return how far masses are from the best, and their log likelihood.

    Notes
    -----
    The gap is the largest gain in log likelihood for each unit of mass that is moved to any one
    cell, over the number of spells; at the best no cell gains.
    """
    running = np.concatenate([[0.0], np.cumsum(mass)])
    chance = running[reaches.past] - running[reaches.first]
    watched = running[-1] - running[reaches.entry]
    many, weight = mass.size, reaches.weight
    gains = _cover(reaches.first, reaches.past, weight / chance, many)
    gains -= _cover(reaches.entry, np.full_like(reaches.entry, many), weight / watched, many)
    return float(gains.max() / weight.sum()), float(weight @ np.log(chance / watched))


def _cover(first: Codes, past: Codes, values: Floats, cells: int) -> Floats:
    steps = tally(first, values, cells + 2) - tally(past, values, cells + 2)
    return np.asarray(np.cumsum(steps)[:cells])


def stabbed(cells: Cells) -> NDArray[np.bool_]:
    """Choose a few cells so that every group reaches over one of them.

    Groups of a single cell leave no choice; of the rest, always the last cell of the group that
    ends first.
    """
    many = cells.tight.size
    chosen = np.zeros(many, dtype=np.bool_)
    chosen[cells.first[cells.past - cells.first == 1]] = True
    missed = cells.reach(chosen.astype(np.float64)) == 0
    never = many + 2
    soonest = np.full(many + 1, never)
    np.minimum.at(soonest, cells.first[missed], cells.past[missed])
    chain = np.minimum.accumulate(soonest[::-1])[::-1].tolist()
    past = chain[0]
    while past < never:
        chosen[past - 1] = True
        past = chain[past]
    return chosen
