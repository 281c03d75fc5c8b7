"""Bounds by weighing vehicles anew: how far a figure moves as each counts for more or less.

The profile likelihood takes spells as independent. Those of one vehicle are not: one road, one
driver, one bent bracket. Here whole vehicles are weighed at random, and each weighing is fitted.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.polynomial import chebyshev
from scipy.special import ndtri, stdtrit

from fleet.calc.climb import climb
from fleet.calc.life_errors import LifeError
from fleet.calc.profile import Side, check_age, check_share, quantile_path
from fleet.calc.spells import Codes, Floats, Spells
from fleet.calc.vehicle_hills import Hills, hills_of
from fleet.calc.weibull_fit import Fitted, fitted, spread_of
from fleet.calc.weibull_paths import Path
from fleet.calc.weibull_rows import AT_ONCE, Slope, log_likelihood

REFITS = 200
_FEWEST_VEHICLES = 2
#: So that weights have nothing to do with data that were drawn from the same seed.
_STREAM = 25
#: Hills are known this many standard errors around the best life.
_REACH = 5.0
#: With fewer rows the refits are worked out row by row.
_FEW_ROWS = 200
#: Points along each axis at which hills are worked out, as many as it takes; else row by row.
_POINTS = (6, 9, 13, 18)
#: Hills may be wrong by this much in log likelihood.
_WRONG = 1e-6


def refits(spells: Spells, fit: Fitted, count: int = REFITS, seed: int = 0) -> Floats:
    """Fit the spells again with vehicles weighed at random.

    Parameters
    ----------
    spells : Spells
    fit : Fitted
        Their own fit.
    count : int
        How many times.
    seed : int
        The same seed gives the same weights; vehicles are numbered in the order of their labels.

    Returns
    -------
    ndarray, shape (count, 2)
        ``(log k, c)`` of each; nan where a weighing has no best life.

    Notes
    -----
    Weights are exponential, one a vehicle (one a spell where no vehicle is told): the weighted
    likelihood bootstrap. Drawing vehicles with repetition has the same spread, but would leave
    a weighing without finds now and then; this keeps every vehicle a little.

    All are fitted at once by Newton's method. Where there are many rows, each vehicle's
    likelihood is first worked out at a few points around the best life and taken from the
    polynomial through them; where that is not right to 1e-6, row by row.

    References
    ----------
    Newton, M. A., Raftery, A. E. (1994). Approximate Bayesian inference with the weighted
    likelihood bootstrap. JRSS B 56, 3-48 (from memory, unverified).
    """
    codes, clusters = spells.codes()
    weights = _weights(spells, clusters, count, seed)
    theta = np.full((count, 2), np.nan)
    if spells.lower.size > _FEW_ROWS and clusters > 1:
        theta = _by_vehicle(spells, fit, weights)
    left = np.flatnonzero(np.isnan(theta[:, 0]))
    each = max(1, AT_ONCE // spells.lower.size)
    for start in range(0, left.size, each):
        part = left[start : start + each]
        theta[part] = _row_by_row(fit, weights[part][:, codes])
    return theta


def _weights(spells: Spells, clusters: int, count: int, seed: int) -> Floats:
    """Of each vehicle in each weighing, 1 on average; where rows stand alone, of their spells."""
    chance = np.random.default_rng((_STREAM, seed))
    if spells.cluster is not None or spells.count is None:
        return chance.standard_exponential((count, clusters))
    many = np.maximum(spells.count, np.finfo(float).tiny)
    return chance.standard_gamma(many, (count, clusters)) / many


def _row_by_row(fit: Fitted, weights: Floats) -> Floats:
    """Fit each weighing over all rows; nan where there is no best life."""
    weighed = weights * fit.weight

    def hill(theta: Floats, which: Codes) -> Slope:
        return log_likelihood(fit.rows, weighed[which], theta)

    top = climb(hill, np.tile(fit.theta, (len(weights), 1)))
    return np.where(top.reached[:, None], top.theta, np.nan)


def _by_vehicle(spells: Spells, fit: Fitted, weights: Floats) -> Floats:
    """Fit each weighing from the vehicles' own hills; nan where it leaves what is known."""
    unknown = np.full((len(weights), 2), np.nan)
    try:
        frame = _REACH * np.linalg.cholesky(spread_of(spells, fit))
    except np.linalg.LinAlgError:
        # Two vehicles pull one way and back: there is no square about the best life.
        return unknown
    for points in _POINTS:
        hills = hills_of(spells, fit, np.asarray(frame, dtype=np.float64), points)
        if hills.wrong < _WRONG:
            return _on_hills(fit, hills, weights)
    return unknown


