"""Rates of many units (joints, vehicles), each drawn towards the rest as its own data are few."""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike
from scipy import special
from scipy.optimize import brentq, minimize_scalar

from fleet.calc.clusters.counts import ClusterError, Floats, counts

#: Gamma shapes looked through, as logarithms; past the last the units are taken as alike.
_LEAST, _MOST = -5.0, 12.0
#: Half the drop of twice the log likelihood that a one-sided 95 % bound may have.
_DROP = 1.3527717270
_STEPS, _CLOSE = 100, 1e-10


class Shrunk(NamedTuple):
    """Ratio of each unit with a 95 % interval, and the gamma shape of the spread between units."""

    mean: Floats
    low: Floats
    high: Floats
    prior_shape: float


class Spread(NamedTuple):
    """Gamma shape of the spread between units, the least shape at 95 %, and the mean ratio."""

    shape: float
    least_shape: float
    mean: float


def shrink_rates(observed: ArrayLike, expected: ArrayLike) -> Shrunk:
    """Estimate each unit's ratio of finds to expected, drawn towards the mean of all.

    Parameters
    ----------
    observed : array_like of int, shape (units,)
        Finds of each unit; a unit without any belongs in here.
    expected : array_like, shape (units,)
        What its own checks led to expect.

    Returns
    -------
    Shrunk
        ``(mean, low, high, prior_shape)``. `prior_shape` is infinite where the finds show no more
        spread than chance: then `mean` is the same for all.

    Raises
    ------
    ClusterError
        ``"too_few_units"`` under two with an expectation; ``"no_finds"``.
    ValueError
        For values that make no sense.

    Notes
    -----
    Finds are Poisson with mean ratio × expected; ratios are gamma distributed with a mean and a
    shape by marginal maximum likelihood. A unit's ratio is then gamma with shape
    ``shape + finds`` and mean ``(shape + finds) / (shape / mean + expected)``.
    Few units can't prove that they are alike. The interval therefore takes the least shape that
    the data allow at 95 %, so that it never closes up just because no spread was seen; with
    little data it is nearly the unit's own exact interval.
    At the bench: a joint found loose 3 times where 0.4 were expected is not '7 times its kind';
    it is drawn towards the rest, and less so with every further find.

    References
    ----------
    Clayton, D., Kaldor, J. (1987). Empirical Bayes estimates of age-standardized relative risks.
    Biometrics 43(3), 671-681 (from memory, unverified).

    Examples
    --------
    >>> found = shrink_rates([0, 1, 0, 2, 9, 1, 0, 3], [1.5] * 8)
    >>> found.mean.round(2).tolist(), round(found.prior_shape, 2)
    ([0.34, 0.83, 0.34, 1.33, 4.83, 0.83, 0.34, 1.83], 0.67)
    >>> shrink_rates([2, 3, 2, 3], [2.5] * 4).prior_shape
    inf
    """
    seen, due = counts(observed, expected)
    spread = vehicle_spread(seen, due)
    mean = _posterior_mean(seen, due, spread.shape, spread.mean)
    shape = spread.least_shape + seen
    centre = _posterior_mean(seen, due, spread.least_shape, _mean(seen, due, spread.least_shape))
    low, high = (special.gammaincinv(shape, tail) / shape * centre for tail in (0.025, 0.975))
    return Shrunk(mean, np.minimum(low, mean), np.maximum(high, mean), spread.shape)


def _posterior_mean(seen: Floats, due: Floats, shape: float, mean: float) -> Floats:
    weight = 1 / shape
    return np.asarray((1 + weight * seen) / (1 / mean + weight * due))


