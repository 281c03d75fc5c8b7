"""Power-law process of many units: the mean count grows as rate * use ** shape."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike
from scipy.optimize import brentq

from fleet.calc.recurrence.observed import (
    FEWEST_EVENTS,
    Floats,
    Observed,
    RecurrenceError,
    observed,
)
from fleet.calc.recurrence.trends import last_events

#: Shapes looked through; past these the events lie at one end of the watch.
_LEAST, _MOST = 1e-4, 1e4


class PowerLaw(NamedTuple):
    """Mean count ``rate * t**shape`` a unit; covariance of (log shape, log rate)."""

    shape: float
    rate: float
    covariance: Floats


def fit_power_law(
    unit: ArrayLike,
    time: ArrayLike,
    unit_end: ArrayLike,
    unit_start: ArrayLike | None = None,
    failure_truncated: bool = False,
) -> PowerLaw:
    """Fit one power-law process to units that all follow it, by maximum likelihood.

    Parameters
    ----------
    unit, time, unit_end
        As for `mean_cumulative_function`: events on (start, end], an event at unit_end counts,
        ties allowed. A unit without events counts with the use it was watched for.
    unit_start : array_like, shape (units,), optional
        Use at which the watch of each began, not below 0; its clock still starts at 0.
    failure_truncated : bool
        Each unit's watch ended at its last event, which is checked. The likelihood is the same
        either way; it matters for `unbiased_shape`.

    Returns
    -------
    PowerLaw
        ``(shape, rate, covariance)``. Shape above 1: events come faster and faster. Covariance of
        (log shape, log rate), from the observed information.

    Raises
    ------
    RecurrenceError
        ``"too_few_events"`` under 4; ``"no_power_law"`` where no shape fits best, as with all
        events at the end of the watch.
    ValueError
        As for `laplace_trend`, and for a unit_start below 0.

    Notes
    -----
    Given the shape, ``rate = n / sum(end**shape - start**shape)``; the shape is the single root
    of the profile's slope, which falls throughout. Units differ only by where they are watched:
    where some are worse than others the shape leans towards 1 and its error is too small.

    References
    ----------
    Crow, L. H. (1974). Reliability analysis for complex, repairable systems. AMSAA TR-138.

    Examples
    --------
    >>> fit = fit_power_law([0, 0, 0, 1, 1], [15.0, 40.0, 90.0, 60.0, 80.0], [100.0, 100.0])
    >>> round(fit.shape, 4), round(fit.rate * 100 ** fit.shape, 4)
    (1.3688, 2.5)
    """
    seen = observed(unit, time, unit_end, unit_start)
    if np.any(seen.start < 0):
        raise ValueError("unit_start must not be below zero")
    if failure_truncated:
        last_events(seen)
    if seen.time.size < FEWEST_EVENTS:
        raise RecurrenceError("too_few_events")
    # In shares of the longest watch no power overflows.
    scale = float(seen.end.max())
    logs = float(np.sum(np.log(seen.time / scale)))
    count = seen.time.size

    def slope(shape: float) -> float:
        exposed, first, _ = _exposure(seen, scale, shape)
        return count / shape + logs - count * first / exposed

    if not (slope(_LEAST) > 0 > slope(_MOST)):
        raise RecurrenceError("no_power_law")
    shape = float(brentq(slope, _LEAST, _MOST, xtol=1e-14, rtol=1e-14))
    return _answer(seen, scale, shape)


def _exposure(seen: Observed, scale: float, shape: float) -> tuple[float, float, float]:
    """Sum of end**shape - start**shape, and its first two derivatives by shape."""
    sums = np.zeros(3)
    for use, sign in ((seen.end, 1.0), (seen.start[seen.start > 0], -1.0)):
        log = np.log(use / scale)
        power = sign * np.exp(shape * log)
        sums += power.sum(), power @ log, power @ log**2
    return float(sums[0]), float(sums[1]), float(sums[2])


def _answer(seen: Observed, scale: float, shape: float) -> PowerLaw:
    count = seen.time.size
    exposed, first, second = _exposure(seen, scale, shape)
    log_scale = float(np.log(scale))
    rate = float(count / exposed * np.exp(-shape * log_scale))
    # Back from shares of the longest watch to its own unit.
    steep = count * (first / exposed + log_scale)
    curve = count * (second / exposed + 2 * first / exposed * log_scale + log_scale**2)
    information = np.array(
        [[count + shape**2 * curve, shape * steep], [shape * steep, float(count)]]
    )
    return PowerLaw(shape, rate, np.linalg.inv(information))


def unbiased_shape(shape: float, events: int, ended_at_event: int = 0) -> float:
    """Return the shape with its small-sample bias taken out.

    Parameters
    ----------
    shape : float
        From `fit_power_law`.
    events : int
        All events.
    ended_at_event : int
        Units whose watch ended at their last event.

    Raises
    ------
    RecurrenceError
        ``"too_few_events"``.

    Notes
    -----
    ``(n - 1) / n``, and with units that ended at an event ``(n - units - 1) / n``. Exact where all
    are watched from 0 to the same use.

    References
    ----------
    Crow (1974), as for `fit_power_law`.

    Examples
    --------
    >>> round(unbiased_shape(0.615336, 36), 6)
    0.598243
    """
    free = events - ended_at_event - 1
    if free < 1:
        raise RecurrenceError("too_few_events")
    return shape * free / events
