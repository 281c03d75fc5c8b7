"""The Weibull log likelihood of spells, many parameters at once, with its derivatives.

With ``x = log(t) - centre`` a life has the cumulative hazard ``H(t) = exp(k x + c)``: `k` is the
shape, and the scale is ``exp(centre - c / k)``. Parameters are pairs ``(log k, c)``. Without late
entry the likelihood has at most one top.
"""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from fleet.calc.spells import Codes, Floats, Spells, tally

#: Stands for the log of how much later than 0 a life is: its square is still finite.
NEVER_BEFORE = 1e100
#: Exponents of finds between looks are kept under this, so that squares of hazards are finite.
#: Those of tight looks and entries are not: cut to one size, they would cancel.
_LARGEST = 300.0
#: Rows times parameters that are worked out in one go, and how few rows are not cut further.
_BLOCK, _LEAST_BLOCK = 8_192, 256
#: Weights of rows, times weighings, that are laid out at once.
AT_ONCE = 400_000


class Rows(NamedTuple):
    """Spells taken apart by what they say. Parts name the rows of `Spells` that they come from."""

    centre: float
    #: exp(-H) of last tight looks counts for a life, and that of entries against: -1 and +1.
    hazard_x: Floats
    hazard_sign: Floats
    hazard_of: Codes
    #: Known exactly: log density less what its hazard says.
    exact_x: Floats
    exact_of: Codes
    #: Found between two looks: log(1 - exp(-(H(upper) - H(lower)))).
    jump_x: Floats
    jump_gap: Floats
    jump_of: Codes


class Slope(NamedTuple):
    """Log likelihoods (b,), their gradients (b, 2) and second derivatives (b, 2, 2)."""

    value: Floats
    gradient: Floats
    hessian: Floats


def take_apart(spells: Spells) -> Rows:
    """Sort spells by what they say; times become logs about the middle of the finds."""
    lower, upper, weighs = spells.lower, spells.upper, spells.weight > 0
    tight = np.flatnonzero((lower > 0) & weighs)
    exact = np.flatnonzero((lower == upper) & weighs)
    jump = np.flatnonzero((lower < upper) & np.isfinite(upper) & weighs)
    late = np.arange(0) if spells.entry is None else np.flatnonzero((spells.entry > 0) & weighs)
    tight_x = np.log(lower[tight])
    late_x = np.arange(0.0) if spells.entry is None else np.log(spells.entry[late])
    exact_x, jump_x = np.log(upper[exact]), np.log(upper[jump])
    with np.errstate(divide="ignore"):
        gap = np.minimum(jump_x - np.log(lower[jump]), NEVER_BEFORE)
    # Finds come about half of their gap before they are made, or somewhat before a first look.
    middle = np.concatenate([exact_x, jump_x - np.minimum(gap, 1.0) / 2])
    weight = spells.weight[np.concatenate([exact, jump])]
    # Sums, not products of vectors: those of many rows would wait for a second processor.
    centre = float((middle * weight).sum() / weight.sum()) if middle.size else 0.0
    return Rows(
        centre,
        np.concatenate([tight_x, late_x]) - centre,
        np.repeat([-1.0, 1.0], [tight.size, late.size]),
        np.concatenate([tight, late]),
        exact_x - centre, exact,
        jump_x - centre, gap, jump,
    )  # fmt: skip


def log_likelihood(rows: Rows, weight: Floats, theta: Floats) -> Slope:
    """Work out the log likelihood at many parameters.

    Parameters
    ----------
    rows : Rows
    weight : ndarray, shape (n,) or (b, n)
        Of each row of the spells, one set for all parameters or one for each.
    theta : ndarray, shape (b, 2)

    Notes
    -----
    What it says of a life in other units differs by a constant for each life known exactly, which
    `constant` gives.
    """
    shape, level = np.exp(theta[:, :1]), theta[:, 1:]
    with np.errstate(over="ignore", divide="ignore", invalid="ignore"):
        found = _hazards(rows, weight, shape, level) + _jumps(rows, weight, shape, level)
        found += _exacts(rows, weight, shape, level)
    value, by_k, by_c, k_k, k_c, c_c = found
    value = np.where(np.isnan(value), -np.inf, value)
    k = shape[:, 0]
    # From the shape to its log.
    gradient = np.stack([k * by_k, by_c], axis=1)
    cross = k * k_c
    hessian = np.stack([k * k * k_k + k * by_k, cross, cross, c_c], axis=1).reshape(-1, 2, 2)
    return Slope(value, gradient, hessian)


