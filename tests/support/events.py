"""Recurrent events as tests write them: units, their events, and where each watch ends."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


@dataclass(frozen=True)
class Events:
    """Unit and time of each event; start and end of each unit's watch."""

    unit: Ints
    time: Floats
    end: Floats
    start: Floats

    @property
    def arguments(self) -> tuple[Ints, Floats, Floats, Floats]:
        """As the functions of `fleet.calc.recurrence` take them."""
        return self.unit, self.time, self.end, self.start


def from_rows(
    rows: Iterable[tuple[str, float, bool]], ends: Mapping[str, float] | None = None
) -> Events:
    """Rows of (unit, time, is it the end of the watch); or the ends apart."""
    told = list(rows)
    last = {**{unit: time for unit, time, is_end in told if is_end}, **(ends or {})}
    number = {unit: place for place, unit in enumerate(sorted(last))}
    events = [(number[unit], time) for unit, time, is_end in told if not is_end]
    end = np.array([last[unit] for unit in sorted(last)])
    unit, time = (np.array(column) for column in zip(*events, strict=True))
    return Events(unit.astype(np.intp), time.astype(np.float64), end, np.zeros(end.size))


def simulated(
    units: int, rate: float, seed: int, *, shape: float = 1.0, spread: float = 0.0,
    staggered: bool = False,
) -> Events:  # fmt: skip
    """Power-law events of units watched over stretches of their own; `spread` is a variance."""
    rng = np.random.default_rng(seed)
    start = rng.uniform(0, 4, units) if staggered else np.zeros(units)
    end = start + rng.uniform(4, 10, units)
    factor = rng.gamma(1 / spread, spread, units) if spread else np.ones(units)
    low, high = start**shape, end**shape
    count = rng.poisson(rate * factor * (high - low))
    unit = np.repeat(np.arange(units), count)
    time = rng.uniform(low[unit], high[unit]) ** (1 / shape)
    mixed = rng.permutation(unit.size)
    return Events(unit[mixed], time[mixed], end, start)
