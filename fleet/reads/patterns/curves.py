"""How finds add up beside those expected: one curve for what stands out, one for the rest.

The axis is not use and not the date but the finds that like checks lead to expect, so that who
looks more often, or has more joints of a bad kind, is held against as much more.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np
from django.db.models import Count, Q, QuerySet, Sum
from django.utils.translation import gettext

from fleet.calc.recurrence import MeanCumulative, RecurrenceError, mean_cumulative_function
from fleet.pictures.plots import Axis, Layer, Line, Plot, Steps, nice_ticks, number
from fleet.reads.patterns.chances import figure
from fleet.records.models import Exposure

#: A curve ends where fewer units than this are left, unless there never were more (own).
FEWEST = 5
_Z = 1.96
_LINES = 6
_TINY = 1e-12


@dataclass(frozen=True)
class Look:
    """All checks of one unit (a vehicle, a joint) at one moment.

    How many finds they made, how many were expected of them, and the usual hazard they saw spent.
    """

    unit: int
    at: datetime
    expected: float
    spent: float
    finds: int


@dataclass(frozen=True)
class Curve:
    """Mean finds of a unit by the time so many were expected of it, with a 95 % band.

    `until` is how far it can be told: where few units are left it ends.
    """

    mean: MeanCumulative
    units: int
    until: float

    @property
    def has_band(self) -> bool:
        return bool(np.isfinite(self.mean.variance).all())

    def at(self, expected: float) -> tuple[float, float, float]:
        """Value, low and high by then."""
        place = int(np.searchsorted(self.mean.time, expected, side="right")) - 1
        if place < 0:
            return 0.0, 0.0, 0.0
        value, spread = float(self.mean.value[place]), float(self.mean.variance[place])
        half = _Z * spread**0.5
        return value, max(value - half, 0.0), value + half

    def steps(self, until: float, name: str, kind: str) -> Steps:
        shown = self.mean.time <= until
        value = self.mean.value[shown]
        points = [(0.0, 0.0), *zip(self.mean.time[shown].tolist(), value.tolist(), strict=True)]
        band: list[tuple[float, float]] = []
        if self.has_band:
            half = _Z * np.sqrt(self.mean.variance[shown])
            low, high = np.maximum(value - half, 0.0), value + half
            band = [(0.0, 0.0), *zip(low.tolist(), high.tolist(), strict=True)]
        return Steps(points, until, name, kind, band)


@dataclass(frozen=True)
class Beside:
    """Two curves in one picture. `most` is set where each was drawn of some vehicles only."""

    group: Curve
    rest: Curve | None
    most: int = 0

    @property
    def until(self) -> float:
        return self.group.until

    @property
    def both(self) -> float:
        """How far both can be told."""
        return min(self.group.until, self.rest.until) if self.rest else self.group.until

    @property
    def table(self) -> list[tuple[str, str, str]]:
        """Expected, finds here, finds of the rest, at a few places along the axis."""
        return [
            (number(at), _said(self.group, at), _said(self.rest, at) if self.rest else "")
            for at in nice_ticks(0.0, self.until, _LINES)
            if 0 < at <= self.until
        ]


def _said(curve: Curve, at: float) -> str:
    if at > curve.until:
        return ""
    value, low, high = curve.at(at)
    if not curve.has_band:
        return figure(value)
    told = {"value": figure(value), "low": figure(low), "high": figure(high)}
    return gettext("%(value)s (%(low)s to %(high)s)") % told


def looks(rows: QuerySet[Exposure], unit: str = "vehicle") -> list[Look]:
    """Weighed exposures as looks in order of time, unit by unit; one query."""
    sums = (
        rows.filter(expected__isnull=False).values_list(unit, "at").order_by(unit, "at")
        .annotate(due=Sum("expected"), used=Sum("spent"), finds=Count("pk", filter=Q(loose=True)))
    )  # fmt: skip
    return [Look(*row) for row in sums]


def curve_of(seen: Iterable[Look]) -> Curve | None:
    """None where nothing was found, or nothing expected."""
    found = [one for one in seen if one.expected > 0]
    if not found:
        return None
    _units, unit = np.unique([one.unit for one in found], return_inverse=True)
    due = np.array([one.expected for one in found])
    finds = np.array([one.finds for one in found], dtype=np.intp)
    end = np.bincount(unit, due)
    # Looks come unit by unit: the sum so far less what the units before it came to.
    passed = np.cumsum(due) - (np.cumsum(end) - end)[unit]
    event = np.repeat(unit, finds)
    when = np.clip(np.repeat(passed, finds), _TINY, end[event])
    try:
        mean = mean_cumulative_function(event, when, end)
    except RecurrenceError:
        return None
    least = min(FEWEST, max(1, end.size // 3))
    until = float(np.sort(end)[-least])
    shown = mean.time <= until
    if not shown.any():
        return None
    return Curve(MeanCumulative(*(part[shown] for part in mean)), int(end.size), until)


def beside_plot(beside: Beside, key: str, says: str, names: Sequence[str]) -> Plot:
    """The picture of both, with the line on which finds would lie if they came as expected.

    `names` are those of the group and of the rest.
    """
    until = beside.until
    layers: list[Layer] = [Line([(0.0, 0.0), (until, until)], kind="link")]
    if beside.rest:
        layers.append(beside.rest.steps(min(until, beside.rest.until), names[1], "guide"))
    layers.append(beside.group.steps(until, names[0], "line"))
    return Plot(
        key=key, name=gettext("Finds beside those expected"), says=says, layers=layers,
        x=Axis(gettext("finds expected of like checks"), low=0.0),
        y=Axis(gettext("finds"), low=0.0),
    )  # fmt: skip
