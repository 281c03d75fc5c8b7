"""What a plot is made of: two axes and layers over them, in the figures of the axes.

Units are the caller's: a figure comes in the unit that the axis is named in. A date is the place
`ticks.day_of` gives it.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from fleet.pictures.plots.ticks import number

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Axis:
    """One axis: its name with the unit, and where it begins and ends if not with the figures.

    `steps` are the steps it may be marked in (sixteenths of an inch), `show` writes a figure.
    """

    name: str = ""
    low: float | None = None
    high: float | None = None
    steps: tuple[float, ...] = ()
    show: Callable[[float], str] = number
    dates: bool = False


@dataclass(frozen=True, slots=True)
class Line:
    """Points joined. `kind` is "line" for what the plot is about, "guide" for what it is held
    against, "link" for a thin tie between two points."""

    points: Sequence[Point]
    name: str = ""
    kind: str = "line"


@dataclass(frozen=True, slots=True)
class Steps:
    """A curve that stands still between its events and jumps at each: right, then up or down.

    `points` are (event, value from there on), rising in x; it begins at the first and runs on to
    `until`. `band` has for each point its (low, high), or is empty.
    """

    points: Sequence[Point]
    until: float
    name: str = ""
    kind: str = "line"
    band: Sequence[tuple[float, float]] = ()

    def __post_init__(self) -> None:
        if self.band and len(self.band) != len(self.points):
            raise ValueError("band must have a low and a high for every point")
        if any(b[0] < a[0] for a, b in zip(self.points, self.points[1:], strict=False)):
            raise ValueError("points must rise in x")


@dataclass(frozen=True, slots=True)
class Stretch:
    """Part of a tolerance band: from `begin` to `end`, between `low` and `high`."""

    begin: float
    end: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Band:
    """What a figure is to lie within, as it stood from time to time."""

    stretches: Sequence[Stretch]
    name: str = ""


@dataclass(frozen=True, slots=True)
class Ribbon:
    """The stretch in which a curve may lie: points (x, low, high), rising in x."""

    points: Sequence[tuple[float, float, float]]


@dataclass(frozen=True, slots=True)
class Points:
    """Marks of one shape; an open one (`solid` false) is hollow. `act`: a person must act."""

    points: Sequence[Point]
    shape: str = "circle"
    solid: bool = True
    act: bool = False
    name: str = ""


@dataclass(frozen=True, slots=True)
class Target:
    """A straight line across the plot at a value, or up it at a place (`upright`)."""

    at: float
    name: str
    upright: bool = False


@dataclass(frozen=True, slots=True)
class Column:
    """One column from `begin` to `end`: its height, and what stands over it."""

    begin: float
    end: float
    value: float
    text: str = ""


@dataclass(frozen=True, slots=True)
class Columns:
    """Simple columns side by side, never stacked."""

    columns: Sequence[Column]


Layer = Line | Steps | Band | Ribbon | Points | Target | Columns


@dataclass(frozen=True, slots=True)
class Plot:
    """A picture with its name and one sentence that says what it says.

    `key` is unique on its page. `head` names the two columns of the table behind it.
    """

    key: str
    name: str
    says: str
    x: Axis
    y: Axis
    layers: Sequence[Layer]
    events: Sequence[tuple[float, str]] = field(default_factory=tuple)


def places_of(layer: Layer) -> list[Point]:
    """Every point that must lie within the axes. A target up the plot has no height of its own."""
    match layer:
        case Line() | Points():
            return list(layer.points)
        case Steps():
            ends = [(layer.until, layer.points[-1][1])] if layer.points else []
            sides = zip(layer.points, layer.band, strict=False)
            band = [(x, side) for (x, _y), both in sides for side in both]
            return [*layer.points, *ends, *band]
        case Band():
            return [
                place
                for one in layer.stretches
                for place in ((one.begin, one.low), (one.end, one.high))
            ]
        case Ribbon():
            return [(x, side) for x, low, high in layer.points for side in (low, high)]
        case Columns():
            return [
                place for one in layer.columns for place in ((one.begin, 0.0), (one.end, one.value))
            ]
        case _:
            return []
