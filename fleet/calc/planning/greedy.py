"""A plan at once: most pressing first, each on its first day that costs least."""

from random import Random

from fleet.calc.planning.board import LEFT_OUT, Board
from fleet.calc.planning.pieces import Piece


def first_plan(board: Board) -> None:
    """Put what is not placed yet: hold work first, then by due day; crews go where work waits."""
    send_crews(board)
    for number in sorted(range(len(board.pieces)), key=lambda n: pressing(board.pieces[n], n)):
        if board.where[number] == LEFT_OUT:
            place(board, number)


def pressing(piece: Piece, number: int) -> tuple[bool, int, float, int]:
    """The order: hold work, then due day, then weight for each minute."""
    weight = piece.hold[-1] + piece.late[-1]
    return (not piece.holds, piece.due, -weight / piece.minutes, number)


def place(board: Board, number: int, draw: Random | None = None) -> bool:
    """Put a piece on the best day that takes it; say whether one did."""
    for day in best_days(board, number, draw):
        if board.may_put(number, day):
            board.put(number, day)
            return True
    return False


def best_days(board: Board, number: int, draw: Random | None = None) -> list[int]:
    """Its days by cost; among equals one with its vehicle in the yard already, then the first.

    With `draw` chance decides between equals instead of the first.
    """
    piece = board.pieces[number]
    here = {
        board.where[other]
        for other in board.of_vehicle[piece.vehicle]
        if board.pieces[other].yard == piece.yard
    }
    if draw is None:
        return sorted(piece.days, key=lambda day: (piece.cost[day], day not in here, day))
    chance = draw.random
    return sorted(piece.days, key=lambda day: (piece.cost[day], day not in here, chance()))


def send_crews(board: Board) -> None:
    """Send crews to yards where work waits and nobody is at home, as late as its due days allow."""
    manned = set(board.homes)
    waiting = [
        number
        for number, piece in enumerate(board.pieces)
        if piece.yard not in manned and piece.days and board.where[number] == LEFT_OUT
    ]
    for number in sorted(waiting, key=lambda n: pressing(board.pieces[n], n)):
        _with_a_trip(board, number)


def _with_a_trip(board: Board, number: int) -> None:
    """On a trip that goes anyway if it is in time for it, else on one of its own."""
    piece = board.pieces[number]
    days = sorted(piece.days, key=lambda day: (piece.cost[day], -day))
    for day in days:
        if board.crew(piece.yard, day):
            if board.may_put(number, day):
                board.put(number, day)
                return
        elif send_a_crew(board, piece.yard, day):
            if board.may_put(number, day):
                board.put(number, day)
                return
            call_back(board, piece.yard, day)


def send_a_crew(board: Board, yard: int, day: int) -> bool:
    """Send as many as may go and have nothing to do at home that day; say whether anybody went."""
    most = board.asked.yards[yard].crew
    for person in range(len(board.roster)):
        gone = sum(1 for one in board.crew(yard, day) if board.homes[one] != yard)
        if most is not None and gone >= most:
            break
        if free_to_go(board, person, yard, day):
            board.send(person, day, yard)
    return bool(board.crew(yard, day))


def call_back(board: Board, yard: int, day: int) -> None:
    """Let a crew that found nothing to do stay at home."""
    if not board.on.get((yard, day)) and (yard, day) not in board.asked.locked:
        for person in board.crew(yard, day):
            board.send(person, day, board.homes[person])


def free_to_go(board: Board, person: int, yard: int, day: int) -> bool:
    """Whether a person may go there that day and nothing already planned needs them elsewhere."""
    at = board.roster[person][day]
    if at == yard or not board.may_come(person, yard, day) or (person, day) in board.bound:
        return False
    if board.there(person, yard, day) <= 0:
        return False
    planned = board.on.get((at, day), frozenset())
    if not planned:
        return True
    board.send(person, day, yard)
    still = board.slots(at, day, planned) is not None
    board.send(person, day, at)
    return still