def _on_hills(fit: Fitted, hills: Hills, weights: Floats) -> Floats:
    every = hills.coefficients(weights)
    points = every.shape[-1]
    once = chebyshev.chebder(np.eye(points))
    twice = chebyshev.chebder(once)

    def hill(place: Floats, which: Codes) -> Slope:
        # Outside its square a polynomial says nothing.
        known = np.all(np.abs(place) <= 1, axis=1)
        base = [chebyshev.chebvander(np.clip(axis, -1, 1), points - 1) for axis in place.T]
        (a, a1, a2), (b, b1, b2) = (
            (v, v[:, : points - 1] @ once, v[:, : points - 2] @ twice) for v in base
        )
        by_b, by_b1, by_b2 = (np.einsum("bij,bj->bi", every[which], v) for v in (b, b1, b2))
        value = np.where(known, np.vecdot(a, by_b), -np.inf)
        gradient = np.stack([np.vecdot(a1, by_b), np.vecdot(a, by_b1)], axis=1)
        cross = np.vecdot(a1, by_b1)
        bend = np.stack([np.vecdot(a2, by_b), cross, cross, np.vecdot(a, by_b2)], axis=1)
        return Slope(value, gradient, bend.reshape(-1, 2, 2))

    top = climb(hill, np.zeros((len(weights), 2)))
    inside = top.reached & np.all(np.abs(top.theta) < 1, axis=1)
    return np.where(inside[:, None], fit.theta + top.theta @ hills.frame.T, np.nan)


@dataclass(frozen=True, slots=True, eq=False)
class Weighings:
    """The refits, the best life beside them, and on how many vehicles something was found."""

    best: Floats
    tops: Floats
    vehicles: float

    def figure(self, path: Path, confidence: float, side: Side) -> float:
        """Return the log of the figure that so many of the refits lie beyond, widened.

        Notes
        -----
        Its way from the best life is lengthened by Student's t over the normal quantile, and by
        ``sqrt(g / (g - 1))``, as few vehicles show less spread than there is.
        """
        figures = np.full(len(self.tops), -math.inf if side == "lower" else math.inf)
        known = ~np.isnan(self.tops[:, 0])
        figures[known] = path.figure_of(self.tops[known])
        best = float(path.figure_of(self.best[None])[0])
        if side == "lower":
            at = float(np.quantile(figures, 1 - confidence, method="lower"))
        else:
            at = float(np.quantile(figures, confidence, method="higher"))
        return best + (at - best) * _wider(self.vehicles, confidence)


def _wider(vehicles: float, confidence: float) -> float:
    """The ratio of the quantiles has a limit, but no value, at one half."""
    tail = max(confidence, 1 - confidence, 0.6)
    ratio = float(stdtrit(vehicles - 1, tail) / ndtri(tail))
    return ratio * math.sqrt(vehicles / (vehicles - 1))


def weighings(spells: Spells, fit: Fitted, count: int = REFITS, seed: int = 0) -> Weighings:
    """Weigh vehicles anew, see `refits`; refused where all finds are on one."""
    vehicles = spells.vehicles_with_finds
    if not vehicles >= _FEWEST_VEHICLES:
        raise LifeError("too_few_vehicles", vehicles, _FEWEST_VEHICLES)
    return Weighings(fit.theta, refits(spells, fit, count, seed), vehicles)


def resampled_bound(
    spells: Spells,
    p: float,
    confidence: float = 0.9,
    side: Side = "lower",
    *,
    age: float = 0.0,
    count: int = REFITS,
    seed: int = 0,
) -> float:
    """Bound the use by which a share of joints has given, on one side, by resampling vehicles.

    Parameters
    ----------
    spells : Spells
        With `cluster`, the vehicle of each.
    p, confidence, side, age
        As in `fleet.calc.profile.quantile_bound`.
    count, seed : int
        How many refits, and where their weights come from.

    Returns
    -------
    float
        In the unit of the spells. A refit without a best life counts as the worst.

    Raises
    ------
    ValueError, LifeError
        As `quantile_bound` does, and ``"too_few_vehicles"`` with finds on one only.

    Notes
    -----
    The quantile over the refits, see `refits`, widened for few vehicles. With few finds it is
    too narrow all the same: hence the lower of this and the profile bound is what
    `fleet.calc.interval` goes by.

    Examples
    --------
    >>> hours = [54, 187, 216, 240, 244, 335, 361, 373, 375, 386, 500]
    >>> spells = Spells(hours, hours[:-1] + [np.inf], count=[1] * 10 + [10])
    >>> 80 < resampled_bound(spells, 0.1) < 130
    True
    """
    check_share(p, "p")
    check_share(confidence, "confidence")
    check_age(age)
    fit = fitted(spells)
    path = quantile_path(fit, p, age)
    log = weighings(spells, fit, count, seed).figure(path, confidence, side)
    return math.exp(log + fit.rows.centre)
