"""Bounds by profile likelihood: as far as a figure may go before the spells speak against it."""

import math
from typing import Literal, NamedTuple

import numpy as np
from scipy.special import ndtri

from fleet.calc.life_errors import LifeError
from fleet.calc.spells import Floats, Spells
from fleet.calc.weibull_fit import Fitted, fitted
from fleet.calc.weibull_paths import Path, Quantile, Shape
from fleet.calc.weibull_rows import log_likelihood

Side = Literal["lower", "upper"]

#: Logs this far from the best are beyond all use: the bound is 0 or infinite.
_FURTHEST = 60.0
_MOST_STEPS, _NEAR, _GAIN = 60, 1e-6, 1e-9
#: A step along a path goes this far at most, and the figure so far at first: to stay by the
#: likelihood's own ridge, where there is a second one.
_LONGEST, _FIRST = 0.7, 0.7


class Bounds(NamedTuple):
    """A lower and an upper bound."""

    low: float
    high: float


class _Best(NamedTuple):
    """The best life on a path: how high, the slope as the figure moves, and where along it."""

    value: float
    slope: float
    along: float


def log_use(use: float, fit: Fitted) -> float:
    """Return the log of a use about the fit's centre; minus infinity for none."""
    return math.log(use) - fit.rows.centre if use > 0 else -math.inf


def profile_bound(fit: Fitted, path: Path, z: float) -> float:
    """Return the log of the figure at which twice the log likelihood has fallen by ``z**2``.

    Parameters
    ----------
    fit : Fitted
    path : Path
        What figure.
    z : float
        A normal quantile; below the best where it is under 0, above it where over.

    Raises
    ------
    LifeError
        ``"not_converged"``.

    Notes
    -----
    The signed root of twice the fall is nearly straight in the figure's log, so that Newton's
    steps on it, kept between what is known to be too near and too far, end after a few.
    """
    best, along = float(path.figure_of(fit.theta[None])[0]), path.along_of(fit.theta)
    if z == 0:
        return best
    here = path.at(best, along)
    step, lean = _at_the_top(fit, here.moves, here.first)
    step *= min(1.0, _FIRST / abs(z * step))
    figure, along = best + z * step, along + max(-_LONGEST, min(z * step * lean, _LONGEST))
    near, far = best, math.copysign(math.inf, z)
    for _ in range(_MOST_STEPS):
        if abs(figure - best) > _FURTHEST:
            return far if abs(far) == math.inf else math.copysign(math.inf, z)
        found = _best_on(fit, path, figure, along)
        root = math.sqrt(max(2 * (fit.value - found.value), 0.0))
        if abs(root - abs(z)) < _NEAR:
            return figure
        near, far = (figure, far) if root < abs(z) else (near, figure)
        rise = -found.slope / root if root > 0 else 0.0
        step = (abs(z) - root) / rise if rise * z > 0 else math.copysign(math.inf, z)
        along, figure = found.along, _between(figure + step, near, far, best)
    raise LifeError("not_converged")


def _between(wanted: float, near: float, far: float, best: float) -> float:
    """Keep a step inside what is known; outward without end, not over double the way at once."""
    if math.isinf(far):
        reach = near + math.copysign(2 * abs(near - best) + 0.5, far)
        return min(wanted, reach) if far > 0 else max(wanted, reach)
    inside = min(near, far) < wanted < max(near, far)
    return wanted if inside else (near + far) / 2


def _at_the_top(fit: Fitted, moves: Floats, first: Floats) -> tuple[float, float]:
    """By the bend of the likelihood at its top: the figure's standard error, and how far the best
    life runs along the path as the figure moves."""
    frame = np.column_stack([moves, first])
    inverse = np.linalg.inv(frame.T @ -fit.hessian @ frame)
    return float(np.sqrt(inverse[0, 0])), float(inverse[0, 1] / inverse[0, 0])


def _best_on(fit: Fitted, path: Path, figure: float, along: float) -> _Best:
    """Climb along one path, by Newton's steps that never go down."""
    place, value, length = along, -math.inf, 1.0
    step = slope = gain = 0.0
    for _ in range(_MOST_STEPS):
        there = place + length * step
        bend = path.at(figure, there)
        hill = log_likelihood(fit.rows, fit.weight, bend.theta[None])
        height = float(hill.value[0])
        if value == height == -math.inf:
            place -= _LONGEST
            continue
        if not height >= value + 1e-4 * length * gain - 1e-12 * abs(value):
            length /= 4
            if length < _NEAR * _NEAR:
                break
            continue
        place, value, length = there, height, 1.0
        uphill = float(hill.gradient[0] @ bend.first)
        bent = float(bend.first @ hill.hessian[0] @ bend.first + hill.gradient[0] @ bend.second)
        slope = float(hill.gradient[0] @ bend.moves)
        step = uphill / max(-bent, abs(bent) / 4, abs(uphill) / _LONGEST, 1e-300)
        gain = uphill * step
        if gain < _GAIN:
            return _Best(value + gain / 2, slope, place)
    if not math.isfinite(value):
        raise LifeError("not_converged")
    return _Best(value, slope, place)


