"""A Weibull life fitted to spells."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from fleet.calc.climb import Top, climb
from fleet.calc.life_errors import LifeError
from fleet.calc.spells import Codes, Floats, Spells
from fleet.calc.weibull_rows import (
    Rows,
    Slope,
    cluster_scores,
    constant,
    log_likelihood,
    take_apart,
)

#: So many rows are fitted first where there are far more, to start from.
_FIRST_ROWS = 4_000
#: A shape this near to 0 is on its way there.
_SMALLEST_SHAPE = 1e-3


@dataclass(frozen=True, slots=True, eq=False)
class WeibullFit:
    """A fitted Weibull life, ``S(t) = exp(-(t / scale)**shape)``.

    Attributes
    ----------
    shape : float
        Above 1: the longer since turning, the likelier it gives. Under 1: bedding in.
    scale : float
        Use by which 63 % have given, in the unit of the spells (metres or seconds).
    covariance : ndarray, shape (2, 2)
        Of ``(log shape, log scale)``.
    loglik : float
        Natural log; a density for lives known exactly, in the unit of the spells.
    events : float
        Spells that ended with a find.
    """

    shape: float
    scale: float
    covariance: Floats
    loglik: float
    events: float

    def cumulative_hazard(self, time: ArrayLike) -> Floats:
        """Return ``(t / scale)**shape``: finds to expect by then, were each put right at once."""
        ratio = np.asarray(time, dtype=np.float64) / self.scale
        return np.asarray(np.where(ratio > 0, np.maximum(ratio, 0.0) ** self.shape, 0.0))

    def survival(self, time: ArrayLike) -> Floats:
        """Return the share still tight at that use."""
        return np.asarray(np.exp(-self.cumulative_hazard(time)))

    def quantile(self, p: ArrayLike) -> Floats:
        """Return the use by which the share `p` has given.

        Raises
        ------
        ValueError
            If `p` is not between 0 and 1.
        """
        share = np.asarray(p, dtype=np.float64)
        if not np.all((share >= 0) & (share <= 1)):
            raise ValueError("p must lie between 0 and 1")
        with np.errstate(divide="ignore"):
            return np.asarray(self.scale * (-np.log1p(-share)) ** (1 / self.shape))


class Fitted(NamedTuple):
    """The fit of spells taken apart: where the top is, in ``(log k, c)``, and how high."""

    rows: Rows
    weight: Floats
    theta: Floats
    value: float
    hessian: Floats


def fit_weibull(
    lower: ArrayLike,
    upper: ArrayLike,
    entry: ArrayLike | None = None,
    count: ArrayLike | None = None,
    cluster: ArrayLike | None = None,
) -> WeibullFit:
    """Fit a Weibull life by maximum likelihood.

    Parameters
    ----------
    lower, upper : array_like, shape (n,)
        Bounds of each life, metres or seconds since turning: equal is exact, ``lower=0`` found
        loose at the first look, ``upper=inf`` still tight, else found between two looks.
    entry, count, cluster : array_like, shape (n,), optional
        As in `Spells`. With `cluster` the covariance allows for spells of one vehicle hanging
        together; the estimate is the same.

    Returns
    -------
    WeibullFit

    Raises
    ------
    ValueError
        As `Spells` does; for a `cluster` with one vehicle only.
    LifeError
        Where no life is best: ``"no_spells"``, ``"no_finds"``, ``"never_tight"``,
        ``"one_moment"``, ``"falling"``, ``"not_converged"``.

    Notes
    -----
    The log likelihood of a row is ``log f(t)``, or ``log(S(lower) - S(upper))``, less
    ``log S(entry)``. In the parameters ``log H`` is linear in it is concave without entries, so
    that Newton's method finds its one top; the cases in which there is none are told beforehand.
    The covariance is the inverse of the observed information; by `cluster`, the sandwich with the
    outer product of the vehicles' scores, times ``g / (g - 1)``.

    At the bench: looks often enough to find some tight and some loose tell more than many looks
    at one and the same mileage, which tell a share at that mileage and nothing of the shape.

    References
    ----------
    Burridge, J. (1981). Empirical Bayes analysis of survival time data. JRSS B 43, 65-75 (on
    concavity; from memory, unverified).

    Examples
    --------
    Twenty units, ten failed and ten still good at 500 h (NIST/SEMATECH e-Handbook, 8.4.1.3):

    >>> hours = [54, 187, 216, 240, 244, 335, 361, 373, 375, 386, 500]
    >>> fit = fit_weibull(hours, hours[:-1] + [np.inf], count=[1] * 10 + [10])
    >>> round(fit.scale, 2), round(fit.shape, 4), round(fit.loglik, 3), fit.events
    (606.53, 1.7208, -75.135, 10.0)
    """
    return fit_spells(Spells(lower, upper, entry, count, cluster))


def fit_spells(spells: Spells) -> WeibullFit:
    """Fit a Weibull life, as `fit_weibull` does."""
    return described(spells, fitted(spells))


def described(spells: Spells, fit: Fitted) -> WeibullFit:
    """Put the top of the likelihood in the words of a life."""
    (log_k, c), centre = fit.theta, fit.rows.centre
    k = np.exp(log_k)
    # log scale = centre - c / k, by log k and c.
    by_theta = np.array([[1.0, 0.0], [c / k, -1 / k]])
    spread = by_theta @ spread_of(spells, fit) @ by_theta.T
    loglik = fit.value + constant(fit.rows, fit.weight)
    return WeibullFit(float(k), float(np.exp(centre - c / k)), spread, loglik, spells.finds)


def spread_of(spells: Spells, fit: Fitted) -> Floats:
    """Return the covariance of ``(log k, c)``; by vehicles, where they are told."""
    inverse = np.asarray(np.linalg.inv(-fit.hessian))
    if spells.cluster is None:
        return inverse
    codes, clusters = spells.codes()
    if clusters == 1:
        raise ValueError("cluster names one vehicle only; leave it out")
    scores = cluster_scores(fit.rows, fit.weight, fit.theta, codes, clusters)
    return np.asarray(inverse @ (scores.T @ scores) @ inverse * (clusters / (clusters - 1)))


def fitted(spells: Spells) -> Fitted:
    """Find the top of the likelihood, or say why there is none."""
    _refuse(spells)
    rows, weight = take_apart(spells), spells.weight
    top = _top(rows, weight, _start(spells, rows))
    theta = top.theta[0]
    if not np.exp(theta[0]) > _SMALLEST_SHAPE:
        raise LifeError("falling")
    if not top.reached[0]:
        raise LifeError("not_converged")
    return Fitted(rows, weight, theta, float(top.value[0]), top.hessian[0])


def _top(rows: Rows, weight: Floats, start: Floats) -> Top:
    def hill(theta: Floats, _which: Codes) -> Slope:
        return log_likelihood(rows, weight, theta)

    return climb(hill, start[None])


def _start(spells: Spells, rows: Rows) -> Floats:
    """Begin at the top for some of the rows, where there are many; else at a shape of 1."""
    every = spells.lower.size // _FIRST_ROWS
    if every > 1:
        some = _every(spells, every)
        try:
            first = fitted(some)
        except LifeError:
            pass
        else:
            k = np.exp(first.theta[0])
            moved = np.array([0.0, k * (rows.centre - first.rows.centre)])
            return np.asarray(first.theta + moved)
    finds = spells.weight[rows.jump_of].sum() + spells.weight[rows.exact_of].sum()
    used = -np.exp(rows.hazard_x) @ (rows.hazard_sign * spells.weight[rows.hazard_of])
    found = np.exp(rows.jump_x) * -np.expm1(-rows.jump_gap) / 2 @ spells.weight[rows.jump_of]
    return np.array([0.0, np.log(finds / max(used + found, np.finfo(float).tiny))])


def _every(spells: Spells, nth: int) -> Spells:
    entry, count = spells.entry, spells.count
    return Spells(
        spells.lower[::nth],
        spells.upper[::nth],
        None if entry is None else entry[::nth],
        None if count is None else count[::nth],
    )


def _refuse(spells: Spells) -> None:
    """Tell the cases in which the likelihood has no top."""
    weighs = spells.weight > 0
    if not np.any(weighs):
        raise LifeError("no_spells")
    lower, upper = spells.lower[weighs], spells.upper[weighs]
    if not np.any(np.isfinite(upper)):
        raise LifeError("no_finds", 0, 1)
    if not np.any(lower > 0):
        raise LifeError("never_tight")
    # Some one use lies within all of them: the steeper, the likelier, without end.
    if lower.max() <= upper.min():
        raise LifeError("one_moment")
    loose, tight = lower == 0, np.isinf(upper)
    late = spells.entry is not None and np.any(spells.entry > 0)
    if not late and np.all(loose | tight):
        weight = spells.weight[weighs]
        first = np.average(np.log(upper[loose]), weights=weight[loose])
        if first <= np.average(np.log(lower[tight]), weights=weight[tight]):
            raise LifeError("falling")
