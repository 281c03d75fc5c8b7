"""Where things come to lie: the sizes a picture is made in, its margins and its two scales."""

from dataclasses import dataclass
from datetime import date

from fleet.pictures.plots.figures import width_of
from fleet.pictures.plots.plot import Axis, Plot, Point, Target, places_of
from fleet.pictures.plots.ticks import Tick, date_ticks, value_ticks


@dataclass(frozen=True, slots=True)
class Size:
    """A picture in units that are CSS pixels at its own width: `text` is read at that size.

    `across` and `upward` are the most marks of the two axes.
    """

    name: str
    width: float
    height: float
    text: float
    across: int
    upward: int


#: For a desk, a tablet and paper.
WIDE = Size("wide", 680, 280, 14, 9, 7)
#: For a phone: fewer marks, text as large.
NARROW = Size("narrow", 288, 240, 13, 4, 5)
SIZES = (WIDE, NARROW)

#: The most of a wide picture's width that labels to its right may take.
_LABELS = 0.28
_TICK = 5.0


@dataclass(frozen=True, slots=True)
class Scale:
    """From figures to places: linear, from `low` at `start` to `high` at `end`."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        return self.start + (self.end - self.start) * (value - self.low) / (self.high - self.low)


@dataclass(frozen=True, slots=True)
class Frame:
    """The plot's own field inside the picture, with both scales and their marks."""

    size: Size
    x: Scale
    y: Scale
    across: list[Tick]
    upward: list[Tick]

    @property
    def left(self) -> float:
        return self.x.start

    @property
    def right(self) -> float:
        return self.x.end

    @property
    def top(self) -> float:
        return self.y.end

    @property
    def bottom(self) -> float:
        return self.y.start

    def place(self, point: Point) -> Point:
        return self.x(point[0]), self.y(point[1])


def frame_of(plot: Plot, size: Size, beside: float, rows: int) -> Frame:
    """Lay out a plot: `beside` is the room its names want to the right, `rows` are labels above."""
    points = [point for layer in plot.layers for point in places_of(layer)]
    x_low, x_high = _reach(plot.x, [x for x, _y in points] + _targets(plot, upright=True))
    y_low, y_high = _reach(plot.y, [y for _x, y in points] + _targets(plot, upright=False))
    upward = value_ticks(y_low, y_high, size.upward, plot.y.steps, plot.y.show)
    left = max(width_of(tick.text, size.text) for tick in upward) + _TICK + 6
    right = min(beside, size.width * _LABELS) + 10
    top = size.text * (2.1 + 1.25 * rows)
    below = size.text * (3.2 if plot.x.name else 2.0)
    across = _across(plot.x, x_low, x_high, size.across)
    return Frame(
        size,
        Scale(*span(x_low, x_high), left, size.width - right),
        Scale(upward[0].at, upward[-1].at, size.height - below, top),
        across,
        upward,
    )


def _targets(plot: Plot, *, upright: bool) -> list[float]:
    return [
        layer.at for layer in plot.layers if isinstance(layer, Target) and layer.upright is upright
    ]


def _reach(axis: Axis, values: list[float]) -> tuple[float, float]:
    """From the least to the most; a lone date gets a month on either side."""
    low = min(values, default=0.0) if axis.low is None else axis.low
    high = max(values, default=low + 1.0) if axis.high is None else axis.high
    if axis.dates and high <= low:
        return low - 31.0, low + 31.0
    return low, max(low, high)


def span(low: float, high: float) -> tuple[float, float]:
    """Two different ends: a scale needs some length."""
    return (low, high) if high > low else (low - 1.0, high + 1.0)


def _across(axis: Axis, low: float, high: float, most: int) -> list[Tick]:
    if axis.dates:
        return date_ticks(date.fromordinal(int(low)), date.fromordinal(int(high)), most)
    ticks = value_ticks(low, high, most, axis.steps, axis.show)
    return [tick for tick in ticks if low <= tick.at <= high] or ticks
