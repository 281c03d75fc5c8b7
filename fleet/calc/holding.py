"""How a life is drawn: the share still tight over use, with its band, and without any formula."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtri

from fleet.calc.life_errors import LifeError
from fleet.calc.profile import check_age, check_share, log_use, profile_bound
from fleet.calc.resampled import weighings
from fleet.calc.spells import Floats, Spells
from fleet.calc.turnbull import turnbull
from fleet.calc.weibull_fit import WeibullFit, described, fitted
from fleet.calc.weibull_paths import Hazard


@dataclass(frozen=True, slots=True, eq=False)
class Holding:
    """The share of joints still tight, of those tight at an age.

    Attributes
    ----------
    use : ndarray, shape (n,)
        From the age on, metres or seconds, rising from 0.
    best, low, high : ndarray, shape (n,)
        The fitted life, and its two one-sided bounds.
    fit : WeibullFit
    """

    use: Floats
    best: Floats
    low: Floats
    high: Floats
    fit: WeibullFit


def holding(
    spells: Spells,
    until: float,
    confidence: float = 0.9,
    age: float = 0.0,
    *,
    points: int = 24,
    seed: int = 0,
) -> Holding:
    """Work out the curve of a life and its band.

    Parameters
    ----------
    spells : Spells
    until : float
        Use from `age` on to which it is drawn, above 0.
    confidence : float
        Of each side of the band.
    age : float
    points, seed : int

    Returns
    -------
    Holding

    Raises
    ------
    ValueError
        For an `until` not above 0, or as `fleet.calc.interval.recheck_interval`.
    LifeError
        As that does where no life can be fitted.

    Notes
    -----
    Each side of the band is the further of the profile bound and of the bound by weighing vehicles
    anew, as in `recheck_interval`: where its low side meets the target is the proposed interval.
    Points lie closer together near 0, where lives of bedding joints fall.

    Examples
    --------
    >>> tight, loose = [0, 1, 2, 3, 3, 4, 4, 5, 5, 5], [1, 3, 4, 4, 5, 5] + [math.inf] * 4
    >>> spells = Spells([1000.0 * x for x in tight], [1000.0 * x for x in loose],
    ...                 cluster=["T-1", "T-2", "T-3", "T-4", "T-5"] * 2)
    >>> found = holding(spells, 1080, points=3)
    >>> found.use.tolist(), found.low.round(2).tolist()
    ([0.0, 270.0, 1080.0], [1.0, 0.95, 0.81])
    """
    check_share(confidence, "confidence")
    check_age(age)
    if not 0 < until < math.inf:
        raise ValueError("until must be finite and above 0")
    fit = fitted(spells)
    weighed, z = weighings(spells, fit, seed=seed), float(ndtri(confidence))
    rows = [(0.0, 1.0, 1.0, 1.0)]
    for use in (until * np.linspace(0, 1, points)[1:] ** 2).tolist():
        path = Hazard(log_use(age, fit), log_use(age + use, fit))
        try:
            least = max(profile_bound(fit, path, z), weighed.figure(path, confidence, "upper"))
            most = min(profile_bound(fit, path, -z), weighed.figure(path, confidence, "lower"))
        except LifeError:
            # The search did not settle at this one use; its neighbours draw the band.
            continue
        best = float(path.figure_of(fit.theta[None])[0])
        rows.append((use, *(_share(log) for log in (best, least, most))))
    use_, best_, low, high = (np.array(column) for column in zip(*rows, strict=True))
    return Holding(use_, best_, low, high, described(spells, fit))


def _share(log_hazard: float) -> float:
    """The share still tight; none where the hazard has no bound."""
    return math.exp(-math.exp(min(log_hazard, 700.0)))


def steps(spells: Spells, most: int = 80) -> list[tuple[float, float]]:
    """The share not yet found loose by each use, without any formula; rising in use.

    Parameters
    ----------
    spells : Spells
    most : int
        Of very many steps, at most so many.

    Returns
    -------
    list of (float, float)
        From ``(0, 1)`` on. A find counts at the look that made it: where in the stretch before
        that look the joint gave, nothing tells. Empty where nothing can be said.

    Notes
    -----
    Turnbull's estimate (`fleet.calc.turnbull`), each mass at the right end of its interval.

    Examples
    --------
    >>> steps(Spells([0, 2, 1, 4], [3, 5, 1, np.inf]))
    [(0.0, 1.0), (1.0, 0.5), (5.0, 0.0)]
    """
    try:
        found = turnbull(spells.lower, spells.upper, spells.count, spells.entry)
    except LifeError:
        return []
    share = np.maximum(1 - np.cumsum(found.mass), 0.0)
    known = np.isfinite(found.right)
    every = list(zip(found.right[known].tolist(), share[known].round(6).tolist(), strict=True))
    return [(0.0, 1.0), *_thinned(every, most)]


def _thinned(rows: list[tuple[float, float]], most: int) -> Iterator[tuple[float, float]]:
    """Every nth, the last one always."""
    nth = max(1, math.ceil(len(rows) / most))
    return (row for n, row in enumerate(rows, start=1) if n % nth == 0 or n == len(rows))
