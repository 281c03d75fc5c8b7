"""A vehicle's use a day, from its meter readings: low, likely and high.

Notes
-----
Every stretch of the wanted length (the horizon) that a vehicle has driven is taken as one
possible future. The likely rate is the weighted median of their rates; low and high are weighted
quantiles, widened by Student's t over the normal quantile because a few stretches, overlapping
at that, tell less than many. Recent stretches weigh more (half in 120 days), and so do those
that ended at this time of an earlier year, so that a plow's summer does not surprise in autumn.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy import special

from fleet.calc.stretches import (
    MOST_PER_DAY,
    Floats,
    Stretches,
    Track,
    clean_readings,
    cut,
    drop_slips,
    track,
)

HORIZON = 30.0
STALE_AFTER_DAYS = 60.0
FEWEST_READINGS = 3
SHORTEST_HISTORY = 7.0
HALF_LIFE = 120.0
SEASON_WEIGHT, SEASON_WIDTH, YEAR = 0.5, 21.0, 365.25
#: However even the past was: half the rate with one stretch, a tenth with five (own setting).
LEAST_SPREAD = 0.5


@dataclass(frozen=True, slots=True)
class Rate:
    """Use a day, metres or seconds: low, likely and high, over stretches of `horizon` days."""

    low: float
    likely: float
    high: float
    horizon: float = HORIZON


@dataclass(frozen=True, slots=True)
class Stale:
    """No answer can be given.

    Attributes
    ----------
    reason : {"too_few_readings", "too_short", "too_old"}
        Stable, to translate by.
    """

    reason: str


def rate_of_use(
    days: ArrayLike,
    meters: ArrayLike,
    today: float,
    coverage: float = 0.8,
    *,
    unit: str = "mi",
    resets: ArrayLike = (),
    stale_after_days: float = STALE_AFTER_DAYS,
    horizon: float = HORIZON,
) -> Rate | Stale:
    """Estimate a vehicle's use a day from its meter readings.

    Parameters
    ----------
    days : array_like, shape (n,)
        Days of the readings, as ordinals; fractions and any order allowed.
    meters : array_like, shape (n,)
        The meter on these days, metres or seconds.
    today : float
        Readings of later days are left out.
    coverage : float
        Share of stretches that should lie between low and high.
    unit : {"mi", "km", "h"}
        What the meter counts; decides what is impossible in a day.
    resets : array_like
        Days on which the meter was set back or replaced. Use across one is left out, from both
        sides of the fraction; so is use across a fall that nobody recorded.
    stale_after_days : float
        With the last reading older than that, no rate is given.
    horizon : float
        Days over which the rate should hold.

    Returns
    -------
    Rate or Stale

    Raises
    ------
    ValueError
        For arrays of different length or not finite, or a coverage not between 0 and 1.

    Examples
    --------
    >>> days = np.arange(0.0, 366.0, 7.0)
    >>> rate = rate_of_use(days, days * 80_000.0, 366)
    >>> round(rate.likely), 0.9 < rate.low / rate.likely < 1 < rate.high / rate.likely < 1.1
    (80000, True)
    >>> rate_of_use([1, 8], [0, 500_000], 9)
    Stale(reason='too_few_readings')
    """
    if not 0 < coverage < 1:
        raise ValueError("coverage must be between 0 and 1")
    day, meter = believed(days, meters, today, unit=unit, resets=resets)
    whole = track(day, meter, np.asarray(resets, dtype=np.float64), MOST_PER_DAY[unit])
    if (reason := _too_little(whole, today, stale_after_days)) is not None:
        return Stale(reason)
    # Half the history at most, so that there is more than one stretch to compare.
    horizon = min(horizon, float(whole.time[-1]) / 2)
    return _rate(cut(whole, horizon), coverage, float(day[-1]), horizon)


def believed(
    days: ArrayLike, meters: ArrayLike, today: float, *, unit: str, resets: ArrayLike
) -> tuple[Floats, Floats]:
    """Return the readings up to today that can be believed, by day."""
    day, meter = clean_readings(days, meters)
    known = day <= today
    reset_days = np.asarray(resets, dtype=np.float64)
    return drop_slips(day[known], meter[known], reset_days, MOST_PER_DAY[unit])


def _too_little(whole: Track, today: float, stale_after_days: float) -> str | None:
    if np.count_nonzero(whole.time[1:] > whole.time[:-1]) < FEWEST_READINGS - 1:
        return "too_few_readings"
    if today - whole.day[-1] > stale_after_days:
        return "too_old"
    return "too_short" if whole.time[-1] < SHORTEST_HISTORY else None


def _rate(pieces: Stretches, coverage: float, last_day: float, horizon: float) -> Rate:
    weight = _weights(last_day - pieces.end_day)
    tail = (1 - coverage) / 2
    low, likely, high = _quantiles(pieces.rate, weight, np.array([tail, 0.5, 1 - tail]))
    total = weight.sum()
    independent = total**2 / np.square(weight).sum() * min(1.0, pieces.step / horizon)
    freedom = max(independent - 1, 1.0)
    wider = special.stdtrit(freedom, 1 - tail) / special.ndtri(1 - tail)
    # Use over a longer stretch than wanted is smoother than what is asked about.
    wider *= math.sqrt(1 + 1 / independent) * math.sqrt(
        max(1.0, (pieces.length * weight).sum() / total / horizon)
    )
    rate = widened(Rate(low, likely, high, horizon), float(wider))
    least = 1 + float(LEAST_SPREAD / independent)
    return Rate(min(rate.low, likely / least), likely, max(rate.high, likely * least), horizon)


def _weights(age: Floats) -> Floats:
    """Recent stretches weigh most; those of this time of an earlier year come next."""
    recent = np.exp2(-age / HALF_LIFE)
    off_season = np.abs((age + YEAR / 2) % YEAR - YEAR / 2)
    season = SEASON_WEIGHT * np.exp(-0.5 * (off_season / SEASON_WIDTH) ** 2) * (age > YEAR / 2)
    return np.asarray(recent + season, dtype=np.float64)


def _quantiles(value: Floats, weight: Floats, at: Floats) -> tuple[float, float, float]:
    order = value.argsort(kind="stable")
    value, weight = value[order], weight[order]
    middle = (weight.cumsum() - weight / 2) / weight.sum()
    low, likely, high = np.interp(at, middle, value)
    return float(low), float(likely), float(high)


def meter_rate(
    days: ArrayLike,
    meters: ArrayLike,
    *,
    unit: str = "mi",
    resets: ArrayLike = (),
) -> float | Stale:
    """Return the likely use a day up to the last reading, metres or seconds.

    >>> meter_rate([0, 10, 20, 30], [0, 100, 200, 300], unit="h")
    10.0
    """
    day, _ = clean_readings(days, meters)
    today = float(day[-1]) if day.size else 0.0
    rate = rate_of_use(days, meters, today, unit=unit, resets=resets)
    return rate if isinstance(rate, Stale) else rate.likely


def widened(rate: Rate, times: float) -> Rate:
    """Move low and high away from likely; low by ratio, so that it comes to zero only from zero."""
    low = rate.likely * (rate.low / rate.likely) ** times if rate.likely > 0 else 0.0
    high = rate.likely + (rate.high - rate.likely) * times
    return Rate(low, rate.likely, high, rate.horizon)


def rate_over(rate: Rate, days: float) -> Rate:
    """Return the rate as it may turn out over `days`: less even over fewer than its horizon."""
    if not 0 < days < rate.horizon:
        return rate
    return widened(rate, math.sqrt(rate.horizon / max(days, 1.0)))
