"""Chains of moves: one takes the place of another, which takes the place of a third, and so on.

Where days are full, nothing moves alone. The cheapest chain is found as the cheapest path through
the table of who may take whose place by minutes; it is kept when each of its days fits by the
clock. As what is gained can be put first in any chain that gains, only beginnings that have gained
so far are gone on with.
"""

from collections.abc import Callable, Sequence
from random import Random
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from fleet.calc.planning.board import LEFT_OUT, Board
from fleet.calc.planning.places import NEVER, Places

#: Places in a chain, and beginnings that are gone on with at each step.
LONGEST, BROADEST = 5, 150
#: Chains of each kind looked at after each step, and tried from one beginning before the next look.
BEST, TRIED = 2, 3
#: Looks from one beginning, each knowing what did not fit before; and from all of them together.
LOOKS, MOST_LOOKS = 6, 1500
#: What is less is none.
NOTHING = 1e-9


class Chain(NamedTuple):
    """Places in order, each to take that of the next; the last goes to `end`, a day."""

    change: float
    places: tuple[int, ...]
    end: int


def shorten(
    board: Board, yard: int, numbers: Sequence[int], draw: Random, over: Callable[[], bool]
) -> None:
    """Let these pieces of one yard, none of them pinned, change places as long as that gains.

    It ends when no chain that is found gains and fits, after MOST_LOOKS, or when it is `over`.
    """
    looks, moved = 0, True
    while moved and numbers and not over():
        places = Places(board, yard, numbers)
        starts = [int(n) for n in np.flatnonzero(places.gain.min(axis=1) < -NOTHING)]
        draw.shuffle(starts)
        moved = False
        for start in starts:
            looks += LOOKS
            if over() or looks > MOST_LOOKS * LOOKS:
                return
            if _from(places, start):
                moved = True
                break


def _from(places: Places, start: int) -> bool:
    """Make a chain that begins with this place, if one gains and fits."""
    for _ in range(LOOKS):
        found = cheapest(places, start)
        if not found:
            return False
        for chain in found[:TRIED]:
            failing = _made(places, chain)
            if failing is None:
                return True
            _close(places, chain, failing)
    return False


def cheapest(places: Places, start: int) -> list[Chain]:
    """Chains from this place that gain, the best first: at most a few of each length."""
    into, day, found = places.into, places.day, list[Chain]()
    every = np.arange(len(day))
    joined = int(places.onto[start].argmin())
    if places.onto[start, joined] < -NOTHING:
        found.append(Chain(float(places.onto[start, joined]), (start,), joined))
    #: What the cheapest chain to each place has changed so far, and the days that it has touched.
    change = into[start]
    touched = np.zeros((len(day), places.out + 1), dtype=bool)
    touched[every, day] = touched[every, day[start]] = True
    before = [np.full(len(day), start)]
    while len(before) < LONGEST:
        active = np.flatnonzero(change < -NOTHING)
        if not len(active):
            break
        active = active[np.argsort(change[active], kind="stable")[:BROADEST]]
        found += _ended(places, start, change, active, touched, before)
        longer = change[active, None] + into[active]
        longer[touched[active][:, day]] = NEVER
        best = longer.argmin(axis=0)
        change, last = longer[best, every], active[best]
        touched = touched[last].copy()
        touched[every, day] = True
        before.append(last)
    return sorted(found, key=lambda chain: chain.change)


def _ended(
    places: Places, start: int, change: NDArray[np.float64], active: NDArray[np.int64],
    touched: NDArray[np.bool_], before: list[NDArray[np.int64]],
) -> list[Chain]:  # fmt: skip
    """The best of them that end on a day with room, and that end in the place of the first."""
    joining = change[active, None] + places.onto[active]
    closed = touched[active]
    closed[:, places.out] = False
    joining[closed] = NEVER
    ends = joining.argmin(axis=1)
    found = []
    for changes, days in (
        (joining.min(axis=1), ends),
        (change[active] + places.into[active, start], np.full(len(active), places.day[start])),
    ):
        for nth in np.argsort(changes, kind="stable")[:BEST]:
            if changes[nth] < -NOTHING:
                way = _way(int(active[nth]), before)
                found.append(Chain(float(changes[nth]), way, int(days[nth])))
    return found


def _way(last: int, before: list[NDArray[np.int64]]) -> tuple[int, ...]:
    way = [last]
    for earlier in reversed(before):
        way.append(int(earlier[way[-1]]))
    return tuple(reversed(way))


def _moves(places: Places, chain: Chain) -> list[tuple[int, int]]:
    """Each place with the day that it goes to."""
    ends = [*(int(places.day[one]) for one in chain.places[1:]), chain.end]
    return list(zip(chain.places, ends, strict=True))


def _made(places: Places, chain: Chain) -> int | None:
    """Put the chain on the board, or return the first of its days that does not fit."""
    board, yard, moves = places.board, places.yard, _moves(places, chain)
    there: dict[int, set[int]] = {}
    for one, to in moves:
        for day in (int(places.day[one]), to):
            there.setdefault(day, set(board.on.get((yard, day), ())))
    for one, _ in moves:
        there[int(places.day[one])].difference_update(places.parts[one])
    for one, to in moves:
        there[to].update(places.parts[one])
        if to != places.out and any(
            board.elsewhere(board.pieces[number], to) for number in places.parts[one]
        ):
            return to
    for day, numbers in sorted(there.items(), key=lambda item: len(item[1])):
        if day != places.out and board.slots(yard, day, frozenset(numbers)) is None:
            return day
    _put(board, [(number, to) for one, to in moves for number in places.parts[one]], places.out)
    return None


def _put(board: Board, moves: list[tuple[int, int]], out: int) -> None:
    for number, _ in moves:
        if board.where[number] != LEFT_OUT:
            board.take(number)
    for number, to in moves:
        if to != out:
            board.put(number, to)


def _close(places: Places, chain: Chain, failing: int) -> None:
    """Let nobody look again at what led to a day that does not fit; the whole chain if unclear."""
    moves = _moves(places, chain)
    nexts = [*chain.places[1:], None if len(chain.places) == 1 else chain.places[0]]
    blamed = [n for n, (_, to) in enumerate(moves) if to == failing] or [0]
    for nth in blamed:
        one, to = moves[nth]
        taken = nexts[nth]
        if taken is not None and int(places.day[taken]) == to:
            places.into[one, taken] = NEVER
        if nth == len(moves) - 1:
            places.onto[one, to] = NEVER
