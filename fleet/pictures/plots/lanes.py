"""A life along its dates: one lane a kind of thing, and what the meter said at both ends."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from fleet.pictures.plots.plot import Stretch


@dataclass(frozen=True, slots=True)
class Sign:
    """Something that happened on a day: a shape of `marks.SHAPES`, or a symbol of the picture."""

    at: float
    shape: str = "circle"
    solid: bool = True
    act: bool = False


@dataclass(frozen=True, slots=True)
class Stay:
    """Something that lasted: a hold, a ticket, a recheck left undone. `act`: it still lasts."""

    begin: float
    end: float
    act: bool = False


@dataclass(frozen=True, slots=True)
class Reading:
    """A figure read on a day, in a lane that has a height."""

    at: float
    value: float
    shape: str = "circle"
    solid: bool = True
    act: bool = False


@dataclass(frozen=True, slots=True)
class Gauge:
    """Readings and what each was to lie within; `low` and `high` name the band's two sides."""

    readings: Sequence[Reading]
    stretches: Sequence[Stretch] = ()
    low: str = ""
    high: str = ""


@dataclass(frozen=True, slots=True)
class Lane:
    """One kind of thing; `texts` stand beside their day where there is room."""

    name: str
    signs: Sequence[Sign] = ()
    stays: Sequence[Stay] = ()
    texts: Sequence[tuple[float, str]] = ()
    gauge: Gauge | None = None

    @property
    def is_empty(self) -> bool:
        return not (self.signs or self.stays or (self.gauge and self.gauge.readings))


@dataclass(frozen=True, slots=True)
class Life:
    """A picture of lanes over one axis of dates.

    `ends` is what stands over the first and the last day (the meter), `today` where the present
    is if the axis runs on beyond it. `symbols` are shapes of the caller's, by name: SVG round
    0,0 in a square of 24 by 24.
    """

    key: str
    name: str
    says: str
    first: date
    last: date
    lanes: Sequence[Lane]
    ends: tuple[str, str] = ("", "")
    today: float | None = None
    symbols: Mapping[str, str] = field(default_factory=dict)