def constant(rows: Rows, weight: Floats) -> float:
    """Return what the log likelihood in the spells' own unit has on top."""
    return -float((weight[rows.exact_of] * (rows.exact_x + rows.centre)).sum())


def _sums(weighed: Floats, x: Floats) -> tuple[Floats, Floats, Floats]:
    """Sum over rows, as they are, times x and times its square."""
    return weighed.sum(axis=1), weighed @ x, weighed @ (x * x)


def _blocks(rows: int, parameters: int) -> Iterator[slice]:
    """Cut rows into blocks that fit, with all parameters, into the processor's own memory."""
    each = max(_LEAST_BLOCK, _BLOCK // parameters)
    return (slice(start, start + each) for start in range(0, rows, each))


def _hazards(rows: Rows, weight: Floats, shape: Floats, level: Floats) -> Floats:
    total = np.zeros((3, shape.size))
    for block in _blocks(rows.hazard_x.size, shape.size):
        x = rows.hazard_x[block]
        hazard = np.exp(shape * x + level)
        hazard *= weight[..., rows.hazard_of[block]] * rows.hazard_sign[block]
        total += _sums(hazard, x)
    plain, first, second = total
    return np.stack([plain, first, plain, second, first, plain])


def _exacts(rows: Rows, weight: Floats, shape: Floats, level: Floats) -> Floats:
    weighs = weight[..., rows.exact_of]
    total, moment = weighs.sum(axis=-1), (weighs * rows.exact_x).sum(axis=-1)
    k, none = shape[:, 0], np.zeros(shape.size)
    value = total * (np.log(k) + level[:, 0]) + k * moment
    return np.stack([value, total / k + moment, none + total, -total / k**2, none, none])


def _jumps(rows: Rows, weight: Floats, shape: Floats, level: Floats) -> Floats:
    """Of finds between two looks."""
    total = np.zeros((6, shape.size))
    for block in _blocks(rows.jump_x.size, shape.size):
        weighs = weight[..., rows.jump_of[block]]
        total += _jump(rows.jump_x[block], rows.jump_gap[block], weighs, shape, level)
    return total


def _jump(x: Floats, gap: Floats, weighs: Floats, shape: Floats, level: Floats) -> Floats:
    """H(upper) - H(lower) is reckoned so that nothing cancels."""
    reach = np.exp(np.minimum(shape * x + level, _LARGEST))
    share = -np.expm1(-shape * gap)
    before = reach * (1 - share)
    hazard = reach * share
    odds = 1 / np.expm1(hazard)
    value = -np.vecdot(np.log1p(odds), weighs)
    odds_w = odds * weighs
    late = before * gap
    by_k = hazard * x + late
    # log(1 - exp(-h)) has the slope q = odds and the second derivative -q (1 + q).
    bend = odds_w * (1 + odds)
    twice = hazard * x * x + late * (2 * x - gap)
    flat, tilt = np.vecdot(odds_w, hazard), np.vecdot(odds_w, by_k)
    bent = bend * by_k
    k_k = np.vecdot(odds_w, twice) - np.vecdot(bent, by_k)
    k_c = tilt - np.vecdot(bent, hazard)
    c_c = flat - np.vecdot(bend * hazard, hazard)
    return np.stack([value, tilt, flat, k_k, k_c, c_c])


def cluster_scores(
    rows: Rows, weight: Floats, theta: Floats, codes: Codes, clusters: int
) -> NDArray[np.float64]:
    """Return each cluster's gradient at one parameter, shape (clusters, 2)."""
    k, c = np.exp(theta[0]), theta[1]
    hazard = np.exp(k * rows.hazard_x + c) * rows.hazard_sign * weight[rows.hazard_of]
    reach, share = np.exp(k * rows.jump_x + c), -np.expm1(-k * rows.jump_gap)
    odds = weight[rows.jump_of] / np.expm1(reach * share)
    late = reach * (1 - share) * rows.jump_gap
    exact = weight[rows.exact_of]
    of = np.concatenate([codes[rows.hazard_of], codes[rows.jump_of], codes[rows.exact_of]])
    by_k = [
        hazard * rows.hazard_x,
        odds * (reach * share * rows.jump_x + late),
        exact * (1 / k + rows.exact_x),
    ]
    by_c = [hazard, odds * reach * share, exact]
    return np.stack(
        [
            k * tally(of, np.concatenate(by_k), clusters),
            tally(of, np.concatenate(by_c), clusters),
        ],
        axis=1,
    )
