"""Evidence that may be looked at every night: e-values, and what many of them open."""

import numpy as np
from numpy.typing import ArrayLike
from scipy import special

from fleet.calc.clusters.counts import Flags, Floats, Ints, counts, places

#: What a pattern may be: so many times the usual rate, each as likely beforehand (own).
RATIOS = (1.5, 2.0, 3.0, 4.5)


def e_value(observed: ArrayLike, expected: ArrayLike) -> Floats:
    """Return the evidence that finds come faster than expected, by a known expectation.

    Parameters
    ----------
    observed : array_like of int
        Finds so far; any shape.
    expected : array_like
        Expected finds so far. Each part must have been fixed before its check.

    Returns
    -------
    ndarray
        e; large is evidence. May overflow to infinity.

    Raises
    ------
    ValueError
        For values that make no sense.

    Notes
    -----
    The mean over r in {1.5, 2, 3, 4.5} of ``exp(O log r - (r - 1) E)``. Where the expectation
    holds, its mean is at most 1 *at any moment somebody chooses to look*, so the chance that it
    ever reaches 1/a is at most a: nightly scans cost nothing. Finds raise it and uneventful checks
    lower it. Vehicles that differ by nature break 'the expectation holds': `e_value_among`.

    References
    ----------
    Ramdas, A., Grünwald, P., Vovk, V., Shafer, G. (2023). Game-theoretic statistics and safe
    anytime-valid inference. Statistical Science 38(4), 576-601 (from memory, unverified).

    Examples
    --------
    >>> e_value([0, 3, 9], [1.0, 1.0, 2.0]).round(2).tolist()
    [0.28, 2.85, 283.49]
    """
    seen, due = counts(observed, expected)
    with np.errstate(over="ignore"):
        return np.exp(_mixed([seen * np.log(r) - (r - 1) * due for r in RATIOS]))


def e_value_among(
    observed: ArrayLike,
    expected: ArrayLike,
    vehicle: ArrayLike,
    group: ArrayLike,
    vehicle_observed: ArrayLike,
    vehicle_expected: ArrayLike,
    prior_shape: float,
) -> Floats:
    """Return the log of the evidence for each group, weighed against spread between vehicles.

    Parameters
    ----------
    observed : array_like of int, shape (cells,)
        Finds of each cell: what one group has on one vehicle. A joint is a group of one cell.
    expected : array_like, shape (cells,)
    vehicle : array_like of int, shape (cells,)
        Vehicle of each cell, an index into the next two.
    group : array_like of int, shape (cells,)
    vehicle_observed, vehicle_expected : array_like, shape (vehicles,)
        Finds and expectation of each vehicle over all its checks, in the group or not.
    prior_shape : float
        Gamma shape of the spread between vehicles, fixed before (`vehicle_spread`).

    Returns
    -------
    ndarray, shape (highest group + 1,)
        Natural logarithm of e.

    Raises
    ------
    ValueError
        For arrays that don't fit.

    Notes
    -----
    The likelihood of the finds with the group at r times its expectation over the one without,
    both with the vehicle's own factor, gamma with mean 1, integrated out:
    ``r**O * product over vehicles of ((k + E_v) / (k + E_v + (r - 1) E_gv)) ** (k + O_v)``, mean
    over the same r as `e_value`, which it is where ``k`` is infinite. A vehicle that is bad all
    over explains its own joints; a tool used here and there on many vehicles is compared within
    each; a yard must rise above what its vehicles' own spread explains.

    Examples
    --------
    Six finds where 1 was expected, on a vehicle like others and on one bad all over:

    >>> cell, two = np.array([0, 1]), np.array([6.0, 6.0])
    >>> e_value_among(two, [1.0, 1.0], cell, cell, [10, 30], [5.0, 5.0], 4.0).round(2)
    array([3.61, 0.12])
    >>> e_value_among(two, [1.0, 1.0], cell, cell, [10, 30], [5.0, 5.0], np.inf).round(2)
    array([4.68, 4.68])
    """
    seen, due = counts(observed, expected)
    whose, which = places("vehicle", vehicle, seen.size), places("group", group, seen.size)
    all_seen, all_due = counts(vehicle_observed, vehicle_expected)
    if not prior_shape > 0:
        raise ValueError("prior_shape must be above zero")
    return among(seen, due, whose, which, all_seen, all_due, prior_shape)


def among(
    seen: Floats, due: Floats, whose: Ints, which: Ints,
    all_seen: Floats, all_due: Floats, shape: float | Floats,
) -> Floats:  # fmt: skip
    """`e_value_among` on arrays known to fit; `shape` may be one for each vehicle."""
    weight = np.broadcast_to(1 / np.asarray(shape, dtype=np.float64), all_seen.shape)
    share, tail = (due / (1 + weight * all_due)[whose]), (1 + weight * all_seen)[whose]
    thin = weight[whose]
    found = np.bincount(which, seen)
    logs = []
    for r in RATIOS:
        grown = (r - 1) * share
        # log1p(x / k) * k is x where k is infinite.
        with np.errstate(divide="ignore", invalid="ignore"):
            explained = np.where(thin > 0, np.log1p(thin * grown) / thin, grown)
        logs.append(found * np.log(r) - np.bincount(which, tail * explained))
    return _mixed(logs)


def _mixed(logs: list[Floats]) -> Floats:
    return np.asarray(special.logsumexp(np.stack(logs), axis=0) - np.log(len(logs)))


def e_bh(e: ArrayLike, level: float = 0.05) -> Flags:
    """Tell which of many e-values are opened, with at most a share `level` opened falsely.

    Parameters
    ----------
    e : array_like, shape (m,)
        All of one family, those that say nothing too; joints and groups are separate families.
    level : float

    Returns
    -------
    ndarray of bool, shape (m,)
        In the order given.

    Raises
    ------
    ValueError
        For values below zero or NaN, or a level not between 0 and 1.

    Notes
    -----
    The k largest are opened, k the largest number with ``e_(k) >= m / (level k)``. Holds under
    any dependence.

    References
    ----------
    Wang, R., Ramdas, A. (2022). False discovery rate control with e-values. JRSS B 84(3), 822-852
    (from memory, unverified).

    Examples
    --------
    >>> e_bh([1.0, 90.0, 0.2, 70.0, 25.0]).tolist()
    [False, True, False, True, False]
    """
    values = np.asarray(e, dtype=np.float64)
    if values.ndim != 1 or not np.all(values >= 0):
        raise ValueError("e must be one-dimensional, with no value below zero")
    if not 0 < level < 1:
        raise ValueError("level must be between 0 and 1")
    with np.errstate(divide="ignore"):
        return opened(np.log(values), level)


def opened(log_e: Floats, level: float) -> Flags:
    """`e_bh` on logarithms, which never overflow."""
    order = log_e.argsort()[::-1]
    enough = log_e[order] >= np.log(max(log_e.size, 1) / level) - np.log(
        np.arange(1, log_e.size + 1)
    )
    found = np.zeros(log_e.size, dtype=np.bool_)
    if enough.any():
        found[order[: np.flatnonzero(enough)[-1] + 1]] = True
    return found
