"""Each vehicle's Weibull log likelihood around the best life, as a polynomial.

200 refits over 100,000 rows are as many evaluations of a likelihood that changes little from one
to the next. So it is worked out once, vehicle by vehicle, at the points of a Chebyshev grid over
a square around the best life; any weighing of vehicles is then a product of two matrices.
"""

from typing import NamedTuple

import numpy as np
from numpy.polynomial import chebyshev

from fleet.calc.spells import Codes, Floats, Spells, tally
from fleet.calc.weibull_fit import Fitted
from fleet.calc.weibull_rows import log_likelihood

#: Places off the grid at which the polynomial is held against the rows themselves.
_TRIED = np.array([[-0.93, 0.71], [0.88, 0.83], [0.31, -0.97], [-0.52, -0.44], [0.97, -0.21]])


class Hills(NamedTuple):
    """Log likelihoods of vehicles (clusters, points * points) at a grid's points.

    A place ``u`` in the square from -1 to 1 is the life ``theta + frame @ u``. `wrong` is how
    far the polynomial of all vehicles together misses their likelihood off the grid.
    """

    frame: Floats
    heights: Floats
    wrong: float

    def coefficients(self, weights: Floats) -> Floats:
        """Chebyshev coefficients of each weighing (b, clusters), shape (b, points, points)."""
        points = round(self.heights.shape[1] ** 0.5)
        inverse = np.linalg.inv(chebyshev.chebvander(_grid(points), points - 1))
        heights = (weights @ self.heights).reshape(-1, points, points)
        return np.asarray(inverse @ heights @ inverse.T)


def _grid(points: int) -> Floats:
    return np.asarray(chebyshev.chebpts1(points))


def hills_of(spells: Spells, fit: Fitted, frame: Floats, points: int) -> Hills:
    """Work the vehicles' likelihoods out at the points of a grid.

    Parameters
    ----------
    spells : Spells
    fit : Fitted
        Their own fit: the middle of the square.
    frame : ndarray, shape (2, 2)
        Lower triangular: the first axis alone moves the shape.
    points : int
        Along each axis.
    """
    grid = _grid(points)
    codes, clusters = spells.codes()
    order = np.argsort(codes[fit.rows.jump_of], kind="stable")
    by_shape = np.empty((clusters, points, points))
    for nth, u in enumerate(grid):
        log_k = fit.theta[0] + frame[0, 0] * u
        levels = fit.theta[1] + frame[1, 0] * u + frame[1, 1] * grid
        by_shape[:, nth] = _heights(fit, codes, clusters, order, np.exp(log_k), levels)
    heights: Floats = by_shape.reshape(clusters, -1)
    # What all have in common is no matter, and takes digits.
    heights -= heights[:, [0]]
    return Hills(frame, heights, _wrong(fit, frame, heights))


def _heights(
    fit: Fitted, codes: Codes, clusters: int, order: Codes, k: float, levels: Floats
) -> Floats:
    """At one shape and many levels, (clusters, levels)."""
    rows, weight = fit.rows, fit.weight

    def by_vehicle(of: Codes, values: Floats) -> Floats:
        return tally(codes[of], values, clusters)

    hazard = rows.hazard_sign * weight[rows.hazard_of] * np.exp(k * rows.hazard_x)
    exact = weight[rows.exact_of]
    found, moments = (by_vehicle(rows.exact_of, v) for v in (exact, exact * rows.exact_x))
    total = np.outer(by_vehicle(rows.hazard_of, hazard), np.exp(levels))
    total += np.outer(found, np.log(k) + levels) + k * moments[:, None]
    if rows.jump_of.size == 0:
        return total
    of = rows.jump_of[order]
    step = np.exp(k * rows.jump_x[order]) * -np.expm1(-k * rows.jump_gap[order])
    starts = np.flatnonzero(np.diff(codes[of], prepend=-1))
    weighs = weight[of]
    jumps = np.empty_like(step)
    for nth, rise in enumerate(np.exp(levels)):
        # In place: log(1 - exp(-hazard)).
        np.multiply(step, -rise, out=jumps)
        np.log(np.negative(np.expm1(jumps, out=jumps), out=jumps), out=jumps)
        jumps *= weighs
        total[codes[of[starts]], nth] += np.add.reduceat(jumps, starts)
    return total


def _wrong(fit: Fitted, frame: Floats, heights: Floats) -> float:
    every = Hills(frame, heights, 0.0).coefficients(np.ones((1, len(heights))))[0]
    given = chebyshev.chebval2d(_TRIED[:, 0], _TRIED[:, 1], every)
    rows = log_likelihood(fit.rows, fit.weight, fit.theta + _TRIED @ frame.T).value
    apart = given - rows
    return float(np.max(np.abs(apart - apart.mean())))
