"""When a vehicle will have come so far: a date with a low and a high.

Notes
-----
The rate and its spread are explained in `fleet.calc.rates`. At the bench: the low date is when
to have the part and the bay ready; the high one says how sure the likely one is. A reading a
week narrows it more than anything else.

Coverage is simulated in tests/calc/uses.py over steady, seasonal and gappy use and dead meters.
"""

import math
from dataclasses import dataclass
from datetime import date

from numpy.typing import ArrayLike

from fleet.calc.rates import (
    HORIZON,
    STALE_AFTER_DAYS,
    Rate,
    Stale,
    believed,
    meter_rate,
    rate_of_use,
    rate_over,
)

__all__ = [
    "HORIZON", "STALE_AFTER_DAYS", "Due", "Projection", "Rate", "Stale", "date_of",
    "date_when_due", "due_from_rate", "meter_rate", "project_meter", "rate_of_use",
]  # fmt: skip

#: Further off than ten years is never.
FURTHEST = 3653.0
SHORTEST_HORIZON, LONGEST_HORIZON = 7.0, 120.0


@dataclass(frozen=True, slots=True)
class Due:
    """Days (ordinals) on which a target is reached; ``inf`` where it may never be."""

    low: float
    likely: float
    high: float


@dataclass(frozen=True, slots=True)
class Projection:
    """Use expected on a day, metres or seconds."""

    low: float
    likely: float
    high: float


def due_from_rate(last_day: float, last_use: float, rate: Rate, target: float) -> Due:
    """Say when a target is reached, from the last reading and a rate.

    Parameters
    ----------
    last_day, last_use : float
        Day and meter of the last reading.
    rate : Rate
        As stored. Over a shorter time than its horizon, use is less even: low and high are moved
        out by the square root of the ratio. Over a longer one they are kept, since a vehicle's
        work changes.
    target : float
        Meter at which the work is due, metres or seconds.

    Returns
    -------
    Due
        Never before `last_day`: a target that the last reading has reached is due on that day.

    Examples
    --------
    >>> due_from_rate(1000, 0, Rate(40.0, 50.0, 100.0), 2000)
    Due(low=1020.0, likely=1040.0, high=1050.0)
    """
    left = target - last_use
    if left <= 0:
        return Due(last_day, last_day, last_day)
    likely = _days_for(left, rate.likely)
    over = rate_over(rate, likely)
    return Due(
        last_day + _days_for(left, over.high),
        last_day + likely,
        last_day + _days_for(left, over.low),
    )


def _days_for(left: float, rate: float) -> float:
    if rate <= 0 or left > rate * FURTHEST:
        return math.inf
    return left / rate


def date_when_due(
    days: ArrayLike,
    meters: ArrayLike,
    target: float,
    today: float,
    coverage: float = 0.8,
    *,
    unit: str = "mi",
    resets: ArrayLike = (),
    stale_after_days: float = STALE_AFTER_DAYS,
) -> Due | Stale:
    """Say on which day a meter will reach a target, with a low and a high.

    Parameters are those of `rate_of_use`; `target` is on the meter that is fitted now.

    Examples
    --------
    >>> days = list(range(0, 366, 7))
    >>> date_when_due(days, [80_000.0 * day for day in days], 400 * 80_000.0, 366).likely
    400.0
    """

    def rate(horizon: float) -> Rate | Stale:
        return rate_of_use(
            days, meters, today, coverage, unit=unit, resets=resets,
            stale_after_days=stale_after_days, horizon=horizon,
        )  # fmt: skip

    first = rate(HORIZON)
    if isinstance(first, Stale):
        return first
    day, meter = believed(days, meters, today, unit=unit, resets=resets)
    last_day, last_use = float(day[-1]), float(meter[-1])
    guess = due_from_rate(last_day, last_use, first, target)
    # Asked again over stretches as long as the way to the target, within what history can show.
    better = rate(min(max(guess.likely - last_day, SHORTEST_HORIZON), LONGEST_HORIZON))
    return guess if isinstance(better, Stale) else due_from_rate(last_day, last_use, better, target)


def project_meter(last_day: float, last_use: float, rate: Rate, on_day: float) -> Projection:
    """Say what a meter will show on a day, from its last reading and a rate.

    Spread over less than the rate's horizon is widened as in `due_from_rate`.

    Examples
    --------
    >>> project_meter(1000, 5000.0, Rate(40.0, 50.0, 100.0), 1030)
    Projection(low=6200.0, likely=6500.0, high=8000.0)
    """
    ahead = max(0.0, on_day - last_day)
    over = rate_over(rate, ahead)
    low, likely, high = (last_use + ahead * one for one in (over.low, over.likely, over.high))
    return Projection(low, likely, high)


def date_of(day: float) -> date | None:
    """Return the date of a day ordinal, fractions cut off; None for never.

    >>> date_of(date(2026, 11, 25).toordinal() + 0.7), date_of(math.inf)
    (datetime.date(2026, 11, 25), None)
    """
    if not math.isfinite(day) or not 1 <= day < date.max.toordinal():
        return None
    return date.fromordinal(int(day))
