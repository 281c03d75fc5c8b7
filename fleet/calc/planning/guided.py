"""A plan along the linear model: day by day what fits is settled and the rest is solved again."""

from collections.abc import Sequence
from random import Random

from fleet.calc.planning.board import LEFT_OUT, Board
from fleet.calc.planning.clock import Clock
from fleet.calc.planning.greedy import place, pressing
from fleet.calc.planning.model import Model, Window
from fleet.calc.planning.pieces import TIDY
from fleet.calc.planning.solver import Floats, Relaxed

#: What a visit weighs in the guide, so that work on a vehicle is put together, and how much more
#: hold work weighs there than it does (own figures).
VISIT, ABOVE = 0.02, 20.0
#: What a visit weighs, and by which share weights change, where chance decides (own figures).
VISITS, UNREST = (0.0, 0.01, 0.02, 0.05, 0.1), (0.0, 0.1, 0.3)
#: Work beyond the model's choice that is tried to fill a day up.
TRIED = 40
#: How often a model in whole numbers is told what does not fit by the clock.
ATTEMPTS, ATTEMPTS_IN_WINDOW = 40, 2
#: A share of a piece from which the model has it on a day at all, and from which it chose it.
ANY, CHOICE = 1e-6, 0.5


class Guide:
    """The model of one group of yards, solved again and again while days are settled."""

    def __init__(
        self,
        board: Board,
        model: Model,
        relaxed: Relaxed,
        clock: Clock,
        window: Window | None = None,
    ) -> None:
        self.window = window
        self.board, self.model, self.relaxed, self.clock = board, model, relaxed, clock
        self.by_day: dict[int, list[tuple[int, int]]] = {}
        for (number, day), column in model.put.items():
            self.by_day.setdefault(day, []).append((number, column))
        self.sent: dict[int, list[tuple[int, int, int]]] = {}
        for (person, day, yard), column in model.sent.items():
            self.sent.setdefault(day, []).append((person, yard, column))

    def follow(self, draw: Random | None = None) -> None:
        """Put all loose pieces anew, day by day; after each the rest is solved again.

        With `draw` the weights are changed a little by chance, so that it is not the same again.
        """
        board, relaxed = self.board, self.relaxed
        relaxed.weigh(self._weights() if draw is None else self._changed(draw))
        loose = sorted({number for number, _ in self.model.put} - board.pinned)
        for number in loose:
            if board.where[number] != LEFT_OUT:
                board.take(number)
        every = range(len(board.asked.days))
        for day in every if self.window is None else sorted(self.window.days):
            share = relaxed.least(float("inf"), self.clock).columns
            if share is None:
                break
            self._settle_crews(day, share)
            self._settle_day(day, share)
        self._stay_outside()
        self._place_rest(loose)

    def whole(self, seconds: float) -> None:
        """Put all loose pieces as the model has them in whole numbers.

        What does not fit a day by the clock is told to the model, and it is solved again.
        """
        clock, relaxed = self.clock, self.relaxed
        relaxed.loosen()
        relaxed.weigh(self._exact())
        end = clock.seconds + seconds
        for _ in range(ATTEMPTS if self.window is None else ATTEMPTS_IN_WINDOW):
            columns = relaxed.whole(float("inf"), clock, end - clock.seconds).columns
            if columns is None:
                return
            failing = self._adopt(columns)
            if not failing:
                return
            for yard, day, numbers in failing:
                self._forbid(yard, day, numbers)

    def _adopt(self, columns: Floats) -> list[tuple[int, int, frozenset[int]]]:
        """Put the pieces on the days of a whole solution; return what fits no day as it is."""
        board, model = self.board, self.model
        loose = {number for number, _ in model.put} - board.pinned
        for number in loose:
            if board.where[number] != LEFT_OUT:
                board.take(number)
        for day in self.sent:
            self._send(day, columns)
        there: dict[tuple[int, int], set[int]] = {}
        for (number, day), column in model.put.items():
            if columns[column] > CHOICE:
                there.setdefault((board.pieces[number].yard, day), set()).add(number)
        failing = [
            (yard, day, left)
            for (yard, day), numbers in there.items()
            if (left := self._adopt_day(yard, day, numbers))
        ]
        self._stay_outside()
        self._place_rest(sorted(loose))
        return failing

    def _stay_outside(self) -> None:
        """What found no day in the window stays on its day outside."""
        board = self.board
        for number, day in sorted(self.window.otherwise.items()) if self.window else ():
            if board.where[number] == LEFT_OUT and board.may_put(number, day):
                board.put(number, day)

    def _adopt_day(self, yard: int, day: int, numbers: set[int]) -> frozenset[int]:
        """Put what fits; return as little as can be of what does not fit together, or nothing."""
        board = self.board
        if self.window is None:
            board.thorough.add((yard, day))
        whole = frozenset(numbers) | board.on.get((yard, day), frozenset())
        failing = frozenset[int]()
        if board.slots(yard, day, whole) is None:
            failing = self._least(yard, day, whole)
        for number in sorted(numbers - board.pinned, key=lambda n: pressing(board.pieces[n], n)):
            if board.may_put(number, day):
                board.put(number, day)
        return failing

    def _place_rest(self, numbers: Sequence[int]) -> None:
        pieces = self.board.pieces
        for number in sorted(numbers, key=lambda number: pressing(pieces[number], number)):
            if self.board.where[number] == LEFT_OUT:
                place(self.board, number)

    def _least(self, yard: int, day: int, numbers: frozenset[int]) -> frozenset[int]:
        """As little of it as does not fit."""
        for number in sorted(numbers):
            if len(numbers) > 1 and self.board.slots(yard, day, numbers - {number}) is None:
                numbers -= {number}
        return numbers

    def _forbid(self, yard: int, day: int, numbers: frozenset[int]) -> None:
        put, here = self.model.put, self.board.crew(yard, day)
        others = [c for p, at, c in self.sent.get(day, ()) if at == yard and p not in here]
        self.relaxed.forbid([put[n, day] for n in sorted(numbers) if (n, day) in put], others)

    def _exact(self) -> list[float]:
        """What the search weighs, as weights of the columns."""
        weights = [0.0] * len(self.model.weights)
        for (number, day), column in self.model.put.items():
            weights[column] = self.board.pieces[number].cost[day]
        for number, column in self.model.out.items():
            weights[column] = self.board.pieces[number].cost[self._otherwise(number)]
        for column in self.model.visits:
            weights[column] = TIDY
        return weights

    def _otherwise(self, number: int) -> int:
        """Its day where it is not put on one by the model."""
        return self.window.otherwise.get(number, LEFT_OUT) if self.window else LEFT_OUT

    def _changed(self, draw: Random) -> list[float]:
        """The weights, each a little more or less, and visits weighed anew."""
        unrest = draw.choice(UNREST)
        weights = [max(0.0, weight * (1 + draw.gauss(0, unrest))) for weight in self._weights()]
        visit = draw.choice(VISITS)
        for column in self.model.visits:
            weights[column] = visit
        return weights

    def _weights(self) -> list[float]:
        weights = list(self.model.weights)
        outs = (((n, self._otherwise(n)), c) for n, c in self.model.out.items())
        places = [*self.model.put.items(), *outs]
        for (number, day), column in places:
            piece = self.board.pieces[number]
            weights[column] = ABOVE * piece.hold[day] + (
                piece.cost[day] if not piece.holds else 0.0
            )
        for column in self.model.visits:
            weights[column] = VISIT
        return weights

    def _send(self, day: int, share: Floats) -> None:
        """Each person to the yard that the model has them in most; home among equals."""
        board, ranked = self.board, list[tuple[float, int, int]]()
        for person, yard, column in self.sent.get(day, ()):
            home = board.homes[person] == yard
            ranked.append((float(share[column]) + (ANY if home else 0.0), -person, yard))
        sent = {person for person, when in board.bound if when == day}
        for _, minus, yard in sorted(ranked, reverse=True):
            person = -minus
            if person in sent or not self._room_for(person, yard, day, sent):
                continue
            sent.add(person)
            if board.roster[person][day] != yard:
                board.send(person, day, yard)
        for person in {-minus for _, minus, _ in ranked} - sent:
            board.send(person, day, board.homes[person])

    def _room_for(self, person: int, yard: int, day: int, sent: set[int]) -> bool:
        """Whether one more from elsewhere may come beside those who are sent already."""
        board, most = self.board, self.board.asked.yards[yard].crew
        if most is None or board.homes[person] == yard:
            return True
        there = [p for p in sent if board.roster[p][day] == yard and board.homes[p] != yard]
        return len(there) < most

    def _settle_crews(self, day: int, share: Floats) -> None:
        self._send(day, share)
        board = self.board
        self.relaxed.fix(
            [column for _, _, column in self.sent.get(day, ())],
            [
                float(board.roster[person][day] == yard)
                for person, yard, _ in self.sent.get(day, ())
            ],
        )

    def _settle_day(self, day: int, share: Floats) -> None:
        """Put on this day what the model has on it as far as it fits, and fill it up."""
        board, pieces = self.board, self.board.pieces
        today = {n: column for n, column in self.by_day.get(day, ()) if board.where[n] == LEFT_OUT}
        loss = {n: self._loss(n, day) / pieces[n].hands for n in today}
        chosen = sorted(
            (n for n, column in today.items() if share[column] > ANY),
            key=lambda n: (not pieces[n].holds, share[today[n]] < CHOICE, -loss[n]),
        )
        for number in chosen:
            if board.may_put(number, day):
                board.put(number, day)
        others = [n for n in today if board.where[n] == LEFT_OUT]
        others.sort(key=lambda n: (-loss[n], not board.joins(n, day), pieces[n].due))
        for number in others[:TRIED]:
            if board.may_put(number, day):
                board.put(number, day)
        self.relaxed.fix(list(today.values()), [float(board.where[n] == day) for n in today])

    def _loss(self, number: int, day: int) -> float:
        """What is lost when it is not done on this day but on its next."""
        piece = self.board.pieces[number]
        later = next((one for one in piece.days if one > day), -1)
        return piece.cost[later] - piece.cost[day]
