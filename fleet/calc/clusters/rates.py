"""Observed against expected, for expectations from outside; and many p-values at once."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike
from scipy import special

from fleet.calc.clusters.counts import ClusterError, Floats, counts

CENTRAL = "exact Poisson, central (Garwood)"


class RateTest(NamedTuple):
    """Finds over expected, exact interval, two-sided p against a ratio of 1, and the method."""

    ratio: Floats
    low: Floats
    high: Floats
    p: Floats
    method: str


def rate_outliers(observed: ArrayLike, expected: ArrayLike, level: float = 0.95) -> RateTest:
    """Hold counts against expectations that come from outside.

    Parameters
    ----------
    observed : array_like of int
        Finds; any shape.
    expected : array_like
        Expected finds, above 0, known and not estimated from the same fleet: otherwise
        `compare_rates`, since the fleet's own expectation moves with the finds.
    level : float
        Of the interval.

    Returns
    -------
    RateTest
        ``(ratio, low, high, p, method)``, arrays of the common shape.

    Raises
    ------
    ClusterError
        ``"nothing_expected"`` where an expectation is 0.
    ValueError
        For other values that make no sense.

    Notes
    -----
    low = chi2(a/2; 2 O) / (2 E), high = chi2(1 - a/2; 2 O + 2) / (2 E); low is 0 with no finds.
    p is twice the smaller tail, so it is under 1 - level just where the interval leaves out 1.
    Finds are taken as Poisson: vehicles that differ by nature call for `shrink_rates`.

    References
    ----------
    Garwood, F. (1936). Fiducial limits for the Poisson distribution. Biometrika 28, 437-442
    (from memory).

    Examples
    --------
    >>> found = rate_outliers(9, 4.0)
    >>> [round(float(value), 3) for value in found[:4]]
    [2.25, 1.029, 4.271, 0.043]
    """
    if not 0 < level < 1:
        raise ValueError("level must be between 0 and 1")
    seen, due = counts(observed, expected)
    if np.any(due == 0):
        raise ClusterError("nothing_expected")
    tail = (1 - level) / 2
    # gammaincinv(k, p) is half the chi-square quantile with 2 k degrees.
    low = np.where(seen > 0, special.gammaincinv(np.maximum(seen, 1), tail), 0.0) / due
    high = special.gammaincinv(seen + 1, 1 - tail) / due
    at_least = np.where(seen > 0, special.gammainc(np.maximum(seen, 1), due), 1.0)
    at_most = special.gammaincc(seen + 1, due)
    p = np.minimum(1.0, 2 * np.minimum(at_least, at_most))
    return RateTest(seen / due, low, high, p, CENTRAL)


def benjamini_hochberg(p: ArrayLike) -> Floats:
    """Adjust p-values so that those under a level hold at most that share of false ones.

    Parameters
    ----------
    p : array_like, shape (m,)

    Returns
    -------
    ndarray, shape (m,)
        Adjusted, in the order given.

    Raises
    ------
    ValueError
        For values outside 0 to 1.

    Notes
    -----
    ``min over j >= i of m p_(j) / j``, at most 1. Holds for one look at tests that are
    independent or positively dependent; for a scan that is repeated every night use `e_bh`.

    References
    ----------
    Benjamini, Y., Hochberg, Y. (1995). Controlling the false discovery rate. JRSS B 57, 289-300.

    Examples
    --------
    >>> benjamini_hochberg([0.01, 0.04, 0.03, 0.5])
    array([0.04      , 0.05333333, 0.05333333, 0.5       ])
    """
    values = np.asarray(p, dtype=np.float64)
    if values.ndim != 1 or not np.all((values >= 0) & (values <= 1)):
        raise ValueError("p must be one-dimensional, with values from 0 to 1")
    order = values.argsort()[::-1]
    ranks = np.arange(values.size, 0, -1)
    adjusted = np.empty_like(values)
    adjusted[order] = np.minimum(1.0, np.minimum.accumulate(values[order] * values.size / ranks))
    return adjusted
