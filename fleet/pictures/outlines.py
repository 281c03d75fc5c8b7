"""Closed outlines in the plane of a picture, as SVG path text in whole units.

All run the same way round, so that pieces lying over each other fill as one.
"""

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
_TINY = 1e-6
#: A circle seen nearly on its edge is still drawn this thick, as a share of its width.
THINNEST = 0.02


def path(points: Points, closed: bool = True) -> str:
    """Straight lines from point to point: the first absolute, the rest as steps."""
    whole = np.rint(points[:, :2]).astype(int)
    moves = [(int(x), int(y)) for x, y in np.diff(whole, axis=0) if x or y]
    start = f"M{_pair(int(whole[0, 0]), int(whole[0, 1]))}"
    text = start + ("l" + _pairs(moves) if moves else "h0")
    return text + "z" if closed else text


def polygon(points: Points) -> str:
    """A closed outline, turned the common way round."""
    return path(points if _area(points) >= 0 else points[::-1])


def around(
    start: Points,
    end: Points,
    r_start: float,
    r_end: float,
    flat: float = 1.0,
    way: Points | None = None,
) -> str:
    """What a tight string round two circles would enclose: a bar with round ends, or a cone.

    `flat` squeezes both circles along `way`, as one sees them whose axis does not point at the eye.
    """
    along = way if way is not None else (end - start)[:2]
    size = float(np.hypot(*along))
    e1 = along / size if size > _TINY else np.array([1.0, 0.0])
    e2, k = np.array([-e1[1], e1[0]]), max(flat, THINNEST)
    gap = (end - start)[:2]
    local = np.array([gap @ e1 / k, gap @ e2])
    apart = float(np.hypot(*local))
    turn = f"{round(float(np.degrees(np.arctan2(e1[1], e1[0])))):d}"
    if apart <= abs(r_start - r_end) + _TINY:
        center, radius = (start, r_start) if r_start >= r_end else (end, r_end)
        return _whole(center[:2], e1 * radius * k, f"a{_n(radius * k)} {_n(radius)} {turn}")
    heading, spread = np.arctan2(local[1], local[0]), np.arccos((r_start - r_end) / apart)

    def at(center: Points, radius: float, angle: float) -> Points:
        return np.asarray(center[:2] + radius * (np.cos(angle) * k * e1 + np.sin(angle) * e2))

    corners = [
        at(start, r_start, heading + spread), at(start, r_start, heading - spread),
        at(end, r_end, heading - spread), at(end, r_end, heading + spread),
    ]  # fmt: skip
    a, b, c, d = np.rint(corners).astype(int)
    first = f"a{_n(r_start * k)} {_n(r_start)} {turn} {int(r_start > r_end)} 1"
    last = f"a{_n(r_end * k)} {_n(r_end)} {turn} {int(r_end > r_start)} 1"
    return (
        f"M{_pair(*a.tolist())}{first}{_glue(*(b - a).tolist())}l{_pair(*(c - b).tolist())}"
        f"{last}{_glue(*(d - c).tolist())}z"
    )


def ribbon(middle: Points, radius: float) -> str:
    """A smoothly bent bar with round ends."""
    way = np.gradient(middle[:, :2], axis=0)
    way /= np.maximum(np.hypot(way[:, 0], way[:, 1]), _TINY)[:, None]
    aside = np.column_stack([way[:, 1], -way[:, 0]]) * radius
    there = np.rint(middle[:, :2] + aside).astype(int)
    back = np.rint(middle[:, :2] - aside).astype(int)[::-1]
    arc = f"a{_n(radius)} {_n(radius)} 0 0 1"
    first, turn, last = back[-1], there[0] - back[-1], back[0] - there[-1]
    return (
        f"M{_pair(*first.tolist())}{arc}{_glue(*turn.tolist())}l{_steps(there)}"
        f"{arc}{_glue(*last.tolist())}l{_steps(back)}z"
    )


def ellipse(circle: Points) -> str:
    """A whole circle seen aslant, from points evenly round it."""
    middle = circle[:, :2].mean(axis=0)
    spread = circle[:, :2] - middle
    sizes, ways = np.linalg.eigh(spread.T @ spread / len(spread))
    short, long = np.sqrt(2 * np.maximum(sizes, 0))
    way = ways[:, 1]
    turn = round(float(np.degrees(np.arctan2(way[1], way[0]))))
    return _whole(middle, way * long, f"a{_n(long)} {_n(max(short, long * THINNEST))} {turn}")


def _whole(middle: Points, half: Points, arc: str) -> str:
    """Two half turns from one end of an axis to the other and back."""
    start, step = np.rint(middle - half).astype(int), np.rint(2 * half).astype(int)
    there, back = (_glue(*each.tolist()) for each in (step, -step))
    return f"M{_pair(*start.tolist())}{arc} 1 1{there}{arc} 1 1{back}z"


def _steps(places: NDArray[np.int_]) -> str:
    return _pairs([(int(x), int(y)) for x, y in np.diff(places, axis=0)])


def _area(points: Points) -> float:
    x, y = points[:, 0], points[:, 1]
    return float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))


def _n(value: float) -> str:
    return f"{round(float(value), 1):g}"


def _pair(x: int, y: int) -> str:
    return f"{x}{_sep(y)}{y}"


def _glue(x: int, y: int) -> str:
    return f"{_sep(x)}{_pair(x, y)}"


def _pairs(moves: list[tuple[int, int]]) -> str:
    text = ""
    for x, y in moves:
        text += f"{_sep(x) if text else ''}{_pair(x, y)}"
    return text


def _sep(value: int) -> str:
    """A minus sign parts figures as well as a space does."""
    return "" if value < 0 else " "
