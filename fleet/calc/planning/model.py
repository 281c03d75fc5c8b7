"""The plan as a linear model: what no plan can beat, and a guide to a good one.

Days hold minutes of people and of bays, not an order; so every plan keeps the model, and its least
objective is a bound for every plan.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from math import gcd

from fleet.calc.planning.board import Board
from fleet.calc.planning.pieces import Piece

FREE = float("inf")


@dataclass(slots=True)
class Model:
    """Columns from 0 to 1, rows between bounds, sparse; `put` has the column of a piece a day."""

    weights: list[float] = field(default_factory=list)
    starts: list[int] = field(default_factory=lambda: [0])
    columns: list[int] = field(default_factory=list)
    values: list[float] = field(default_factory=list)
    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)
    put: dict[tuple[int, int], int] = field(default_factory=dict)
    sent: dict[tuple[int, int, int], int] = field(default_factory=dict)
    out: dict[int, int] = field(default_factory=dict)
    visits: list[int] = field(default_factory=list)
    #: The row that keeps the lateness of hold work at most what is reached.
    hold_row: int = -1

    @property
    def hold_weights(self) -> list[float]:
        """What the columns weigh when only hold work counts."""
        weights = [0.0] * len(self.weights)
        start, end = self.starts[self.hold_row], self.starts[self.hold_row + 1]
        for place in range(start, end):
            weights[self.columns[place]] = self.values[place]
        return weights

    @property
    def step(self) -> float:
        """All that plans can differ by is a multiple of this; 0 where nothing is seen to be."""
        quarters = [4 * weight for weight in self.weights]
        if any(quarter != round(quarter) for quarter in quarters):
            return 0.0
        return gcd(*(int(quarter) for quarter in quarters)) / 4

    def column(self, weight: float) -> int:
        self.weights.append(weight)
        return len(self.weights) - 1

    def row(self, entries: Iterable[tuple[int, float]], low: float, high: float) -> int:
        for column, value in entries:
            self.columns.append(column)
            self.values.append(value)
        self.starts.append(len(self.columns))
        self.low.append(low)
        self.high.append(high)
        return len(self.low) - 1


def apart(board: Board) -> list[tuple[int, ...]]:
    """Return groups of yards that share no people and no vehicles: each is a model of its own."""
    group = list(range(len(board.asked.yards)))

    def join(yards: Iterable[int]) -> None:
        roots = {group[yard] for yard in yards if yard >= 0}
        for yard, root in enumerate(group):
            if root in roots:
                group[yard] = min(roots)

    number = board.asked.yard_number
    for person in board.asked.people:
        join(number[key] for key in (person.home, *sorted(person.yards)) if key in number)
    for yards in board.yards_of.values():
        join(yards)
    found: dict[int, list[int]] = {}
    for yard, root in enumerate(group):
        found.setdefault(root, []).append(yard)
    return [tuple(yards) for yards in found.values()]


@dataclass(frozen=True, slots=True)
class Window:
    """Some days of one yard to be put anew: these pieces on these days, people as they are.

    `otherwise` has the day outside the window on which a piece may stay.
    """

    pieces: frozenset[int]
    days: frozenset[int]
    otherwise: dict[int, int]


def model_of(board: Board, yards: tuple[int, ...], window: Window | None = None) -> Model:
    """Build the model of one group of yards as it stands, pins and locked days in it."""
    model = Model()
    visits: dict[tuple[str, int, int], int] = {}
    alone: dict[tuple[str, int, int], list[int]] = defaultdict(list)
    by_day: dict[tuple[int, int], list[tuple[int, int]]] = defaultdict(list)
    hold: list[tuple[int, float]] = []
    for number, piece in enumerate(board.pieces):
        if piece.yard in yards and (window is None or number in window.pieces):
            for day, column in _choices(model, number, piece, hold, window):
                by_day[piece.yard, day].append((number, column))
                visit = (piece.vehicle, piece.yard, day)
                if visit not in visits:
                    visits[visit] = model.column(0.0)
                    model.visits.append(visits[visit])
                model.row(((visits[visit], 1.0), (column, -1.0)), 0.0, FREE)
                if piece.people == 1:
                    alone[visit].append(column)
    _one_yard_a_day(model, board, visits)
    _send(model, board, yards, window)
    setups: dict[tuple[int, int], list[tuple[int, int]]] = defaultdict(list)
    for visit, column in visits.items():
        setups[visit[1:]].append((column, _begun_alone(model, column, alone.get(visit, []))))
    for place, there in by_day.items():
        _minutes(model, board, place, there, setups[place])
    model.hold_row = model.row(hold, -FREE, FREE)
    return model


def _choices(
    model: Model,
    number: int,
    piece: Piece,
    hold: list[tuple[int, float]],
    window: Window | None,
) -> Iterator[tuple[int, int]]:
    """Each piece on one of its days or left out."""
    out = model.out[number] = model.column(piece.hold[-1] + piece.late[-1])
    row = [(out, 1.0)]
    days = [
        (day, model.column(piece.hold[day] + piece.late[day]))
        for day in piece.days
        if window is None or day in window.days
    ]
    row += [(column, 1.0) for _, column in days]
    model.row(row, 1.0, 1.0)
    if piece.holds:
        hold.append((out, piece.hold[-1]))
        hold.extend((column, piece.hold[day]) for day, column in days)
    for day, column in days:
        model.put[number, day] = column
        yield day, column


def _begun_alone(model: Model, visit: int, alone: list[int]) -> int:
    """A column for a visit that one person begins: it must have work for one. -1 = never."""
    if not alone:
        return -1
    column = model.column(0.0)
    model.row(((visit, 1.0), (column, -1.0)), 0.0, FREE)
    model.row([*((one, 1.0) for one in alone), (column, -1.0)], 0.0, FREE)
    return column


def _one_yard_a_day(
    model: Model, board: Board, visits: dict[tuple[str, int, int], int]
) -> None:  # fmt: skip
    places: dict[tuple[str, int], list[int]] = defaultdict(list)
    for (vehicle, _, day), column in visits.items():
        if vehicle in board.yards_of:
            places[vehicle, day].append(column)
    for columns in places.values():
        model.row([(column, 1.0) for column in columns], -FREE, 1.0)


def _send(model: Model, board: Board, yards: tuple[int, ...], window: Window | None) -> None:
    """Each person at one yard a day, in a window where they are."""
    for person in range(len(board.roster)):
        for day in range(len(board.asked.days)) if window is None else sorted(window.days):
            choices = [
                yard
                for yard in yards
                if board.there(person, yard, day) > 0
                and board.may_come(person, yard, day)
                and not board.bound_elsewhere(person, yard, day)
                and (window is None or board.roster[person][day] == yard)
            ]
            for yard in choices:
                model.sent[person, day, yard] = model.column(0.0)
            if choices:
                row = [(model.sent[person, day, yard], 1.0) for yard in choices]
                model.row(row, -FREE, 1.0)


def _minutes(
    model: Model,
    board: Board,
    place: tuple[int, int],
    there: list[tuple[int, int]],
    setups: list[tuple[int, int]],
) -> None:
    """Minutes of bays, of all people, and of those with the skills that work asks for."""
    (yard, day), asked, pieces = place, board.asked, board.pieces
    setup = asked.yards[yard].setup_minutes
    people = [
        (person, model.sent[person, day, yard], board.there(person, yard, day))
        for person in range(len(board.roster))
        if (person, day, yard) in model.sent
    ]
    for skills in sorted({pieces[n].skills for n, _ in there} | {frozenset()}, key=sorted):
        row = [(c, float(pieces[n].hands)) for n, c in there if skills <= pieces[n].skills]
        if not skills:
            row += [(visit, 2.0 * setup) for visit, _ in setups]
            row += [(alone, -float(setup)) for _, alone in setups if alone >= 0]
        row += [(c, -float(m)) for p, c, m in people if skills <= asked.people[p].skills]
        model.row(row, -FREE, 0.0)
    row = [(c, float(pieces[n].minutes)) for n, c in there]
    row += [(visit, float(setup)) for visit, _ in setups]
    model.row(row, -FREE, float(asked.yards[yard].bays * asked.opening(yard, day)))
    _pairs(model, board, place, there, [person for person, _, _ in people])
    crew = asked.yards[yard].crew
    if crew is not None:
        from_elsewhere = [(c, 1.0) for p, c, _ in people if board.homes[p] != yard]
        model.row(from_elsewhere, -FREE, float(crew))


def _pairs(
    model: Model, board: Board, place: tuple[int, int], there: list[tuple[int, int]],
    people: list[int],
) -> None:  # fmt: skip
    """With three people one pair works at a time: whoever can, two by two, is rounded down."""
    (yard, day), pieces = place, board.pieces
    paired = [(n, c) for n, c in there if pieces[n].people > 1]
    for skills in sorted({pieces[n].skills for n, _ in paired}, key=sorted):
        able = [p for p in people if skills <= board.asked.people[p].skills]
        most = max((board.there(p, yard, day) for p in able), default=0)
        row = [(c, float(pieces[n].minutes)) for n, c in paired if skills <= pieces[n].skills]
        model.row(row, -FREE, float(len(able) // 2 * most))
