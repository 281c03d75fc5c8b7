"""A plan along the linear model: day by day what fits is settled and the rest is solved again."""

from collections.abc import Sequence
from random import Random

from fleet.calc.planning.board import LEFT_OUT, Board
from fleet.calc.planning.clock import Clock
from fleet.calc.planning.greedy import place, pressing
from fleet.calc.planning.model import Model
from fleet.calc.planning.solver import Floats, Relaxed

#: What a visit weighs in the guide, so that work on a vehicle is put together, and how much more
#: hold work weighs there than it does (own figures).
VISIT, ABOVE = 0.02, 20.0
#: Work beyond the model's choice that is tried to fill a day up.
TRIED = 40
#: A share of a piece from which the model has it on a day at all, and from which it chose it.
ANY, CHOICE = 1e-6, 0.5


class Guide:
    """The model of one group of yards, solved again and again while days are settled."""

    def __init__(self, board: Board, model: Model, relaxed: Relaxed, clock: Clock) -> None:
        self.board, self.model, self.relaxed, self.clock = board, model, relaxed, clock
        self.by_day: dict[int, list[tuple[int, int]]] = {}
        for (number, day), column in model.put.items():
            self.by_day.setdefault(day, []).append((number, column))
        self.sent: dict[int, list[tuple[int, int, int]]] = {}
        for (person, day, yard), column in model.sent.items():
            self.sent.setdefault(day, []).append((person, yard, column))
        self.weights = self._weights()

    def follow(self, draw: Random | None = None) -> None:
        """Put all loose pieces anew, from the first day to the last."""
        loose = sorted({number for number, _ in self.model.put} - self.board.pinned)
        self.again(loose, range(len(self.board.asked.days)), draw, crews=True)

    def again(
        self, loose: Sequence[int], days: Sequence[int], draw: Random | None, crews: bool = False
    ) -> None:
        """Put these pieces anew on these days; all else stays. With `crews`, send people anew."""
        self._let_go(loose, days, crews)
        for day in days:
            share = self.relaxed.least(float("inf"), self.clock).columns
            if share is None:
                break
            if crews:
                self._settle_crews(day, share)
            self._settle_day(day, share, draw)
        pieces = self.board.pieces
        for number in sorted(loose, key=lambda number: pressing(pieces[number], number)):
            if self.board.where[number] == LEFT_OUT:
                place(self.board, number)

    def _let_go(self, loose: Sequence[int], days: Sequence[int], crews: bool) -> None:
        """Take the pieces off, and hold everything else in the model at what the board has."""
        board, model = self.board, self.model
        self.relaxed.weigh(self.weights)
        self.relaxed.loosen()
        free, these = set(loose), set(days)
        stays = {
            column: float(number not in free and board.where[number] == day)
            for (number, day), column in model.put.items()
            if number not in free or day not in these
        }
        if not crews:
            stays |= {
                column: float(board.roster[person][day] == yard)
                for (person, day, yard), column in model.sent.items()
            }
        self.relaxed.fix(list(stays), list(stays.values()))
        for number in loose:
            if board.where[number] != LEFT_OUT:
                board.take(number)

    def _weights(self) -> list[float]:
        weights = list(self.model.weights)
        places = [*self.model.put.items(), *(((n, -1), c) for n, c in self.model.out.items())]
        for (number, day), column in places:
            piece = self.board.pieces[number]
            weights[column] = ABOVE * piece.hold[day] + (
                piece.cost[day] if not piece.holds else 0.0
            )
        for column in self.model.visits:
            weights[column] = VISIT
        return weights

    def _settle_crews(self, day: int, share: Floats) -> None:
        """Each person to the yard that the model has them in most; home among equals."""
        board, best = self.board, dict[int, tuple[float, int]]()
        for person, yard, column in self.sent.get(day, ()):
            home = board.homes[person] == yard
            rank = (float(share[column]) + (ANY if home else 0.0), yard)
            best[person] = max(best.get(person, (-1.0, -1)), rank)
        for person, (_, yard) in best.items():
            if (person, day) not in board.bound and board.roster[person][day] != yard:
                board.send(person, day, yard)
        self.relaxed.fix(
            [column for _, _, column in self.sent.get(day, ())],
            [
                float(board.roster[person][day] == yard)
                for person, yard, _ in self.sent.get(day, ())
            ],
        )

    def _settle_day(self, day: int, share: Floats, draw: Random | None) -> None:
        """Put on this day what the model has on it as far as it fits, and fill it up."""
        board, pieces = self.board, self.board.pieces
        today = {n: column for n, column in self.by_day.get(day, ()) if board.where[n] == LEFT_OUT}
        noise = {n: draw.uniform(0.5, 1.5) if draw else 1.0 for n in today}
        loss = {n: noise[n] * self._loss(n, day) / pieces[n].hands for n in today}
        chosen = sorted(
            (n for n, column in today.items() if share[column] > ANY),
            key=lambda n: (not pieces[n].holds, share[today[n]] < CHOICE, -loss[n]),
        )
        for number in chosen:
            if board.may_put(number, day):
                board.put(number, day)
        others = [n for n in today if board.where[n] == LEFT_OUT and self._open(today[n])]
        others.sort(key=lambda n: (-loss[n], not board.joins(n, day), pieces[n].due))
        for number in others[:TRIED]:
            if board.may_put(number, day):
                board.put(number, day)
        self.relaxed.fix(list(today.values()), [float(board.where[n] == day) for n in today])

    def _open(self, column: int) -> bool:
        return not self.relaxed.held[column]

    def _loss(self, number: int, day: int) -> float:
        """What is lost when it is not done on this day but on its next."""
        piece = self.board.pieces[number]
        later = next((one for one in piece.days if one > day), -1)
        return piece.cost[later] - piece.cost[day]
