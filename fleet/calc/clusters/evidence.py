"""Evidence that may be looked at every night: e-values, and what many of them open."""

import numpy as np
from numpy.typing import ArrayLike

from fleet.calc.clusters.among import Cells, among, mixed
from fleet.calc.clusters.counts import Flags, Floats, counts, places

#: What a pattern may be: so many times the usual rate, each as likely beforehand (own).
RATIOS = (1.5, 2.0, 3.0, 4.5)
#: One joint with a bad hole goes far beyond what any group does (own).
JOINT_RATIOS = (*RATIOS, 9.0, 18.0)


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
        return np.exp(mixed([seen * np.log(r) - (r - 1) * due for r in RATIOS]))


def e_value_among(
    observed: ArrayLike,
    expected: ArrayLike,
    vehicle: ArrayLike,
    group: ArrayLike,
    vehicle_observed: ArrayLike,
    vehicle_expected: ArrayLike,
    prior_shape: float,
    *,
    ratios: tuple[float, ...] = RATIOS,
) -> Floats:
    """Return the log of the evidence for each group, weighed against spread between vehicles.

    Parameters
    ----------
    observed : array_like of int, shape (cells,)
        Finds of each cell: what one group has on one vehicle. A joint is a group of one cell.
    expected : array_like, shape (cells,)
        Sum of `spent_hazard` over the cell's checks.
    vehicle : array_like of int, shape (cells,)
        Vehicle of each cell, an index into the next two.
    group : array_like of int, shape (cells,)
    vehicle_observed, vehicle_expected : array_like, shape (vehicles,)
        Finds and expectation of each vehicle over all its checks, in the group or not.
    prior_shape : float
        Gamma shape of the spread between vehicles, fixed before (`vehicle_spread`).
    ratios : tuple of float
        What a pattern may be; joints take `JOINT_RATIOS`.

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
    both with each vehicle's own factor, gamma with mean 1 and shape k, integrated out, and with
    the level of the whole fleet, c, set so that all finds N are met:
    ``r**O * (c_r/c_1)**N * product over vehicles of
    ((k + c_1 E_v) / (k + c_r (E_v + (r - 1) E_gv))) ** (k + O_v)``, the mean over r as in
    `e_value`. Where k is infinite that is ``r**O / (1 + (r - 1) E_g/E)**N``: the group's share of
    the finds, given their number, as in `compare_rates`. A group that is a large part of the
    fleet has moved the fleet's own expectation; this takes that out again.
    A vehicle that is bad all over explains its own joints; a tool used here and there on many
    vehicles is compared within each; a yard must rise above what its vehicles' spread explains.
    Groups that each lie on one vehicle are too small to move the fleet: there c_r is c_1.

    Examples
    --------
    Six finds where 1 was expected, on a vehicle like others and on one bad all over:

    >>> cell, two = np.array([0, 1]), np.array([6.0, 6.0])
    >>> e_value_among(two, [1.0, 1.0], cell, cell, [10, 30], [20.0, 20.0], 4.0).round(2)
    array([5.94, 3.63])
    """
    seen, due = counts(observed, expected)
    whose, which = places("vehicle", vehicle, seen.size), places("group", group, seen.size)
    all_seen, all_due = counts(vehicle_observed, vehicle_expected)
    if not prior_shape > 0:
        raise ValueError("prior_shape must be above zero")
    cells = Cells(seen, due, whose, which, int(which.max(initial=-1)) + 1)
    return among(cells, all_seen, all_due, np.array([prior_shape]), ratios)


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


def opened(log_e: Floats, level: float, already: int = 0) -> Flags:
    """`e_bh` on logarithms, which never overflow; `already` of the family are open and count."""
    size = max(log_e.size, 1)
    # No line is lower than that of the last of all.
    may = np.flatnonzero(log_e >= _lowest_line(size, level, already))
    order = may[log_e[may].argsort()[::-1]]
    ranks = np.arange(1, order.size + 1) + already
    enough = log_e[order] >= np.log(size / level) - np.log(ranks)
    found = np.zeros(log_e.size, dtype=np.bool_)
    if enough.any():
        found[order[: np.flatnonzero(enough)[-1] + 1]] = True
    return found


def _lowest_line(size: int, level: float, already: int) -> float:
    return float(-np.log(level) - np.log1p(already / size)) - 1e-9
