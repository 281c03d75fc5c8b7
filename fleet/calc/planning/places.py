"""What may take whose place: the pieces of one yard against all its days, as tables of numbers.

A place is a piece, or a whole visit of several, on the day where it stands. Days are counted from
0; the column after the last day is being left out.
"""

from collections import defaultdict
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from fleet.calc.planning.board import LEFT_OUT, NOTHING, Board, least_setup

Floats = NDArray[np.float64]
NEVER = float("inf")


class Places:
    """`gain` has what each place would cost more on each day; `into` what taking the place of each
    other costs more, and `onto` what joining each day does, NEVER where minutes do not allow it."""

    def __init__(self, board: Board, yard: int, numbers: Sequence[int]) -> None:
        self.board, self.yard = board, yard
        self.out = len(board.asked.days)
        self.parts = _parts(board, numbers)
        where = (board.where[parts[0]] for parts in self.parts)
        self.day = np.array([self.out if day == LEFT_OUT else day for day in where], dtype=np.int64)
        cost = np.stack([_costs(board, parts, self.out) for parts in self.parts])
        rows = np.arange(len(self.parts))
        self.gain = cost - cost[rows, self.day][:, None]
        hands, bays = self._needs()
        room, bay_room = self._room()
        freed, bay_freed = hands[rows, self.day], bays[rows, self.day]
        day = self.day
        fits = (hands[:, day] <= room[day] + freed) & (bays[:, day] <= bay_room[day] + bay_freed)
        other = day[:, None] != day[None, :]
        self.into = np.where(fits & other, self.gain[:, day], NEVER)
        self.onto = np.where((hands <= room) & (bays <= bay_room), self.gain, NEVER)
        self.onto[rows, day] = NEVER

    def _needs(self) -> tuple[Floats, Floats]:
        """Minutes of people and of bays that each place takes on each day, or has where it is."""
        board, setup = self.board, self.board.asked.yards[self.yard].setup_minutes
        there: dict[str, list[tuple[int, int, int]]] = defaultdict(list)
        for day in range(self.out):
            for vehicle, kinds in board.loads.get((self.yard, day), NOTHING).vehicles.items():
                there[vehicle].append((day, *kinds))
        hands = np.zeros((len(self.parts), self.out + 1))
        bays = np.zeros_like(hands)
        for row, parts in enumerate(self.parts):
            pieces = [board.pieces[number] for number in parts]
            own, minutes = sum(p.hands for p in pieces), sum(p.minutes for p in pieces)
            alone = sum(1 for piece in pieces if piece.people == 1)
            paired = len(pieces) - alone
            hands[row] = own + setup * least_setup(alone, paired)
            bays[row] = minutes + setup
            for day, one, two in there[pieces[0].vehicle]:
                sign = -1 if day == self.day[row] else 1
                after = least_setup(one + sign * alone, two + sign * paired)
                hands[row, day] = own + sign * setup * (after - least_setup(one, two))
                visits = (one + sign * alone + two + sign * paired > 0) - 1
                bays[row, day] = minutes - setup * min(visits, 0)
        return hands, bays

    def _room(self) -> tuple[Floats, Floats]:
        """Minutes of people and of bays that each day has left."""
        board = self.board
        hands, bays = np.full(self.out + 1, NEVER), np.full(self.out + 1, NEVER)
        for day in range(self.out):
            room, load = board.room(self.yard, day), board.loads.get((self.yard, day), NOTHING)
            hands[day] = sum(room.until) - load.hands - room.setup * load.setups
            bays[day] = room.bays * room.opening - load.bay - room.setup * len(load.vehicles)
        return hands, bays


def _parts(board: Board, numbers: Sequence[int]) -> list[tuple[int, ...]]:
    visits: dict[tuple[str, int], list[int]] = defaultdict(list)
    for number in numbers:
        if board.where[number] != LEFT_OUT:
            visits[board.pieces[number].vehicle, board.where[number]].append(number)
    whole = [tuple(found) for found in visits.values() if len(found) > 1]
    return [*((number,) for number in numbers), *whole]


def _costs(board: Board, parts: tuple[int, ...], out: int) -> Floats:
    total = np.zeros(out + 1)
    for number in parts:
        piece, cost = board.pieces[number], np.full(out + 1, NEVER)
        days = list(piece.days)
        cost[days] = [piece.cost[day] for day in days]
        cost[out] = piece.cost[-1]
        total += cost
    return total
