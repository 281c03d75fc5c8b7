"""Pictures drawn here as SVG: shapes and classes that the style sheet colors, day and night."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from fleet.reads.reckoning.answers import Plot, Points

#: Left, top, right and bottom of the plot inside a picture of 640 by 260.
LEFT, TOP, RIGHT, BOTTOM = 46, 26, 624, 222
_STEPS = (1, 2, 5, 10, 20, 50, 100)
_MOST_TICKS = 8


@dataclass(frozen=True, slots=True)
class Mark:
    """A place in the picture, and what stands there."""

    x: float
    y: float
    text: str = ""


@dataclass(frozen=True, slots=True)
class Picture:
    """A plot in coordinates of the view box."""

    plot: Plot
    paths: tuple[str, ...]
    guides: tuple[str, ...]
    guide_names: tuple[Mark, ...]
    dots: tuple[Mark, ...]
    across: tuple[Mark, ...]
    upward: tuple[Mark, ...]
    named: tuple[Mark, ...]


class _Scale:
    """From figures to places: across from zero to the widest, upward from zero to the highest."""

    def __init__(self, plot: Plot) -> None:
        points = [*plot.dots, *(point for line in plot.lines for point in line.points)]
        self.wide = max((x for x, _y in points), default=1.0) or 1.0
        self.high = max((y for _x, y in points), default=1.0) or 1.0

    def place(self, x: float, y: float, text: str = "") -> Mark:
        across = LEFT + (RIGHT - LEFT) * x / self.wide
        return Mark(round(across, 1), round(BOTTOM - (BOTTOM - TOP) * y / self.high, 1), text)

    def path(self, points: Points) -> str:
        places = (self.place(x, y) for x, y in points)
        return "M" + " L".join(f"{place.x},{place.y}" for place in places)


def picture_of(plot: Plot) -> Picture:
    """Draw a plot. A spectrum's power has no figures beside it: the table has them."""
    scale = _Scale(plot)
    named = [line for line in plot.lines if line.name]
    plain = [line for line in plot.lines if not line.name]
    return Picture(
        plot,
        tuple(scale.path(line.points) for line in plain),
        tuple(scale.path(line.points) for line in named),
        tuple(scale.place(*line.points[-1], line.name) for line in named),
        tuple(scale.place(*dot) for dot in plot.dots),
        tuple(scale.place(at, 0, f"{at}") for at in _ticks(scale.wide)),
        tuple(scale.place(0, at, f"{at}") for at in (_ticks(scale.high) if plot.dots else ())),
        tuple(scale.place(at, 0, text) for at, text in plot.named),
    )


def _ticks(end: float) -> Iterable[int]:
    step = next((one for one in _STEPS if end / one <= _MOST_TICKS), _STEPS[-1])
    return range(0, math.floor(end + 0.1) + 1, step)
