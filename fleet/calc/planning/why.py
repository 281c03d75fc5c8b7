"""Why a piece found no day: for each day of the plan the first cause that closes it."""

from collections.abc import Iterator

from fleet.calc.planning.answer import Cause, Reason, Unplaced
from fleet.calc.planning.board import Board, Load
from fleet.calc.planning.pieces import Piece


def unplaced(board: Board) -> tuple[Unplaced, ...]:
    """Return what is left out with its reasons, in the order asked."""
    found: dict[str, Unplaced] = {}
    asked = board.asked
    for number, day in enumerate(board.where):
        if day < 0:
            for which in board.pieces[number].works:
                key = asked.work[which].key
                found[key] = Unplaced(key, _reasons(board, number, which))
    for one in asked.work:
        if one.key not in asked.kept and _yard_name(board, one.key, one.yard) is None:
            named = asked.pins[one.key].yard if one.key in asked.pins else one.yard
            reason = Reason(Cause.NO_SUCH_YARD, asked.days, named or one.yard, one.people,
                            tuple(sorted(one.skills)), one.minutes)  # fmt: skip
            found[one.key] = Unplaced(one.key, (reason,))
    return tuple(found[one.key] for one in asked.work if one.key in found)


def _yard_name(board: Board, key: str, yard: str) -> str | None:
    pin = board.asked.pins.get(key)
    name = pin.yard if pin and pin.yard else yard
    return name if name in board.asked.yard_number else None


def _reasons(board: Board, number: int, which: int) -> tuple[Reason, ...]:
    piece, one = board.pieces[number], board.asked.work[which]
    days: dict[Cause, list[int]] = {}
    for day in range(len(board.asked.days)):
        days.setdefault(_cause(board, number, day), []).append(day)
    yard = board.asked.yards[piece.yard].key
    ordered = sorted(days.items(), key=lambda item: (-len(item[1]), item[0]))
    return tuple(
        Reason(cause, tuple(board.asked.days[day] for day in closed), yard, piece.people,
               tuple(sorted(piece.skills)), one.minutes)
        for cause, closed in ordered
    )  # fmt: skip


def _cause(board: Board, number: int, day: int) -> Cause:
    """The first in a fixed order: the calendar, the vehicle, the people, then what is full."""
    piece = board.pieces[number]
    return next(_causes(board, piece, number, day))


def _causes(board: Board, piece: Piece, number: int, day: int) -> Iterator[Cause]:
    asked = board.asked
    one, date = asked.work[piece.works[0]], asked.days[day]
    if one.earliest is not None and date < one.earliest:
        yield Cause.BEFORE_EARLIEST
    if asked.opening(piece.yard, day) <= 0 or asked.yards[piece.yard].bays == 0:
        yield Cause.CLOSED
    if date in asked.standing.away.get(piece.vehicle, ()):
        yield Cause.VEHICLE_AWAY
    if (piece.yard, day) in asked.locked:
        yield Cause.LOCKED
    yield from _people(board, piece, day)
    if board.elsewhere(piece, day):
        yield Cause.VEHICLE_ELSEWHERE
    yield from _full(board, piece, number, day)


def _people(board: Board, piece: Piece, day: int) -> Iterator[Cause]:
    """Those who could come at all, then those who are there."""
    people = range(len(board.roster))
    may = [p for p in people if board.may_come(p, piece.yard, day)
           and board.there(p, piece.yard, day) > 0]  # fmt: skip
    able = [p for p in may if piece.skills <= board.asked.people[p].skills]
    if not may and piece.yard not in board.homes:
        yield Cause.NO_TRIP_DAY
    if len(able) < piece.people:
        yield Cause.NOT_ENOUGH_PEOPLE
    there = [board.there(p, piece.yard, day) for p in able]
    whole = piece.minutes + board.asked.yards[piece.yard].setup_minutes
    enough = sum(1 for most in there if most >= whole) >= piece.people
    if whole > board.asked.opening(piece.yard, day) or not enough:
        yield Cause.TOO_LONG
    here = [p for p in able if board.roster[p][day] == piece.yard]
    if len(here) < piece.people:
        yield Cause.PEOPLE_ELSEWHERE


def _full(board: Board, piece: Piece, number: int, day: int) -> Iterator[Cause]:
    crew = board.crew(piece.yard, day)
    room = board.room(piece.yard, day)
    there = [board.pieces[n] for n in board.on.get((piece.yard, day), frozenset()) | {number}]
    load = Load()
    for one in there:
        load.change(one, 1)
    if load.bay + len(load.vehicles) * room.setup > room.bays * room.opening:
        yield Cause.BAYS_FULL
    if load.hands + load.setups * room.setup > sum(room.until):
        yield Cause.PEOPLE_FULL
    skilled = [p for n, p in enumerate(crew) if piece.skills <= board.asked.people[p].skills]
    theirs = sum(room.until[n] for n, p in enumerate(crew) if p in skilled)
    if sum(one.hands for one in there if one.skills >= piece.skills) > theirs:
        yield Cause.PEOPLE_FULL
    yield Cause.NOT_AT_ONCE
