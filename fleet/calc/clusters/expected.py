"""Expected finds of checks, by the use that each one covers: nobody gains by not looking."""

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike

from fleet.calc.clusters.counts import Floats, Ints, places

_TINY = 1e-6
#: A find that was as good as certain: a hazard of 25.
_SURE = float(-np.expm1(-25.0))

Hazard = Callable[[Floats, Ints], Floats]


def expected_events(
    lower: ArrayLike, upper: ArrayLike, stratum: ArrayLike, cumulative_hazard: Hazard
) -> Floats:
    """Return the chance that each check finds its joint loose, by what its stratum usually does.

    Parameters
    ----------
    lower : array_like, shape (n,)
        Use since the fastener was turned at the last sufficient check that found it tight
        (0 for the first check of a spell); metres or seconds of use, as the hazard takes them.
    upper : array_like, shape (n,)
        Use since then at this check.
    stratum : array_like of int, shape (n,)
        Which usual hazard each follows: kind of joint, duty, first tightening or later.
    cumulative_hazard : callable
        ``H(use, stratum)``, taking and giving arrays of shape (n,); rising with use. Called twice.
        `weibull_hazard` makes one from fitted lives.

    Returns
    -------
    ndarray, shape (n,)
        ``1 - exp(-(H(upper) - H(lower)))``. Their sum is the finds expected of those checks.

    Raises
    ------
    ValueError
        For shapes that don't fit, a lower past its upper, values not finite or below zero, or a
        hazard that falls.

    Notes
    -----
    Only use that a check has looked at counts. A yard that skips checks has fewer finds and a
    smaller expectation with them; one that checks often has no more expected than it can find.

    Examples
    --------
    >>> usual = weibull_hazard(shape=[1.0, 2.0], scale=[10_000.0, 8_000.0])
    >>> expected_events([0, 2000], [4000, 4000], [0, 1], usual).round(4)
    array([0.3297, 0.171 ])
    """
    first, last = np.asarray(lower, dtype=np.float64), np.asarray(upper, dtype=np.float64)
    if first.ndim != 1 or first.shape != last.shape:
        raise ValueError("lower and upper must be one-dimensional and of one length")
    which = places("stratum", stratum, first.size)
    if not (np.isfinite(first).all() and np.isfinite(last).all()):
        raise ValueError("lower and upper must be finite: leave out joints not looked at since")
    if np.any(first < 0) or np.any(first > last):
        raise ValueError("lower must not be below zero, nor past upper")
    gained = np.asarray(cumulative_hazard(last, which) - cumulative_hazard(first, which))
    if gained.shape != first.shape or not np.all(gained >= 0):
        raise ValueError("cumulative_hazard must give one value a check, rising with use")
    return np.asarray(-np.expm1(-gained))


def spent_hazard(expected: ArrayLike, found: ArrayLike) -> Floats:
    """Return how much usual hazard each check has seen spent: all of it, or up to the loosening.

    Parameters
    ----------
    expected : array_like, shape (n,)
        Chance of a find at each check (`expected_events`).
    found : array_like of bool, shape (n,)
        Whether it was one.

    Returns
    -------
    ndarray, shape (n,)
        What `e_value_among` and `find_causes` weigh finds against. Its mean is `expected`.

    Raises
    ------
    ValueError
        For shapes that don't fit, or chances not from 0 to 1.

    Notes
    -----
    With h = -log(1 - expected), a tight joint has borne all of h, and a loose one on average
    ``1 - h exp(-h) / (1 - exp(-h))``, about half. A joint can be found but once a check, so finds
    vary less than a Poisson count with mean `expected`; weighed against that count, a joint that
    is loose at every look hides behind its own long checks. Evidence stays honest: the likelihood
    ratio of whole histories, ``r**O exp(-(r - 1) spent)``, has a mean of at most 1, and putting in
    the mean of what is not known makes it only smaller (Jensen).

    Examples
    --------
    >>> spent_hazard([0.1, 0.1], [False, True]).round(4)
    array([0.1054, 0.0518])
    """
    chance, loose = np.asarray(expected, dtype=np.float64), np.asarray(found, dtype=np.bool_)
    if chance.shape != loose.shape or not np.all((chance >= 0) & (chance <= 1)):
        raise ValueError("expected must have one chance from 0 to 1 for each of found")
    chance = np.minimum(chance, _SURE)
    whole = -np.log1p(-chance)
    with np.errstate(divide="ignore", invalid="ignore"):
        part = 1 - whole * (1 - chance) / chance
    # Near 0 the difference is all rounding; there it is half.
    part = np.where(whole < _TINY, whole / 2, part)
    return np.where(loose, part, whole)


def weibull_hazard(shape: ArrayLike, scale: ArrayLike) -> Hazard:
    """Return the cumulative hazard of Weibull lives, ``(use / scale) ** shape`` by stratum.

    Parameters
    ----------
    shape, scale : array_like, shape (strata,)
        As fitted; scale in the unit of use.

    Examples
    --------
    >>> weibull_hazard([2.0], [10.0])(np.array([5.0]), np.array([0]))
    array([0.25])
    """
    shapes, scales = np.asarray(shape, dtype=np.float64), np.asarray(scale, dtype=np.float64)
    if shapes.ndim != 1 or shapes.shape != scales.shape or not np.all((shapes > 0) & (scales > 0)):
        raise ValueError("shape and scale must be above zero, one of each a stratum")

    def hazard(use: Floats, stratum: Ints) -> Floats:
        return np.asarray((use / scales[stratum]) ** shapes[stratum])

    return hazard
