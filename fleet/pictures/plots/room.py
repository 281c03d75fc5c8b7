"""Where a name finds room in a plot: never on a point or another name, off the lines if it can."""

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from fleet.pictures.plots.figures import width_of
from fleet.pictures.plots.frame import Frame
from fleet.pictures.plots.layers import staircase
from fleet.pictures.plots.plot import Layer, Line, Plot, Point, Points, Steps, Target

#: Left, top, right, bottom.
Box = tuple[float, float, float, float]
#: What it costs to stand on a name, on a point, on a stretch of line; more than that is not tried.
_NAME, COVERS, _LINE = 1000.0, 100.0, 1.0
#: Between two places that stand for a line, and how far a point reaches.
_STRIDE, _REACH = 3.0, 3.4
_RISE, _FALL = 0.7, 0.2


@dataclass(frozen=True, slots=True)
class Try:
    """A place for a name: the foot of its letters at the left, and how it is liked, least best."""

    x: float
    y: float
    like: float = 0.0


@dataclass(slots=True)
class Room:
    """What stands in a plot already."""

    frame: Frame
    spots: Sequence[Point]
    lines: Sequence[Point]
    names: list[Box] = field(default_factory=list)

    def take(self, text: str, tries: Iterable[Try]) -> tuple[Try, float] | None:
        """The best of some places and what it costs, and it is taken; None where none fits in.

        A cost of `COVERS` or more stands on a point or on another name.
        """
        inside = [one for one in tries if self._fits(self._box(text, one))]
        if not inside:
            return None
        costs = [one.like + self._cost(self._box(text, one)) for one in inside]
        least = min(range(len(inside)), key=costs.__getitem__)
        return inside[least], costs[least]

    def keep(self, text: str, at: Try) -> None:
        """From here on the name stands there."""
        self.names.append(self._box(text, at))

    def _box(self, text: str, at: Try) -> Box:
        size = self.frame.size.text
        return (at.x, at.y - size * _RISE, at.x + width_of(text, size), at.y + size * _FALL)

    def _fits(self, box: Box) -> bool:
        frame = self.frame
        across = box[0] >= frame.left - 1 and box[2] <= frame.right + 1
        return across and box[1] >= frame.top - 3 and box[3] <= frame.bottom + 2

    def _cost(self, box: Box) -> float:
        left, top, right, bottom = box
        near = (left - _REACH, top - _REACH, right + _REACH, bottom + _REACH)
        on_names = sum(
            left < other[2] and other[0] < right and top < other[3] and other[1] < bottom
            for other in self.names
        )
        on_spots = sum(_lies_in(spot, near) for spot in self.spots)
        on_lines = sum(_lies_in(place, box) for place in self.lines)
        return _NAME * on_names + COVERS * on_spots + _LINE * on_lines


def room_in(plot: Plot, frame: Frame) -> Room:
    """The points and the lines of a plot, before any name stands in it."""
    spots = [frame.place(p) for one in plot.layers if isinstance(one, Points) for p in one.points]
    lines = [place for one in plot.layers for place in places_along(one, frame)]
    return Room(frame, spots, lines)


def places_along(layer: Layer, frame: Frame) -> list[Point]:
    """A place every few units along a line, a curve or a target across; of others none."""
    match layer:
        case Line() if layer.kind != "link":
            return _strides([frame.place(point) for point in layer.points])
        case Steps() if layer.points:
            places = [frame.place(point) for point in layer.points]
            return _strides(staircase(places, frame.x(layer.until)))
        case Target() if not layer.upright:
            y = frame.y(layer.at)
            return _strides([(frame.left, y), (frame.right, y)])
        case _:
            return []


def _strides(corners: Sequence[Point]) -> list[Point]:
    found: list[Point] = list(corners[:1])
    for (x, y), (to_x, to_y) in itertools.pairwise(corners):
        many = max(1, round(max(abs(to_x - x), abs(to_y - y)) / _STRIDE))
        found += [
            (x + (to_x - x) * n / many, y + (to_y - y) * n / many) for n in range(1, many + 1)
        ]
    return found


def _lies_in(place: Point, box: Box) -> bool:
    return box[0] <= place[0] <= box[2] and box[1] <= place[1] <= box[3]
