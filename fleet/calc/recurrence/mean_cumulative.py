"""The mean cumulative function: finds a unit has had, on average, by a given use or age."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike
from scipy import special

from fleet.calc.recurrence.observed import (
    FEWEST_UNITS,
    Flags,
    Floats,
    Ints,
    Observed,
    RecurrenceError,
    by_unit,
    observed,
)


class MeanCumulative(NamedTuple):
    """Mean count a unit at each event time, and the variance of that mean."""

    time: Floats
    value: Floats
    variance: Floats


class MeanCompared(NamedTuple):
    """Finds of a group beside what all units together would give it; z above 0: more finds."""

    z: float
    p: float
    observed: int
    expected: float


def mean_cumulative_function(
    unit: ArrayLike, time: ArrayLike, unit_end: ArrayLike, unit_start: ArrayLike | None = None
) -> MeanCumulative:
    """Estimate the mean cumulative number of events a unit, with its robust variance.

    Parameters
    ----------
    unit : array_like of int, shape (n,)
        Unit of each event, an index into `unit_end`.
    time : array_like, shape (n,)
        Its use or age then, in any one unit; any order.
    unit_end : array_like, shape (units,)
        Use or age up to which each unit was watched. Units without events belong in here.
    unit_start : array_like, shape (units,), optional
        Where the watch of each began; 0 if not given.

    Returns
    -------
    MeanCumulative
        ``(time, value, variance)``, one entry for each different event time, rising.

    Raises
    ------
    RecurrenceError
        ``"no_events"``; ``"gap"`` where events come after a stretch in which nobody was watched.
    ValueError
        For arrays that don't fit together.

    Notes
    -----
    ``value(t)`` is the sum of d/n over event times up to t: d events there, n units at risk.
    A unit is at risk on (start, end]: **at its very end it still counts**, and an event at
    unit_end counts. Events at one time make one step, also where they are one unit's. A unit
    without events lowers the mean as long as it was watched.
    ``variance`` is the robust one of Lawless and Nadeau: the sum over units of
    ``(sum of (d_unit - d/n)/n while at risk)**2``. It asks no Poisson events of a unit, only that
    units are independent. With one unit there is nothing to compare and it is NaN.

    At the bench: read it as 'finds'. A curve that bends upward is a fleet whose joints are found
    loose faster and faster. Where checks are made more often, more is found sooner: compare like
    with like.

    References
    ----------
    Lawless, J. F., Nadeau, C. (1995). Some simple robust methods for the analysis of recurrent
    events. Technometrics 37(2), 158-168. Nelson, W. (1995), Technometrics 37(2), 147-157.

    Examples
    --------
    >>> found = mean_cumulative_function([0, 1, 1], [2.0, 3.0, 5.0], [4.0, 6.0, 6.0])
    >>> found.value.round(3).tolist()
    [0.333, 0.667, 1.167]
    >>> found.variance.round(4).tolist()
    [0.0741, 0.0741, 0.3657]
    """
    steps = _steps(observed(unit, time, unit_end, unit_start))
    value = np.cumsum(steps.events / steps.at_risk)
    if steps.enter.size == 1:
        return MeanCumulative(steps.moments, value, np.full(value.size, np.nan))
    return MeanCumulative(steps.moments, value, np.maximum(_variance(steps, value), 0.0))


@dataclass(frozen=True, slots=True, eq=False)
class _Steps:
    """Events in order of time.

    `moments`, `events`, `at_risk`: one for each different time; `tied` if two events share one.
    `step`, `unit`: one for each event, its time's place and its unit. `enter`, `leave`: one for
    each unit, the places of its first time at risk and of the first one after.
    """

    moments: Floats
    events: Ints
    at_risk: Floats
    tied: bool
    step: Ints
    unit: Ints
    enter: Ints
    leave: Ints


def _steps(seen: Observed) -> _Steps:
    if seen.time.size == 0:
        raise RecurrenceError("no_events")
    order = seen.time.argsort(kind="stable")
    when = seen.time[order]
    new = np.concatenate([[True], when[1:] != when[:-1]])
    tied = not new.all()
    moments = when[new] if tied else when
    step = np.cumsum(new) - 1 if tied else np.arange(when.size)
    events = np.bincount(step) if tied else np.ones(when.size, dtype=np.intp)
    enter = np.searchsorted(moments, seen.start, side="right")
    leave = np.searchsorted(moments, seen.end, side="right")
    at_risk = np.cumsum(_placed(enter, moments.size) - _placed(leave, moments.size))
    if _has_gap(seen, float(moments[-1])):
        raise RecurrenceError("gap")
    unit = seen.unit[order]
    return _Steps(moments, events, at_risk, tied, step, unit, enter, leave)


def _placed(place: Ints, size: int, weight: Floats | None = None) -> Floats:
    """At each place the sum of the weights (1 if not given) that lie there."""
    summed = np.bincount(place, weight, minlength=size + 1)[:size]
    return summed.astype(np.float64, copy=False)


def _has_gap(seen: Observed, last: float) -> bool:
    order = seen.start.argsort()
    start, covered = seen.start[order], np.maximum.accumulate(seen.end[order])
    return bool(np.any((start[1:] > covered[:-1]) & (covered[:-1] < last)))


def _variance(steps: _Steps, value: Floats) -> Floats:
    """Sum of squares of A - B over units, from what each event, start and end adds to it.

    A: 1/n over the unit's own events so far. B: d/n² over the times it was at risk so far, which
    is the same growing sum for all at risk, `now`, less what it was when the unit came in. What
    is multiplied by `now` is kept apart from what is only added up.
    """
    size = steps.moments.size
    weight = 1.0 / steps.at_risk
    mean = np.concatenate([[0.0], np.cumsum(steps.events * weight**2)])
    began, ended, now = mean[steps.enter], mean[steps.leave], mean[1:]
    weight = weight[steps.step] if steps.tied else weight
    own = np.bincount(steps.unit, weight, minlength=steps.enter.size)
    added = _placed(steps.leave, size, (ended - began) ** 2 - began**2 - 2 * own * ended)
    times_now = _placed(steps.leave, size, 2 * (own + began))
    if began.any():
        added += _placed(steps.enter, size, began**2)
        added += _placed(steps.step, size, 2 * weight * began[steps.unit])
        times_now -= _placed(steps.enter, size, 2 * began)
    added += _own_squares(steps, weight, size)
    slope = np.cumsum(times_now) - 2 * value + steps.at_risk * now
    return np.asarray(np.cumsum(added) + now * slope)


def _own_squares(steps: _Steps, weight: Floats, size: int) -> Floats:
    """What each event adds to the sum of A²: (a + w)² - a², a the A of its unit before it."""
    order = by_unit(steps.unit, steps.enter.size)
    each = weight[order]
    total = np.cumsum(each)
    counts = np.bincount(steps.unit, minlength=steps.enter.size)
    before_unit = np.concatenate([[0.0], total])[np.cumsum(counts) - counts]
    growth = each * (2 * (total - np.repeat(before_unit, counts)) - each)
    if steps.tied:
        return np.asarray(_placed(steps.step[order], size, growth))
    placed = np.empty(size)
    placed[order] = growth
    return placed


def compare_mcf(
    unit: ArrayLike,
    time: ArrayLike,
    unit_end: ArrayLike,
    in_group: ArrayLike,
    unit_start: ArrayLike | None = None,
) -> MeanCompared:
    """Test whether one group's mean cumulative function is that of the other units.

    Parameters
    ----------
    unit, time, unit_end, unit_start
        As for `mean_cumulative_function`, both groups together.
    in_group : array_like of bool, shape (units,)
        True for the units of the group.

    Returns
    -------
    MeanCompared
        ``(z, p, observed, expected)``: two-sided p; the group's events where both groups were
        watched, and those it would have had at the pace of all units together.

    Raises
    ------
    RecurrenceError
        ``"no_events"``; ``"too_few_units"`` under 5 in a group; ``"never_together"`` where no
        event falls in a time that both were watched; ``"no_spread"``.

    Notes
    -----
    The robust pseudo-score test: z = (O - E)/sqrt(V) with E the sum of n1 d/n and V the sum over
    units of their squared share in O - E, so that a unit with many events counts as one unit.
    It sees best a difference that is the same ratio throughout; curves that cross can hide.
    Simulated with nothing to tell, 5.7 % lie under 0.05 with 5 units a group, 5.5 % with 10 and
    4.7 % with 30.

    References
    ----------
    Cook, R. J., Lawless, J. F., Nadeau, C. (1996). Robust tests for treatment comparisons based
    on recurrent event responses. Biometrics 52(2), 557-571 (from memory, unverified).

    Examples
    --------
    >>> end, group = np.full(12, 10.0), np.arange(12) < 6
    >>> found = compare_mcf([0, 0, 1, 2, 3, 4, 5, 8], [1, 4, 2, 3, 8, 5, 7, 6], end, group)
    >>> found.observed, found.expected, round(found.z, 2)
    (7, 4.0, 2.78)
    """
    seen = observed(unit, time, unit_end, unit_start)
    chosen = np.asarray(in_group, dtype=np.bool_)
    if chosen.shape != seen.end.shape:
        raise ValueError("in_group must have one entry for each unit")
    if min(np.count_nonzero(chosen), np.count_nonzero(~chosen)) < FEWEST_UNITS:
        raise RecurrenceError("too_few_units")
    return _compared(_steps(seen), chosen)


def _compared(steps: _Steps, chosen: Flags) -> MeanCompared:
    size = steps.moments.size
    ours = np.cumsum(_placed(steps.enter[chosen], size) - _placed(steps.leave[chosen], size))
    share = ours / steps.at_risk
    together = (share > 0) & (share < 1)
    if not together.any():
        raise RecurrenceError("never_together")
    # Each unit's own part: its events over what was due while it was watched, weighed by how far
    # its group is from the mean of both.
    pace = together * steps.events / steps.at_risk
    score = np.zeros(chosen.size)
    for group, distance in ((chosen, 1 - share), (~chosen, -share)):
        due = np.concatenate([[0.0], np.cumsum(distance * pace)])
        events = np.bincount(steps.unit, (distance * together)[steps.step], minlength=chosen.size)
        score += group * (events - due[steps.leave] + due[steps.enter])
    spread = float(np.sqrt(np.sum(score**2)))
    if spread == 0:
        raise RecurrenceError("no_spread")
    counted = int(np.count_nonzero(together[steps.step] & chosen[steps.unit]))
    expected = float(np.sum(ours * pace))
    z = (counted - expected) / spread
    return MeanCompared(z, float(2 * special.ndtr(-abs(z))), counted, expected)
