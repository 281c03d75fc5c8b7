"""Do events come faster or slower? Pooled tests, and a trend beyond what was expected."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike
from scipy import special

from fleet.calc.recurrence.observed import (
    FEWEST_EVENTS,
    Floats,
    Ints,
    Observed,
    RecurrenceError,
    observed,
)


class LaplaceTrend(NamedTuple):
    """z above 0: events crowd towards the end of the watch (worse); below 0: towards its start."""

    z: float
    p_two_sided: float


class ChiSquareTrend(NamedTuple):
    """Below its degrees: events come faster (worse); above: slower. p is two-sided."""

    chi2: float
    degrees: int
    p: float


class ExpectedTrend(NamedTuple):
    """One entry for each unit; `z` and `p_worsening` are NaN where it has too few finds."""

    finds: Ints
    z: Floats
    p_worsening: Floats


def laplace_trend(
    unit: ArrayLike,
    time: ArrayLike,
    unit_end: ArrayLike,
    unit_start: ArrayLike | None = None,
    failure_truncated: bool = False,
) -> LaplaceTrend:
    """Test events of many units for a common trend, each at a pace of its own.

    Parameters
    ----------
    unit, time, unit_end, unit_start
        As for `mean_cumulative_function`: events on (start, end], an event at unit_end counts,
        ties allowed. A unit without events says nothing here and changes nothing.
    failure_truncated : bool
        The watch of each unit ended *because* of its last event. That event, which must lie at
        unit_end, is then left out, one a unit.

    Returns
    -------
    LaplaceTrend
        ``(z, p_two_sided)``.

    Raises
    ------
    RecurrenceError
        ``"too_few_events"``: fewer than 4 that count.
    ValueError
        For arrays that don't fit, or a unit that does not end at an event though it should.

    Notes
    -----
    ``z = sum(t - middle of its unit's watch) / sqrt(sum(length**2) / 12)`` over the events:
    where the pace is steady, a unit's events lie evenly over its watch. It sees best a pace that
    grows as exp(time). At the bench: z of 2 or more says 'getting worse'; but halved intervals
    find things sooner by themselves, so for checks use `expected_trend`.

    References
    ----------
    Ascher, H., Feingold, H. (1984). Repairable systems reliability. Dekker (from memory).

    Examples
    --------
    >>> found = laplace_trend([0, 0, 0, 0], [40.0, 70.0, 85.0, 95.0], [100.0])
    >>> round(found.z, 3), round(found.p_two_sided, 3)
    (1.559, 0.119)
    """
    seen = _counted(observed(unit, time, unit_end, unit_start), failure_truncated)
    length = (seen.end - seen.start)[seen.unit]
    away = seen.time - (seen.end + seen.start)[seen.unit] / 2
    z = float(np.sum(away) / np.sqrt(np.sum(length**2) / 12))
    return LaplaceTrend(z, float(2 * special.ndtr(-abs(z))))


def mil_hdbk_189_trend(
    unit: ArrayLike,
    time: ArrayLike,
    unit_end: ArrayLike,
    unit_start: ArrayLike | None = None,
    failure_truncated: bool = False,
) -> ChiSquareTrend:
    """Test events of many units for a common trend, with an exact chi-square.

    Parameters
    ----------
    unit, time, unit_end, unit_start, failure_truncated
        As for `laplace_trend`.

    Returns
    -------
    ChiSquareTrend
        ``(chi2, degrees, p)``: two degrees for each event that counts; p two-sided, twice the
        smaller tail.

    Raises
    ------
    RecurrenceError
        ``"too_few_events"``: fewer than 4 that count.
    ValueError
        As for `laplace_trend`.

    Notes
    -----
    ``chi2 = 2 sum(log((end - start) / (t - start)))``. Exact at a steady pace, each unit with its
    own. It sees best a power law that begins where the watch began; time before unit_start is
    not used.

    References
    ----------
    MIL-HDBK-189C (2011), Reliability growth management (from memory, unverified).

    Examples
    --------
    >>> found = mil_hdbk_189_trend([0, 0, 0, 0], [40.0, 70.0, 85.0, 95.0], [100.0])
    >>> round(found.chi2, 3), found.degrees, round(found.p, 3)
    (2.974, 8, 0.128)
    """
    seen = _counted(observed(unit, time, unit_end, unit_start), failure_truncated)
    start = seen.start[seen.unit]
    chi2 = float(2 * np.sum(np.log((seen.end[seen.unit] - start) / (seen.time - start))))
    degrees = 2 * seen.time.size
    tail = min(special.chdtr(degrees, chi2), special.chdtrc(degrees, chi2))
    return ChiSquareTrend(chi2, degrees, float(min(1.0, 2 * tail)))


def _counted(seen: Observed, failure_truncated: bool) -> Observed:
    kept = np.ones(seen.time.size, dtype=np.bool_)
    if failure_truncated:
        kept[last_events(seen)] = False
    if np.count_nonzero(kept) < FEWEST_EVENTS:
        raise RecurrenceError("too_few_events")
    return Observed(seen.unit[kept], seen.time[kept], seen.start, seen.end)


def last_events(seen: Observed) -> Ints:
    """Return the place of one event at the end of each unit; every unit must have one."""
    at_end = np.flatnonzero(seen.time == seen.end[seen.unit])
    units, first = np.unique(seen.unit[at_end], return_index=True)
    if units.size != seen.end.size:
        raise ValueError("with failure_truncated every unit must end at an event of its own")
    return at_end[first]


def expected_trend(
    unit: ArrayLike, time: ArrayLike, expected: ArrayLike, found: ArrayLike
) -> ExpectedTrend:
    """Tell for each unit whether its finds come faster than its own checks explain.

    Parameters
    ----------
    unit : array_like of int, shape (n,)
        Unit (vehicle) of each check, from 0.
    time : array_like, shape (n,)
        When; only the order counts, and checks of a unit at one time are one step.
    expected : array_like, shape (n,)
        Finds expected at each check (`clusters.expected_events`), from its own exposure.
    found : array_like of bool or int, shape (n,)
        Finds at each check.

    Returns
    -------
    ExpectedTrend
        ``(finds, z, p_worsening)``, shape (highest unit + 1,). p is one-sided, for 'faster'.
        With fewer than 4 finds, or all expectation in one step, z and p are NaN.

    Raises
    ------
    ValueError
        For arrays that don't fit, values not finite or below zero.

    Notes
    -----
    The Laplace test on an axis of cumulative expected finds instead of date: checks made twice as
    often find things sooner, and that is no worsening. Given a unit's finds, each falls on a step
    with probability e/E; a step stands at its middle, so that the mean is exactly E/2, and the
    variance E²/12 - sum(e³)/(12 E).

    Examples
    --------
    >>> checks = np.arange(8)
    >>> found = expected_trend(np.zeros(8, int), checks, np.full(8, 0.5), checks >= 4)
    >>> found.finds.tolist(), found.z.round(2).tolist(), found.p_worsening.round(4).tolist()
    ([4], [1.75], [0.0404])
    """
    whose, when = np.asarray(unit), np.asarray(time, dtype=np.float64)
    each, seen = np.asarray(expected, dtype=np.float64), np.asarray(found, dtype=np.float64)
    _check(whose, when, each, seen)
    order = np.lexsort((when, whose))
    whose, when = whose[order], when[order]
    new = (np.diff(whose, prepend=-1) != 0) | (np.diff(when, prepend=-np.inf) != 0)
    step, whose = np.cumsum(new) - 1, whose[new]
    due, finds = np.bincount(step, each[order]), np.bincount(step, seen[order])
    total = np.bincount(whose, due)
    middle = np.cumsum(due) - due / 2 - (np.cumsum(total) - total / 2)[whose]
    count = np.bincount(whose, finds)
    with np.errstate(divide="ignore", invalid="ignore"):
        variance = total**2 / 12 - np.bincount(whose, due**3) / (12 * total)
        z = np.bincount(whose, finds * middle) / np.sqrt(count * variance)
    # One step alone leaves only rounding.
    z[~((count >= FEWEST_EVENTS) & (variance > 1e-9 * total**2))] = np.nan
    return ExpectedTrend(np.rint(count).astype(np.intp), z, special.ndtr(-z))


def _check(unit: Ints, time: Floats, expected: Floats, found: Floats) -> None:
    if unit.ndim != 1 or not unit.shape == time.shape == expected.shape == found.shape:
        raise ValueError("unit, time, expected and found must be one-dimensional, of one length")
    if unit.size and (not np.issubdtype(unit.dtype, np.integer) or unit.min() < 0):
        raise ValueError("unit must hold whole numbers from 0")
    if not (np.isfinite(time).all() and np.isfinite(expected).all() and np.isfinite(found).all()):
        raise ValueError("time, expected and found must be finite")
    if np.any(expected < 0) or np.any(found < 0):
        raise ValueError("expected and found must not be below zero")
