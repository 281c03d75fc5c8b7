"""How long joints stay tight, or sound: Weibull lives fitted to what checks can tell.

Notes
-----
A check tells only that a joint was still tight, or no longer. `Spells` keeps that as it is, one
row a spell; `fit_weibull` fits a life to it, `turnbull` shows what it says without any formula,
`compare_groups` asks whether groups differ, and `fleet.calc.interval` proposes when to look.

Two events are kept apart and never mixed in one fit: moved (a wrench at its figure sees it) and
play (a loaded look, a pry bar, a rock sees it). So are first tightenings and later ones.
"""

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import chdtrc

from fleet.calc.life_errors import LifeError
from fleet.calc.profile import Bounds, profile_interval, quantile_bound
from fleet.calc.resampled import resampled_bound
from fleet.calc.spells import Floats, Spells
from fleet.calc.turnbull import Turnbull, turnbull
from fleet.calc.weibull_fit import WeibullFit, fit_spells, fit_weibull

__all__ = [
    "Bounds", "Comparison", "LifeError", "Spells", "Turnbull", "WeibullFit", "compare_groups",
    "conditional_survival", "fit_spells", "fit_weibull", "profile_interval", "quantile_bound",
    "resampled_bound", "turnbull",
]  # fmt: skip


class Comparison(NamedTuple):
    """A likelihood-ratio test: twice the gain, degrees of freedom, and its chance."""

    statistic: float
    degrees: int
    p: float


def compare_groups(fits: Sequence[WeibullFit], pooled: WeibullFit) -> Comparison:
    """Test whether groups have one and the same life.

    Parameters
    ----------
    fits : sequence of WeibullFit
        One a group, of spells that belong to no other group.
    pooled : WeibullFit
        Of all their spells together.

    Returns
    -------
    Comparison
        ``(statistic, degrees, p)`` with ``2 * (groups - 1)`` degrees.

    Raises
    ------
    ValueError
        With fewer than two groups, or where the finds of the groups are not those of `pooled`.

    Notes
    -----
    Twice what the groups' own fits gain in log likelihood over one fit, against chi-square. A
    small `p` says that they differ in shape or scale, not in which or why. It takes spells as
    independent: with many spells of few vehicles it sees differences that are the vehicles'.

    Examples
    --------
    >>> tight = np.inf
    >>> one = [0, 100, 200, 300, 400, 400], [100, 200, 300, 400, tight, tight]
    >>> other = [0, 0, 0, 100, 100, 200], [100, 100, 100, 200, 200, 300]
    >>> both = [a + b for a, b in zip(one, other)]
    >>> found = compare_groups([fit_weibull(*one), fit_weibull(*other)], fit_weibull(*both))
    >>> round(found.statistic, 2), found.degrees, round(found.p, 3)
    (5.11, 2, 0.078)
    """
    if not fits[1:]:
        raise ValueError("at least two groups are compared")
    finds = math.fsum(fit.events for fit in fits)
    gain = math.fsum(fit.loglik for fit in fits) - pooled.loglik
    if not math.isclose(finds, pooled.events) or gain < -1e-6 * (1 + abs(pooled.loglik)):
        raise ValueError("pooled must be the fit of the groups' spells together")
    statistic, degrees = max(2 * gain, 0.0), 2 * (len(fits) - 1)
    return Comparison(statistic, degrees, float(chdtrc(degrees, statistic)))


def conditional_survival(fit: WeibullFit, age: ArrayLike, x: ArrayLike) -> Floats:
    """Return the share of those tight at an age that are still tight a while later.

    Parameters
    ----------
    fit : WeibullFit
    age : array_like
        Use since turning, in the unit of the fit.
    x : array_like
        Use from there on; broadcast against `age`.

    Returns
    -------
    ndarray

    Raises
    ------
    ValueError
        If an age or a use is below 0.

    Notes
    -----
    ``S(age + x) / S(age)``. With a shape under 1 a joint that held for long is likelier to hold
    on; over 1, less.

    Examples
    --------
    >>> fit = WeibullFit(2.0, 1000.0, np.eye(2), -1.0, 9.0)
    >>> conditional_survival(fit, [0, 500, 1000], 500).round(3)
    array([0.779, 0.472, 0.287])
    """
    since, on = np.asarray(age, dtype=np.float64), np.asarray(x, dtype=np.float64)
    if not (np.all(since >= 0) and np.all(on >= 0)):
        raise ValueError("age and x must not be below 0")
    return np.asarray(np.exp(fit.cumulative_hazard(since) - fit.cumulative_hazard(since + on)))
