"""Words that stand where they belong, beside what they name, and never on one another."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from fleet.pictures.plots.figures import width_of


@dataclass(frozen=True, slots=True)
class Label:
    """A text at a height, and whether it names what the plot is about."""

    y: float
    text: str
    strong: bool = False


def spread(labels: Sequence[Label], gap: float, top: float, bottom: float) -> list[Label]:
    """Move labels up or down, no further than needed, until each is `gap` from the next.

    They keep their order and stay between `top` and `bottom` as far as there is room.

    Examples
    --------
    >>> [label.y for label in spread([Label(50, "a"), Label(52, "b")], 10, 0, 100)]
    [50, 60]
    >>> [label.y for label in spread([Label(98, "a"), Label(99, "b")], 10, 0, 100)]
    [90, 100]
    """
    placed: list[Label] = []
    for label in sorted(labels, key=lambda one: one.y):
        least = placed[-1].y + gap if placed else top
        placed.append(replace(label, y=max(label.y, least)))
    most = bottom
    for n in range(len(placed) - 1, -1, -1):
        placed[n] = replace(placed[n], y=min(placed[n].y, most))
        most = placed[n].y - gap
    return placed


def in_rows(
    marks: Sequence[tuple[float, str]], size: float, right: float, rows: int
) -> list[tuple[int, float]]:
    """For each mark the row its label stands in, from 0, and where it begins; rising in x.

    A label stands right of its line, or left of it at the picture's right edge. One that has no
    room in any row gets row -1: its line stands alone, and the table behind the picture has it.

    Examples
    --------
    >>> in_rows([(0, "moved"), (10, "moved"), (20, "moved")], 10, 200, 2)
    [(0, 4), (1, 14), (-1, 24)]
    """
    ends = [float("-inf")] * rows
    found: list[tuple[int, float]] = []
    for at, text in marks:
        wide = width_of(text, size)
        begin = at + 4 if at + 4 + wide <= right else at - 4 - wide
        free = (n for n, end in enumerate(ends) if begin > end + size / 2)
        row = next(free, -1) if begin >= 0 else -1
        if row >= 0:
            ends[row] = begin + wide
        found.append((row, begin))
    return found
