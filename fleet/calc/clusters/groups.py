"""A group (tool, lot, practice, yard, duty) beside the rest of its strata, exactly."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike
from scipy import special
from scipy.optimize import brentq

from fleet.calc.clusters.counts import ClusterError, Flags, Floats, counts, places

#: A flag needs a ratio above this, tested as such.
LEAST_RATIO = 1.5
METHODS = ("central", "minlike")
#: Counts as likely as the one seen, but for rounding.
_ALIKE = 1 + 1e-7
#: Ratios looked through, as logarithms.
_WIDEST = 60.0


class RatesCompared(NamedTuple):
    """The group's finds per expected over the rest's, in the same strata.

    Attributes
    ----------
    ratio : float
        Most likely; infinite where all finds are the group's, 0 where none is.
    low, high : float
        Two-sided interval.
    p : float
        Against a ratio of 1, two-sided.
    p_above : float
        Against a ratio of 1.5 or less, one-sided.
    observed, expected : float
        The group's finds; those it would have with the rate of its strata.
    method : str
        Name of the method.
    dispersion : float
        1, or what the spread between vehicles widened by.
    """

    ratio: float
    low: float
    high: float
    p: float
    p_above: float
    observed: int
    expected: float
    method: str
    dispersion: float


def compare_rates(
    observed: ArrayLike,
    expected: ArrayLike,
    in_group: ArrayLike,
    stratum: ArrayLike,
    method: str = "central",
    *,
    level: float = 0.95,
    least: float = LEAST_RATIO,
    dispersion: float = 1.0,
) -> RatesCompared:
    """Compare a group's finds with the rest of its strata.

    Parameters
    ----------
    observed : array_like of int, shape (n,)
        Finds of each row: a check, or any sum of checks of one group and stratum.
    expected : array_like, shape (n,)
        Expected finds of each row (`expected_events`). Only their shares within a stratum count,
        so a usual hazard that is off by a factor does no harm.
    in_group : array_like of bool, shape (n,)
    stratum : array_like of int, shape (n,)
        What is compared with its like only: kind of joint, duty.
    method : {"central", "minlike"}
        Of the two-sided p: twice the smaller tail, of which the interval is the inverse; or the
        chance of all counts no likelier than the one seen, which is smaller now and then while
        the same interval takes in 1.
    level : float
        Of the interval.
    least : float
        The ratio that `p_above` is tested against.
    dispersion : float
        From `group_dispersion`, 1 or more.

    Returns
    -------
    RatesCompared

    Raises
    ------
    ClusterError
        ``"no_finds"``; ``"one_sided"`` where no stratum holds both group and rest.
    ValueError
        For arrays that don't fit, or an unknown method.

    Notes
    -----
    Given the finds N of a stratum, the group's count is binomial with its share of expectation,
    ``ratio E_in / (ratio E_in + E_out)``; over strata it is a sum of binomials, convolved exactly.
    A stratum that holds one side only says nothing and is left out, its finds with it.
    The odds of all move together with the ratio, so its law at any ratio is the one at 1 times
    ``ratio ** count``: one convolution serves p, interval and estimate.
    With a dispersion above 1 the test's normal score is divided by its root, and the interval is
    the exact one at the level that matches: exact again at 1. A flag wants `p_above`: a tool with
    a ratio of 1.1 may be proven worse and still be worth nobody's time.

    References
    ----------
    Lehmann, E. L., Romano, J. P., Testing statistical hypotheses, section 4.5 (from memory); Fay,
    M. P. (2010), Two-sided exact tests and matching confidence intervals, R Journal 2(1), 53-58.

    Examples
    --------
    >>> found = compare_rates([9, 11], [4.0, 16.0], [True, False], [0, 0])
    >>> round(found.ratio, 3), round(found.p, 4), round(found.p_above, 4), found.method
    (3.273, 0.02, 0.0677, 'central')
    """
    if method not in METHODS:
        raise ValueError(f"method must be one of {METHODS}")
    if not (0 < level < 1 and least > 0 and dispersion >= 1):
        raise ValueError("level, least or dispersion out of range")
    seen, due = counts(observed, expected)
    if seen.ndim != 1:
        raise ValueError("observed must be one-dimensional")
    group = np.asarray(in_group, dtype=np.bool_)
    if group.shape != seen.shape:
        raise ValueError("in_group must have one entry for each row")
    law = _Law(seen, due, group, places("stratum", stratum, seen.size).astype(np.intp))
    if law.weights.size == 1:
        raise ClusterError("no_finds" if law.comparable else "one_sided")
    widened = float(np.sqrt(dispersion))
    tail = float(special.ndtr(special.ndtri((1 - level) / 2) * widened))
    p = law.central() if method == "central" else law.minlike()
    above = law.at_least(float(np.log(least)))
    return RatesCompared(
        law.estimate(), law.low(tail), law.high(tail), 2 * _softened(p / 2, widened),
        _softened(above, widened), law.count, law.mean(0.0), method, dispersion,
    )  # fmt: skip


def _softened(tail: float, widened: float) -> float:
    return float(special.ndtr(special.ndtri(tail) / widened))


class _Law:
    """The law of the group's count, given the finds of each stratum that holds both sides."""

    def __init__(self, seen: Floats, due: Floats, group: Flags, stratum: np.ndarray) -> None:
        finds, ours = np.bincount(stratum, seen), np.bincount(stratum, due * group)
        rest = np.bincount(stratum, due * ~group)
        both = (ours > 0) & (rest > 0)
        self.comparable = bool(both.any())
        self.count = int(np.bincount(stratum, seen * group)[both].sum())
        used = both & (finds > 0)
        self.weights = np.ones(1)
        # Over strata, of which there are few; each convolution is one call.
        shares = ours[used] / (ours[used] + rest[used])
        for number, share in zip(finds[used], shares, strict=True):
            self.weights = np.convolve(self.weights, _binomial(int(number), share))
        self.values = np.arange(self.weights.size)

    def _tilted(self, log_ratio: float) -> Floats:
        with np.errstate(divide="ignore"):
            logs = np.log(self.weights) + log_ratio * self.values
        weights = np.exp(logs - logs.max())
        return np.asarray(weights / weights.sum())

    def at_least(self, log_ratio: float) -> float:
        return float(min(1.0, self._tilted(log_ratio)[self.count :].sum()))

    def at_most(self, log_ratio: float) -> float:
        return float(min(1.0, self._tilted(log_ratio)[: self.count + 1].sum()))

    def central(self) -> float:
        return min(1.0, 2 * min(self.at_least(0.0), self.at_most(0.0)))

    def minlike(self) -> float:
        chances = self._tilted(0.0)
        return float(min(1.0, chances[chances <= chances[self.count] * _ALIKE].sum()))

    def mean(self, log_ratio: float) -> float:
        return float(self._tilted(log_ratio) @ self.values)

    def estimate(self) -> float:
        if self.count == 0:
            return 0.0
        if self.count == self.values[-1]:
            return float("inf")
        return float(np.exp(brentq(lambda x: self.mean(x) - self.count, -_WIDEST, _WIDEST)))

    def low(self, tail: float) -> float:
        if self.count == 0:
            return 0.0
        return float(np.exp(brentq(lambda x: self.at_least(x) - tail, -_WIDEST, _WIDEST)))

    def high(self, tail: float) -> float:
        if self.count == self.values[-1]:
            return float("inf")
        return float(np.exp(brentq(lambda x: self.at_most(x) - tail, -_WIDEST, _WIDEST)))