def quantile_path(fit: Fitted, share: float, age: float) -> Quantile:
    """The use after `age` by which the share of those tight then has given."""
    return Quantile(log_use(age, fit), math.log(-math.log1p(-share)))


def quantile_bound(
    spells: Spells, p: float, confidence: float = 0.9, side: Side = "lower", *, age: float = 0.0
) -> float:
    """Bound the use by which a share of joints has given, on one side, by profile likelihood.

    Parameters
    ----------
    spells : Spells
    p : float
        The share, between 0 and 1: 0.1 for the life that nine of ten outlive.
    confidence : float
        That the true use is not beyond the bound.
    side : {"lower", "upper"}
    age : float
        Of those tight at `age` (use since turning), counted from there.

    Returns
    -------
    float
        In the unit of the spells; 0 or ``inf`` where the spells set no bound.

    Raises
    ------
    ValueError
        For a `p` or `confidence` outside 0 to 1, or an `age` below 0.
    LifeError
        As `fleet.calc.life.fit_weibull` does.

    Notes
    -----
    Twice the fall of the log likelihood from its top to the best life with that quantile is
    held against the square of the normal quantile of `confidence`. Unlike bounds from a standard
    error it never goes below 0, and it holds better with few finds, where the likelihood leans.
    It takes spells as independent: see `fleet.calc.resampled` for vehicles.

    With late entries, or from an `age`, a handful of spells may leave the likelihood a second
    ridge at shapes near 0; the bound is where the ridge of the best life falls.

    References
    ----------
    Meeker, W. Q., Escobar, L. A. (1998). Statistical Methods for Reliability Data, ch. 8 (from
    memory, unverified).

    Examples
    --------
    >>> hours = [54, 187, 216, 240, 244, 335, 361, 373, 375, 386, 500]
    >>> spells = Spells(hours, hours[:-1] + [np.inf], count=[1] * 10 + [10])
    >>> round(quantile_bound(spells, 0.1, 0.9, "lower")), round(quantile_bound(spells, 0.1, 0.5))
    (93, 164)
    """
    check_share(p, "p")
    check_share(confidence, "confidence")
    check_age(age)
    fit = fitted(spells)
    z = float(ndtri(confidence)) * (-1 if side == "lower" else 1)
    return _use(fit, profile_bound(fit, quantile_path(fit, p, age), z))


def _use(fit: Fitted, log: float) -> float:
    return math.exp(log + fit.rows.centre) if math.isfinite(log) else math.exp(log)


def profile_interval(
    spells: Spells, of: Literal["shape", "scale"] | float, confidence: float = 0.95
) -> Bounds:
    """Return the two-sided profile-likelihood interval of the shape, the scale or a quantile.

    Parameters
    ----------
    spells : Spells
    of : {"shape", "scale"} or float
        A number between 0 and 1: the use by which that share has given.
    confidence : float
        That the true figure lies inside.

    Returns
    -------
    Bounds
        ``(low, high)``; 0 or ``inf`` where the spells set no bound on a side.

    Raises
    ------
    ValueError, LifeError
        As `quantile_bound` does.

    Examples
    --------
    >>> hours = [54, 187, 216, 240, 244, 335, 361, 373, 375, 386, 500]
    >>> spells = Spells(hours, hours[:-1] + [np.inf], count=[1] * 10 + [10])
    >>> [round(bound, 2) for bound in profile_interval(spells, "shape")]
    [0.91, 2.89]
    """
    check_share(confidence, "confidence")
    if not isinstance(of, str):
        check_share(of, "of")
    fit, z = fitted(spells), float(ndtri((1 + confidence) / 2))
    if of == "shape":
        low, high = (profile_bound(fit, Shape(), side * z) for side in (-1, 1))
        return Bounds(math.exp(low), math.exp(high))
    share = -math.expm1(-1.0) if isinstance(of, str) else of
    path = quantile_path(fit, share, 0.0)
    return Bounds(*(_use(fit, profile_bound(fit, path, side * z)) for side in (-1, 1)))


def check_share(value: float, name: str) -> None:
    if not 0 < value < 1:
        raise ValueError(f"{name} must lie between 0 and 1")


def check_age(age: float) -> None:
    if not 0 <= age < math.inf:
        raise ValueError("age must be finite and not below 0")
