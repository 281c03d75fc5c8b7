"""The making of a plan: one at once, then along the model, then better round by round."""

from dataclasses import dataclass
from math import ceil
from random import Random

from fleet.calc.planning.board import Board
from fleet.calc.planning.clock import Clock
from fleet.calc.planning.guided import Guide
from fleet.calc.planning.model import apart, model_of
from fleet.calc.planning.search import Search
from fleet.calc.planning.solver import Relaxed

#: Rounds of one group of yards before the next has its turn; turns after which it is told.
TURN, TELLING = 50, 10
#: A turn in so many puts some days anew along the model.
ALONG = 6
#: Seconds kept for the last bound.
LAST = 2.0
#: A model of at most so many columns is also solved in whole numbers, for so many seconds.
SMALL, WHOLE = 4000, 10.0
NOTHING = 1e-6


@dataclass(slots=True)
class Group:
    """Yards that share people: their search, their model's guide, and what is proven of them."""

    yards: tuple[int, ...]
    search: Search
    guide: Guide | None = None
    bound: float = 0.0
    hold_bound: float = 0.0
    turns: int = 0


class Making:
    """Makes the board's plan as good as the clock lets it."""

    def __init__(self, board: Board, clock: Clock) -> None:
        self.board, self.clock = board, clock
        self.seed = clock.effort.seed
        self.draw = Random(self.seed)  # noqa: S311 - chance that must repeat
        self.groups = [
            Group(yards, Search(board, yards, self.seed))
            for yards in apart(board)
            if any(piece.yard in yards for piece in board.pieces)
        ]
        self.rounds = 0

    def run(self) -> None:
        self.tell()
        for group in self.groups:
            if self.clock.over():
                break
            self._along_the_model(group)
            self.tell()
        turns = 0
        while not self._enough():
            self._turn(self._next())
            turns += 1
            if turns % TELLING == 0:
                self.tell()
        for group in self.groups:
            group.search.settle()
        self._prove_again()
        self.tell()

    def _next(self) -> Group:
        """A group whose turn it is: the more often, the more it may still gain."""
        open_ones = [group for group in self.groups if not self._done(group)]
        gaps = [sum(group.search.best_late) - group.bound for group in open_ones]
        return self.draw.choices(open_ones, gaps)[0]

    def tell(self) -> None:
        self.clock.tell(self.best(), self.bound())

    def best(self) -> float:
        return sum(sum(group.search.best_late) for group in self.groups)

    def bound(self) -> float:
        return sum(group.bound for group in self.groups)

    def hold_bound(self) -> float:
        return sum(group.hold_bound for group in self.groups)

    def _along_the_model(self, group: Group) -> None:
        """Solve the model, prove its bound, and follow it where that is better than before."""
        model = model_of(self.board, group.yards)
        relaxed = Relaxed(model, self.seed)
        solved = relaxed.least(group.search.best_late[0] + NOTHING, self.clock)
        if solved.bound is None:
            return
        group.bound = _stepped(solved.bound, model.step)
        group.guide = Guide(self.board, model, relaxed, self.clock)
        if self._done(group):
            return
        if len(model.weights) <= SMALL:
            self._in_whole_numbers(group, group.guide)
        else:
            group.guide.follow()
        group.search.take_over()

    def _in_whole_numbers(self, group: Group, guide: Guide) -> None:
        """Solve a small model to the end: the bound first, before it is told what does not fit."""
        seconds = min(WHOLE, self.clock.left / 4)
        hold = group.search.best_late[0] + NOTHING
        solved = guide.relaxed.whole(hold, self.clock, seconds)
        group.bound = max(group.bound, _stepped(solved.bound or 0.0, guide.model.step))
        guide.whole(seconds)

    def _done(self, group: Group) -> bool:
        """Whether it is proven as close as asked."""
        late = sum(group.search.best_late)
        return late - group.bound <= self.clock.effort.gap * late + NOTHING

    def _enough(self) -> bool:
        most = self.clock.effort.rounds
        if most is not None and self.rounds >= most:
            return True
        if all(self._done(group) for group in self.groups):
            return True
        late = self.best()
        near = late - self.bound() <= self.clock.effort.gap * late + 1e-6
        return (
            near
            or self.clock.stop_asked()
            or self.clock.left <= min(LAST, self.clock.effort.seconds / 10)
        )

    def _turn(self, group: Group) -> None:
        turn, group.turns = group.turns, group.turns + 1
        heat = self.clock.left / self.clock.effort.seconds
        if self.clock.effort.rounds is not None:
            heat = 1 - self.rounds / self.clock.effort.rounds
        large = group.guide is not None and len(group.guide.model.weights) > SMALL
        if group.guide is not None and (large or turn % ALONG == 0):
            group.search.along(self.clock, self.seed)
            self.rounds += 1
            if not large or turn % ALONG:
                return
        for _ in range(TURN):
            if self._enough():
                return
            group.search.round(0.0 if large else max(heat, 0.0) / 4)
            self.rounds += 1

    def _prove_again(self) -> None:
        """The bound once more, now that hold work is known to come no later than it does."""
        for group in self.groups:
            if group.guide is None or self._done(group):
                continue
            relaxed, model = group.guide.relaxed, group.guide.model
            relaxed.loosen()
            relaxed.weigh(model.weights)
            solved = relaxed.least(group.search.best_late[0] + NOTHING, self.clock, LAST)
            group.bound = max(group.bound, _stepped(solved.bound or 0.0, model.step))
        for group in self.groups:
            if group.guide is not None and group.search.best_late[0] > 0:
                relaxed, model = group.guide.relaxed, group.guide.model
                relaxed.loosen()
                relaxed.weigh(model.hold_weights)
                solved = relaxed.least(float("inf"), self.clock, LAST)
                group.hold_bound = max(solved.bound or 0.0, 0.0)


def _stepped(bound: float, step: float) -> float:
    """Round a bound up to the next figure that a plan can have."""
    bound = max(bound, 0.0)
    return ceil(bound / step - 1e-6) * step if step else bound