def vehicle_spread(observed: ArrayLike, expected: ArrayLike) -> Spread:
    """Estimate the natural spread between vehicles, beyond chance.

    Parameters
    ----------
    observed, expected : array_like, shape (vehicles,)
        Finds and expected finds of each vehicle, over all its joints.

    Returns
    -------
    Spread
        ``(shape, least_shape, mean)``. The vehicles' own ratios vary by 1/sqrt(shape) of their
        mean; infinite where the finds vary no more than chance. `least_shape` is its one-sided
        95 % bound by profile likelihood, always finite.

    Raises
    ------
    ClusterError, ValueError
        As for `shrink_rates`.

    Notes
    -----
    Where this spread is left out, natural differences between vehicles raise false patterns in
    many clean fleets. It enters in three places: `group_dispersion` widens a group's comparison
    by it, `e_value_among` weighs evidence for a group or joint against it, and `did_it_help`
    predicts with it. Some of what it takes for nature are causes not yet known: that errs on the
    side of silence.

    Examples
    --------
    >>> found = vehicle_spread([0, 1, 0, 2, 9, 1, 0, 3], [1.5] * 8)
    >>> round(found.shape, 2), round(found.least_shape, 2), round(found.mean, 3)
    (0.67, 0.19, 1.333)
    """
    seen, due = counts(observed, expected)
    if seen.ndim != 1 or np.any((seen > 0) & (due == 0)):
        raise ValueError("every unit with finds needs an expectation; one row a unit")
    seen, due = seen[due > 0], due[due > 0]
    if seen.size <= 1:
        raise ClusterError("too_few_units")
    if not seen.any():
        raise ClusterError("no_finds")
    loss = _loss(seen, due)
    best = _best(seen, due, loss)
    least, lowest = loss(best), _LEAST
    if loss(_LEAST) > least + _DROP:
        lowest = float(brentq(lambda x: loss(x) - least - _DROP, _LEAST, best, xtol=1e-4))
    shape = float("inf") if best > _MOST - 1 else float(np.exp(best))
    return Spread(shape, float(np.exp(lowest)), _mean(seen, due, shape))


def _loss(seen: Floats, due: Floats) -> Callable[[float], float]:
    """Minus the log likelihood of a log shape, at its best mean."""
    above = _above(seen)
    return lambda log_shape: -_loglik(seen, due, above, float(np.exp(log_shape)))


def _best(seen: Floats, due: Floats, loss: Callable[[float], float]) -> float:
    """Log of the likeliest shape; the last one where all are alike.

    The slope of the likelihood where all are alike says whether there is a best shape at all.
    """
    pooled = float(seen.sum() / due.sum())
    if np.sum((seen - pooled * due) ** 2 - seen) <= 0:
        return _MOST
    return float(minimize_scalar(loss, bounds=(_LEAST, _MOST), method="bounded").x)


def _above(seen: Floats) -> Floats:
    """How many units have more than 0, 1, 2, ... finds."""
    tally = np.bincount(seen.astype(np.intp))
    return np.asarray(seen.size - np.cumsum(tally)[:-1], dtype=np.float64)


def _loglik(seen: Floats, due: Floats, above: Floats, shape: float) -> float:
    """Negative binomial, at its best mean, without terms that no parameter moves."""
    mean = _mean(seen, due, shape)
    # log gamma(shape + n) - log gamma(shape) is a sum of logs over 0 .. n - 1.
    rising = above @ np.log1p(np.arange(above.size) / shape)
    return float(rising + seen.sum() * np.log(mean) - (shape + seen) @ np.log1p(mean * due / shape))


def _mean(seen: Floats, due: Floats, shape: float) -> float:
    """Most likely mean for a shape: its equation falls throughout, so Newton finds it."""
    mean = float(seen.sum() / due.sum())
    if np.isinf(shape):
        return mean
    for _ in range(_STEPS):
        rest = shape + mean * due
        fall = mean * (due @ ((shape + seen) / rest**2))
        step = float(np.clip(np.sum((seen - mean * due) / rest) / fall, -1.0, 1.0))
        mean *= np.exp(step)
        if abs(step) < _CLOSE:
            break
    return float(mean)
