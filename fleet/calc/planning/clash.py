"""Pins and locked days put first; when they can't all be kept, which of them clash."""

from fleet.calc.planning.board import Board


def put_pins(board: Board) -> None:
    for number, piece in enumerate(board.pieces):
        if board.asked.work[piece.works[0]].key in board.asked.pins:
            board.pinned.add(number)
            board.put(number, piece.days[0])
