"""Marks pulled apart: each as near its true place as the room for a finger allows."""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
Box = tuple[float, float, float, float]
Place = tuple[float, float]
_TOUCH = 1e-3  # of a square's side: how far beyond touching two are pushed
_ROUNDS = 500
_HOME = 0.04  # the pull back to the true place, as a share of the way, in each of the first rounds
_SETTLE = 200
#: Tried in turn until one settles: how far the places are spread from their middle to begin with,
#: and how hard they push. At one force three may swing round each other for ever, at another not.
_TRIES = ((1.0, 1.0), (1.0, 1.2), (1.0, 0.8), (1.2, 1.2), (1.5, 0.8))
#: Turns that each has to go back toward its place, and the shares of the way that it tries.
_SWEEPS, _STEPS = 14, np.array([1.0, 0.7, 0.45, 0.25, 0.1])
_KEPT = 512


@lru_cache(maxsize=_KEPT)
def pulled_apart(places: tuple[Place, ...], size: float, box: Box) -> tuple[Place, ...]:
    """`apart` in plain figures, kept: vehicles of one layout ask the same again and again."""
    at = apart(np.array(places, dtype=float).reshape(-1, 2), size, box)
    return tuple((float(x), float(y)) for x, y in at)


def apart(places: Points, size: float, box: Box) -> Points:
    """Move squares so that no two overlap, and all lie in the box.

    Parameters
    ----------
    places
        Shape (n, 2): where each would stand, in the picture's units.
    size
        The side of a square.
    box
        Left, top, right, bottom.

    Returns
    -------
    Shape (n, 2): the middles, in the same order. The same places always give the same answer.

    Raises
    ------
    ValueError
        When the box can't hold so many.
    """
    low, high = np.array(box[:2]) + size / 2, np.array(box[2:]) - size / 2
    start = np.clip(places, low, high)
    for spread, force in _TRIES if len(start) else ():
        middle = start.mean(axis=0)
        spread_out = np.clip(middle + (start - middle) * spread, low, high)
        found = _settled(spread_out, size, force, (low, high))
        if found is not None:
            return _homeward(found, start, size)
    return _homeward(_in_cells(start, size, low, high), start, size)


def _homeward(at: Points, home: Points, size: float) -> Points:
    """Each in turn goes as far back to its place as the others leave it room."""
    for _sweep in range(_SWEEPS):
        for i in range(len(at)):
            others = np.delete(at, i, axis=0)
            tries = at[i] + (home[i] - at[i]) * _STEPS[:, None]
            gaps = np.abs(tries[:, None] - others[None]).max(axis=2)
            free = (gaps >= size * (1 + _TOUCH)).all(axis=1)
            if free.any():
                at[i] = tries[int(np.argmax(free))]
    return at


def _settled(
    start: Points, size: float, force: float, corners: tuple[Points, Points]
) -> Points | None:
    """Pushed until none overlaps; None where that does not come about."""
    at = start + _apart_a_little(len(start)) * size * 0.01
    for turn in range(_ROUNDS):
        if turn < _SETTLE:
            at += (start - at) * _HOME
        push = _pushes(at, size)
        if turn >= _SETTLE and not push.any():
            return at
        at = np.clip(at + push * force, *corners)
    return None


def overlaps(places: Points, size: float) -> list[tuple[int, int]]:
    """Pairs of squares that overlap."""
    gap = np.abs(places[:, None] - places[None]).max(axis=2)
    return [(int(i), int(j)) for i, j in np.argwhere(np.triu(gap < size - _TOUCH, 1))]


def _pushes(at: Points, size: float) -> Points:
    """How each is pushed by those it overlaps: along the shorter way out, half each."""
    way = at[:, None] - at[None]
    short = size * (1 + 2 * _TOUCH) - np.abs(way)
    over = (np.abs(way) < size * (1 + _TOUCH)).all(axis=2) & ~np.eye(len(at), dtype=bool)
    across = short[..., 0] <= short[..., 1]
    sign = np.where(way >= 0, 1.0, -1.0)
    # Two in one place part by their order, not by chance.
    order = np.sign(np.arange(len(at))[:, None] - np.arange(len(at))[None])
    sign = np.where(way == 0, order[..., None], sign)
    step = np.zeros_like(way)
    step[..., 0] = np.where(over & across, sign[..., 0] * short[..., 0], 0)
    step[..., 1] = np.where(over & ~across, sign[..., 1] * short[..., 1], 0)
    return np.asarray(step.sum(axis=1) * 0.5)


def _in_cells(start: Points, size: float, low: Points, high: Points) -> Points:
    """Where pushing does not settle: the nearest cells of a grid, shared out at the least cost."""
    from scipy.optimize import linear_sum_assignment  # noqa: PLC0415 - seldom needed

    count = np.floor((high - low) / (size * (1 + _TOUCH)) + 1e-9).astype(int) + 1
    axes = [np.linspace(low[k], high[k], count[k]) for k in (0, 1)]
    cells = np.array(np.meshgrid(*axes)).reshape(2, -1).T
    if len(cells) < len(start):
        raise ValueError(
            f"{len(start)} squares of {size:g} don't fit: there is room for {len(cells)}."
        )
    cost = ((start[:, None] - cells[None]) ** 2).sum(axis=2)
    rows, columns = linear_sum_assignment(cost)
    found = np.empty_like(start)
    found[rows] = cells[columns]
    return found


def _apart_a_little(count: int) -> Points:
    """A small step for each, none like another, so that a row of equals can leave its line."""
    turn = np.arange(count) * 2.399963  # the golden angle
    return np.column_stack([np.cos(turn), np.sin(turn)])
