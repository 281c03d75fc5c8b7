"""A start for yards that share people: each planned by itself, one after the other.

A search over all of them together finds what no order of yards does, but it may be long about what
a yard by itself is quick to find. So it begins with the better of the two.
"""

import time
from collections.abc import Iterator, Sequence
from dataclasses import replace

from fleet.calc.planning.answer import NoPlan
from fleet.calc.planning.asked import Assignment, Effort, Person, Standing, Work
from fleet.calc.planning.board import LEFT_OUT, Board
from fleet.calc.planning.clash import put_pins
from fleet.calc.planning.clock import Clock
from fleet.calc.planning.greedy import first_plan
from fleet.calc.planning.making import Making
from fleet.calc.planning.model import apart
from fleet.calc.planning.pieces import Asked, Piece, numbered, pieces_of
from fleet.calc.planning.told import told

#: The share of its seconds that is given to it.
SHARE = 1 / 3
NOWHERE = ""

Taken = dict[tuple[int, int], int]


def better_start(board: Board, clock: Clock) -> Board:
    """Return the board, or one on which its yards were planned in turn if that is less late."""
    orders = [order for yards in apart(board) if len(yards) > 1 for order in (yards, yards[::-1])]
    best = board
    if orders:
        clock.tell(sum(board.objective()), 0.0)
    for nth, order in enumerate(orders):
        seconds = (clock.effort.seconds * SHARE - clock.seconds) / (len(orders) - nth)
        if seconds <= 0 or clock.stop_asked():
            break
        other = _in_turn(board.asked, board.pieces, order, clock, seconds)
        if other is not None and _cost(other) < _cost(best):
            best = other
    return best


def _cost(board: Board) -> float:
    return board.cost(range(len(board.pieces)))


def _in_turn(
    asked: Asked, pieces: list[Piece], order: Sequence[int], clock: Clock, seconds: float
) -> Board | None:
    """A board on which the yards were planned in this order; None where pins of one then clash."""
    board = Board(asked, pieces)
    put_pins(board)
    taken = {place: board.roster[place[0]][place[1]] for place in board.bound}
    for nth, yard in enumerate(order):
        effort = replace(
            clock.effort, seconds=seconds / len(order), on_progress=None,
            should_stop=clock.stop_asked,
        )  # fmt: skip
        try:
            assignments = _alone(asked, yard, taken, effort)
        except NoPlan:
            return None
        _put(board, yard, assignments, taken)
        if nth < len(order) - 1 and clock.stop_asked():
            break
    first_plan(board)
    return board


def _alone(asked: Asked, yard: int, taken: Taken, effort: Effort) -> tuple[Assignment, ...]:
    """Plan one yard with whoever no other has taken."""
    key = asked.yards[yard].key
    work = [one for one in asked.work if _yard_of(asked, one) == key]
    mine = {one.key for one in work}
    standing = Standing(
        asked.standing.away,
        tuple(pin for pin in asked.pins.values() if pin.work in mine),
        frozenset(place for place in asked.standing.locked if place[0] == key),
        tuple(one for one in asked.standing.previous if one.yard == key),
        asked.standing.moving,
    )
    people = list(_people(asked, yard, taken))
    own = numbered(work, [asked.yards[yard]], people, asked.days, standing)
    board = Board(own, pieces_of(own))
    put_pins(board)
    first_plan(board)
    Making(board, Clock(effort, time.monotonic())).run()
    return told(board, 0.0).assignments


def _yard_of(asked: Asked, one: Work) -> str:
    """The yard that does a piece of work: a pin may name another than its own."""
    pin = asked.pins.get(one.key)
    return pin.yard if pin and pin.yard else one.yard


def _people(asked: Asked, yard: int, taken: Taken) -> Iterator[Person]:
    key = asked.yards[yard].key
    for number, one in enumerate(asked.people):
        if key != one.home and key not in one.yards:
            continue
        minutes = {
            day: there for day, there in one.minutes.items()
            if taken.get((number, asked.day_number.get(day, -1)), yard) == yard
        }  # fmt: skip
        home = one.home if one.home == key else NOWHERE
        yield replace(one, home=home, minutes=minutes, yards=one.yards & {key})


def _put(board: Board, yard: int, assignments: Sequence[Assignment], taken: Taken) -> None:
    """Put a yard's plan on the board, and send those whom it names."""
    asked = board.asked
    days = {one.work: asked.day_number[one.day] for one in assignments}
    for one in assignments:
        day = asked.day_number[one.day]
        for name in one.people:
            person = asked.person_number[name]
            taken[person, day] = yard
            if board.roster[person][day] != yard:
                board.send(person, day, yard)
    for number, piece in enumerate(board.pieces):
        if piece.yard == yard and board.where[number] == LEFT_OUT:
            on = days.get(asked.work[piece.works[0]].key)
            if on is not None and board.may_put(number, on):
                board.put(number, on)
