"""Shapes that carry meaning: many of one kind are one path, which keeps a long list small."""

from collections.abc import Iterable
from functools import lru_cache

from fleet.pictures.plots.figures import place

Place = tuple[float, float]

# Each about a middle, for a size of 1 (half its width).
_SHAPES = {
    "circle": "m-1 0a1 1 0 1 0 2 0a1 1 0 1 0 -2 0z",
    "square": "m-.9 -.9h1.8v1.8h-1.8z",
    "diamond": "m0 -1.25l1.25 1.25l-1.25 1.25l-1.25 -1.25z",
    "triangle": "m0 -1.15l1.1 2h-2.2z",
    "tick": "m0 -1.4v2.8",
    "cross": "m-1 -1l2 2m0 -2l-2 2",
    "cup": "m-1 -1l1 2l1 -2",
}
SHAPES = tuple(_SHAPES)
#: Shapes that are lines and have no inside.
OPEN = ("tick", "cross", "cup")


def path_of(shape: str, places: Iterable[Place], size: float) -> str:
    """The path of one shape at every place; each place once."""
    drawn = _scaled(_SHAPES[shape], size)
    spots = dict.fromkeys((place(x), place(y)) for x, y in places)
    return "".join(f"M{x} {y}{drawn}" for x, y in spots)


@lru_cache(maxsize=64)
def _scaled(path: str, size: float) -> str:
    """A path in relative steps, made larger. An arc's flags and angle stay as they are."""
    out, command, nth = [], "", 0
    for token in _tokens(path):
        if token.isalpha():
            command, nth = token, 0
            out.append(token)
            continue
        keep = command == "a" and nth % 7 in (2, 3, 4)
        out.append(token if keep else place(float(token) * size))
        nth += 1
    return _joined(out)


def _tokens(path: str) -> list[str]:
    spaced = "".join(f" {letter} " if letter.isalpha() else letter for letter in path)
    return spaced.split()


def _joined(tokens: list[str]) -> str:
    text = ""
    for token in tokens:
        gap = "" if token.isalpha() or text[-1:].isalpha() or not text else " "
        text += gap + token
    return text
