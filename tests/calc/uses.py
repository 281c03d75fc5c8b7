"""Generated use of known kinds, and how often the true day lies between low and high.

Four kinds: steady (five days a week, lognormal miles, the work changing by a quarter every two
months), seasonal (the same, down to 15 % for more than half the year), gappy (the steady one,
read every 18 days on average, now and then not for two months) and replaced (the steady one, its
meter dead for two to six weeks and then replaced, once a year or so).

Two ways of asking: "asked" is `date_when_due`, which looks at stretches as long as the way to the
target; "kept" is what the records keep: one rate over 30 days from the last 400 days' readings.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fleet.calc.usage import Due, Rate, Stale, date_when_due, due_from_rate, rate_of_use

MILE = 1609.344
DAYS = 1300
VEHICLES = 50
TARGETS = np.array([100.0, 500.0, 2500.0, 6000.0]) * MILE
KINDS = ("steady", "seasonal", "gappy", "replaced")
LOOK_BACK, MOST_READINGS = 400, 400

Floats = NDArray[np.float64]
Ints = NDArray[np.int_]


@dataclass(frozen=True)
class Covered:
    """Share of answers that held, how many were asked, and the usual width in days."""

    share: float
    asked: int
    days_wide: float


def use_by_day(kind: str, rng: np.random.Generator) -> Floats:
    day = np.arange(DAYS)
    works = (day + rng.integers(7)) % 7 < 5
    changing = np.exp(np.repeat(rng.normal(0, 0.25, DAYS // 60 + 1), 60)[:DAYS])
    miles = rng.uniform(20, 160) * rng.lognormal(-0.18, 0.6, DAYS) * works * changing
    if kind == "seasonal":
        miles *= np.where((day + rng.integers(365)) % 365 < 170, 1.0, 0.15)
    return np.asarray(np.cumsum(miles) * MILE, dtype=np.float64)


def days_read(kind: str, rng: np.random.Generator) -> Ints:
    gaps = rng.exponential(18, DAYS) + 1 if kind == "gappy" else rng.integers(4, 11, DAYS)
    days = np.cumsum(gaps).astype(int)
    return np.asarray(days[days < DAYS])


def replacements(kind: str, read: Ints, rng: np.random.Generator) -> tuple[Ints, Ints]:
    """The days that were read while meters were dead now and then, and the new ones' first."""
    if kind != "replaced":
        return read, np.array([], dtype=int)
    died = np.arange(rng.integers(60, 250), DAYS, 365)
    until = died + rng.integers(14, 43, died.size)
    dead = ((read[:, None] > died) & (read[:, None] < until)).any(axis=1)
    alive = read[~dead]
    first = np.searchsorted(alive, until)
    return alive, alive[first[first < alive.size]]


def shown(use: Floats, read: Ints, new: Ints) -> Floats:
    """Continuous use as the records hold it: what was driven on a dead meter is not in it."""
    lost = np.zeros(read.size)
    for day in new:
        at = int(np.searchsorted(read, day))
        lost[at:] += use[read[at]] - use[read[at - 1]]
    return np.asarray(use[read] - lost, dtype=np.float64)


def day_reached(use: Floats, target: float) -> float:
    after = int(np.searchsorted(use, target))
    return float(np.interp(target, use[after - 1 : after + 1], [after - 1, after]))


def answer(
    way: str, days: Ints, meter: Floats, new: Ints, target: float, today: int
) -> Due | Stale:
    if way == "asked":
        return date_when_due(days, meter, target, float(today), resets=new)
    kept = days[-MOST_READINGS:] >= days[-1] - LOOK_BACK
    days, meter = days[-MOST_READINGS:][kept], meter[-MOST_READINGS:][kept]
    rate = rate_of_use(days, meter, float(days[-1]), resets=new)
    if isinstance(rate, Stale):
        return rate
    as_stored = Rate(rate.low, rate.likely, rate.high)
    return due_from_rate(float(days[-1]), float(meter[-1]), as_stored, target)


def covered(kind: str, way: str = "asked") -> Covered:
    rng = np.random.default_rng(20261125)
    held, wide = [], []
    for _ in range(VEHICLES):
        use = use_by_day(kind, rng)
        read, new = replacements(kind, days_read(kind, rng), rng)
        meter = shown(use, read, new)
        for today in rng.integers(90, 1000, 2):
            known = read <= today
            days, last = read[known], use[read[known][-1]]
            for ahead in TARGETS:
                said = answer(way, days, meter[known], new[new <= today],
                              meter[known][-1] + ahead, int(today))  # fmt: skip
                if isinstance(said, Due) and last + ahead < use[-1]:
                    held.append(said.low <= day_reached(use, last + ahead) <= said.high)
                    wide.append(said.high - said.low)
    return Covered(float(np.mean(held)), len(held), float(np.median(wide)))
