"""Improvement: take a few visits off the plan, put them back better, keep what is no worse."""

from math import exp
from random import Random

from fleet.calc.planning.board import LEFT_OUT, Board
from fleet.calc.planning.chains import shorten
from fleet.calc.planning.clock import Clock
from fleet.calc.planning.greedy import place
from fleet.calc.planning.guided import Guide
from fleet.calc.planning.model import Window, model_of
from fleet.calc.planning.pieces import TIDY, Piece
from fleet.calc.planning.solver import Relaxed

#: How much worse a round may be and still be kept at first, in days late of weight 1 (own figure).
HEAT = 0.6
#: Work taken off in one round besides that of the vehicle it begins with.
MOST_TAKEN = 6
#: How often a round sends somebody elsewhere, begins with work that is late, puts the rest back by
#: due day or longest first, and puts what it began with back last.
SENDS, BEGINS_LATE, BY_DUE, BY_LENGTH, LAST_BACK = 0.1, 0.8, 0.4, 0.3, 0.2
#: Days in a row that are put anew; up to so many columns in whole numbers, in so many seconds.
WINDOWS, WHOLE, WINDOW_SECONDS = (3, 4, 6, 8, 12), 600, 3.0


class Search:
    """Rounds of improvement of one group of yards. `best` is the least cost seen, and its plan."""

    def __init__(self, board: Board, yards: tuple[int, ...], seed: int) -> None:
        self.board, self.yards = board, yards
        self.draw = Random(f"{seed} {yards}")  # noqa: S311 - chance that must repeat
        self.mine = [
            number
            for number, piece in enumerate(board.pieces)
            if piece.yard in yards and piece.days and number not in board.pinned
        ]
        self.least = [min((p.cost[day] for day in p.days), default=0.0) for p in board.pieces]
        self.movable = self._movable()
        self.now = board.cost(self.mine)
        self.best = self.now
        self.kept = self._snapshot()
        self.best_late = self._late()

    def round(self, heat: float) -> None:
        """One round; `heat` from 1 (at first) to 0."""
        draw = self.draw
        if not self.mine:
            return
        if self.movable and draw.random() < SENDS:
            self._send_somebody(heat)
            return
        first = self._first()
        taken = self._around(first)
        self._again(taken, first, heat)

    def _again(self, taken: list[int], first: int, heat: float) -> bool:
        """Take these off and put them back; undo it where that is worse than is let pass."""
        board, draw = self.board, self.draw
        was = [(number, board.where[number]) for number in taken]
        before = self._cost(taken)
        for number, day in was:
            if day != LEFT_OUT:
                board.take(number)
        for number in self._order(taken, first):
            place(board, number, draw)
        after = self._cost(taken)
        if after > before and not self._let_pass(after - before, heat):
            self._back(was)
            return False
        self._count(after - before)
        return True

    def _count(self, change: float) -> None:
        self.now += change
        if self.now < self.best - TIDY / 2:
            self.best = self.now
            self.kept = self._snapshot()
            self.best_late = self._late()

    def _late(self) -> tuple[float, float]:
        """Weighted days late of hold work and of the rest, pins and all."""
        mine = [n for n, piece in enumerate(self.board.pieces) if piece.yard in self.yards]
        pairs = [(self.board.pieces[number], self.board.where[number]) for number in mine]
        return sum(p.hold[day] for p, day in pairs), sum(p.late[day] for p, day in pairs)

    def take_over(self) -> None:
        """Count what somebody else put on the board; back to the best where that is worse."""
        self.now = self.board.cost(self.mine)
        if self.now < self.best - TIDY / 2:
            self._count(0.0)
        else:
            self.settle()

    def along(self, clock: Clock, seed: int) -> None:
        """Put some days of a yard anew along a model of their own, then let work change places.

        A small model is solved in whole numbers, a larger one followed, its weights a bit changed.
        """
        board, draw = self.board, self.draw
        piece = board.pieces[self._first()]
        yard = piece.yard
        window = self._window(piece, draw.choice(WINDOWS))
        model = model_of(board, (yard,), window)
        mine = [n for n in self.mine if board.pieces[n].yard == yard]
        was = [(number, board.where[number]) for number in mine]
        before = board.cost(mine)
        guide = Guide(board, model, Relaxed(model, seed), clock, window)
        if len(model.weights) <= WHOLE:
            guide.whole(WINDOW_SECONDS)
        else:
            guide.follow(draw)
        shorten(board, yard, mine, draw, clock.over)
        change = board.cost(mine) - before
        if change > 0:
            self._back(was)
        else:
            self._count(change)

    def _window(self, piece: Piece, length: int) -> Window:
        """So many open days in a row, with what stands there or would cost less there."""
        board, draw = self.board, self.draw
        yard, middle = piece.yard, draw.choice(piece.days)
        opened = [d for d in range(len(board.asked.days)) if board.asked.opening(yard, d) > 0]
        start = max(opened.index(middle) - draw.randrange(length), 0)
        days = frozenset(opened[start : start + length])
        waiting = [n for n in self.mine if board.pieces[n].yard == yard and self._waits(n, days)]
        outside = [number for number in waiting if board.where[number] not in days]
        loose = [number for number in waiting if board.where[number] in days] + outside
        pinned = {n for day in days for n in board.on.get((yard, day), ()) if n in board.pinned}
        otherwise = {n: board.where[n] for n in outside if board.where[n] != LEFT_OUT}
        return Window(frozenset(loose) | pinned, days, otherwise)

    def _waits(self, number: int, days: frozenset[int]) -> bool:
        """Whether it stands on one of these days, or would cost less there."""
        piece, now = self.board.pieces[number], self.board.where[number]
        return now in days or any(
            day in piece.days and piece.cost[day] < piece.cost[now] for day in days
        )

    def _back(self, was: list[tuple[int, int]]) -> None:
        for number, _ in was:
            if self.board.where[number] != LEFT_OUT:
                self.board.take(number)
        for number, day in was:
            if day != LEFT_OUT:
                self.board.put(number, day)

    def _let_pass(self, worse: float, heat: float) -> bool:
        return heat > 0 and worse < HEAT * 8 and self.draw.random() < exp(-worse / (HEAT * heat))

    def _first(self) -> int:
        """Work that costs more than it must, most of the time; else any."""
        board = self.board
        if self.draw.random() < BEGINS_LATE:
            for _ in range(30):
                number = self.draw.choice(self.mine)
                if board.pieces[number].cost[board.where[number]] > self.least[number]:
                    return number
        return self.draw.choice(self.mine)

    def _around(self, first: int) -> list[int]:
        """It, and some visits of the days where it would cost less."""
        board, draw = self.board, self.draw
        piece, now = board.pieces[first], board.where[first]
        better = [day for day in piece.days if piece.cost[day] <= piece.cost[now] and day != now]
        taken = {first: None}
        for day in draw.sample(better, min(len(better), draw.choice((1, 1, 2)))):
            there = board.on.get((piece.yard, day), frozenset())
            loose = [number for number in sorted(there) if number not in board.pinned]
            for number in draw.sample(loose, min(len(loose), draw.randint(1, MOST_TAKEN // 2))):
                for other in board.of_vehicle[board.pieces[number].vehicle]:
                    if board.where[other] == day and other in there and other not in board.pinned:
                        taken[other] = None
        return list(taken)

    def _order(self, taken: list[int], first: int) -> list[int]:
        """The first first; the rest by due day, by minutes, or by chance."""
        rest = [number for number in taken if number != first]
        pieces, way = self.board.pieces, self.draw.random()
        self.draw.shuffle(rest)
        if way < BY_DUE:
            rest.sort(key=lambda n: (not pieces[n].holds, pieces[n].due))
        elif way < BY_DUE + BY_LENGTH:
            rest.sort(key=lambda n: -pieces[n].hands)
        if self.draw.random() < LAST_BACK:
            return [*rest, first]
        return [first, *rest]

    def _cost(self, numbers: list[int]) -> float:
        """Lateness of these, and the visits of their vehicles."""
        board = self.board
        total = sum(board.pieces[number].cost[board.where[number]] for number in numbers)
        vehicles = {board.pieces[number].vehicle for number in numbers}
        visits = {
            (vehicle, board.where[other], board.pieces[other].yard)
            for vehicle in vehicles
            for other in board.of_vehicle[vehicle]
            if board.where[other] != LEFT_OUT
        }
        return total + TIDY * len(visits)

    def _movable(self) -> list[tuple[int, int]]:
        """People and days with a choice of yards."""
        board = self.board
        return [
            (person, day)
            for person in range(len(board.roster))
            for day in range(len(board.asked.days))
            if (person, day) not in board.bound and len(self._yards_for(person, day)) > 1
        ]

    def _yards_for(self, person: int, day: int) -> list[int]:
        board = self.board
        return [
            yard
            for yard in self.yards
            if board.may_come(person, yard, day) and board.there(person, yard, day) > 0
        ]

    def _send_somebody(self, heat: float) -> None:
        """Send a person to another yard for a day, with the work of both yards that day anew."""
        board, draw = self.board, self.draw
        person, day = draw.choice(self.movable)
        at = board.roster[person][day]
        to = draw.choice([yard for yard in self._yards_for(person, day) if yard != at])
        most = board.asked.yards[to].crew
        from_elsewhere = [one for one in board.crew(to, day) if board.homes[one] != to]
        if board.homes[person] != to and most is not None and len(from_elsewhere) >= most:
            return
        left = board.on.get((at, day), frozenset())
        if any(number in board.pinned for number in left):
            return
        taken = sorted(left | self._wanting(to, day))
        before, was = self._cost(taken), [(number, board.where[number]) for number in taken]
        for number, where in was:
            if where != LEFT_OUT:
                board.take(number)
        board.send(person, day, to)
        for number in self._order(taken[1:], taken[0]) if taken else ():
            place(board, number, draw)
        change = self._cost(taken) - before
        if change > 0 and not self._let_pass(change, heat):
            for number in taken:
                if board.where[number] != LEFT_OUT:
                    board.take(number)
            board.send(person, day, at)
            for number, where in was:
                if where != LEFT_OUT:
                    board.put(number, where)
            return
        self._count(change)

    def _wanting(self, yard: int, day: int) -> frozenset[int]:
        """Work that would cost less in this yard on this day."""
        board = self.board
        return frozenset(
            number
            for number in self.mine
            if board.pieces[number].yard == yard
            and day in board.pieces[number].days
            and board.pieces[number].cost[day] < board.pieces[number].cost[board.where[number]]
        )

    def _snapshot(self) -> tuple[dict[int, int], list[list[int]]]:
        where = {number: self.board.where[number] for number in self.mine}
        return where, [list(days) for days in self.board.roster]

    def settle(self) -> None:
        """Put the best plan seen back on the board."""
        board = self.board
        where, roster = self.kept
        for number in self.mine:
            if board.where[number] != LEFT_OUT:
                board.take(number)
        for person, day in self.movable:
            if board.roster[person][day] != roster[person][day]:
                board.send(person, day, roster[person][day])
        for number, day in where.items():
            if day != LEFT_OUT:
                board.put(number, day)
        self.now = self.best