def _binomial(number: int, share: float) -> Floats:
    k = np.arange(number + 1)
    log = (
        special.gammaln(number + 1) - special.gammaln(k + 1) - special.gammaln(number - k + 1)
        + special.xlogy(k, share) + special.xlog1py(number - k, -share)
    )  # fmt: skip
    return np.asarray(np.exp(log))


def group_dispersion(
    expected: ArrayLike, vehicle: ArrayLike, in_group: ArrayLike, prior_shape: float
) -> float:
    """Return how much the spread between vehicles widens a group's comparison.

    Parameters
    ----------
    expected : array_like, shape (n,)
    vehicle : array_like of int, shape (n,)
    in_group : array_like of bool, shape (n,)
    prior_shape : float
        Gamma shape of the spread between vehicles, from `shrink_rates`; infinite if none.

    Returns
    -------
    float
        1 or more, for `compare_rates`.

    Raises
    ------
    ClusterError
        ``"one_sided"``.

    Notes
    -----
    The variance of the group's rate minus the rest's with the vehicles' own spread over the one
    without: ``1 + sum((share of the group's expectation on a vehicle - share of the rest's)²) /
    shape / (1/E_in + 1/E_out)``. A yard's vehicles are its own, so their spread counts in full; a
    tool used on the same vehicles as the rest is compared within each, and it counts for nothing.

    Examples
    --------
    >>> due, whose = np.full(8, 5.0), np.arange(8) // 2
    >>> own_vehicles = group_dispersion(due, whose, whose < 2, 4.0)
    >>> same_vehicles = group_dispersion(due, whose, np.arange(8) % 2 == 0, 4.0)
    >>> own_vehicles, same_vehicles
    (3.5, 1.0)
    """
    _, due = counts(0, expected)
    group = np.asarray(in_group, dtype=np.bool_)
    whose = places("vehicle", vehicle, due.size)
    ours, rest = np.bincount(whose, due * group), np.bincount(whose, due * ~group)
    if not (ours.sum() > 0 and rest.sum() > 0):
        raise ClusterError("one_sided")
    apart = np.sum((ours / ours.sum() - rest / rest.sum()) ** 2)
    return float(1 + apart / prior_shape / (1 / ours.sum() + 1 / rest.sum()))
