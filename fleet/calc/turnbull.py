"""What spells say of a life without any formula: Turnbull's estimate, to its exact optimum."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import linalg, sparse
from scipy.sparse.linalg import splu

from fleet.calc.life_errors import LifeError
from fleet.calc.spells import Codes, Floats, Spells, tally
from fleet.calc.turnbull_cells import Cells, Reaches, gap_to_optimum, gathered, stabbed

#: Gains left over, for each spell: far under the 1e-8 that are promised.
_GAP, _PROMISED = 1e-11, 1e-8
_MOST_ROUNDS, _WARM_ROUNDS, _MOST_DROPS = 200, 10, 20
#: So many cells are solved as a full matrix, more as a sparse one.
_FULL = 500
_SHORTEST, _NOTHING = 1e-6, 1e-13
#: Of the stiffest: what is added so that cells that can't be told apart have one answer.
_LIFTS = (1e-15, 1e-12, 1e-8, 1e-4)


@dataclass(frozen=True, slots=True, eq=False)
class Turnbull:
    """A nonparametric life.

    Attributes
    ----------
    left, right : ndarray, shape (k,)
        The intervals ``(left, right]`` that hold mass, in order; equal for a point, the last up
        to ``inf`` where spells were still tight.
    mass : ndarray, shape (k,)
        The share of lives in each; where inside, nothing tells. They come to 1.
    gap : float
        What moving mass could still gain in log likelihood, for each spell: under 1e-8.
    loglik : float
        Natural log of the likelihood.
    """

    left: Floats
    right: Floats
    mass: Floats
    gap: float
    loglik: float

    def survival(self, time: ArrayLike) -> tuple[Floats, Floats]:
        """Return the least and the most that may still be tight at these uses."""
        at = np.asarray(time, dtype=np.float64)[..., None]
        past = (self.left > at) | ((self.left == at) & (self.right > at))
        return past @ self.mass, (self.right > at) @ self.mass


def turnbull(
    lower: ArrayLike,
    upper: ArrayLike,
    count: ArrayLike | None = None,
    entry: ArrayLike | None = None,
) -> Turnbull:
    """Estimate a life without any formula.

    Parameters
    ----------
    lower, upper : array_like, shape (n,)
        Bounds of each life, metres or seconds since turning, as the intervals ``(lower, upper]``;
        equal bounds are the point.
    count, entry : array_like, shape (n,), optional
        As in `fleet.calc.life.Spells`.

    Returns
    -------
    Turnbull

    Raises
    ------
    ValueError
        As `Spells` does.
    LifeError
        ``"no_spells"``; ``"nobody_at_risk"`` where a find was made at a use through which nobody
        was watched who held, while others came in later: nothing joins the two;
        ``"not_converged"``.

    Notes
    -----
    Mass lies in the innermost intervals only. In the steps of the cumulative hazard over them,
    ``log(1 - exp(-sum)) - sum``, the log likelihood is concave, with late entries too. From a few
    cells that every spell reaches over, cells that would gain are added, and Newton's method
    is kept to steps not below 0 by dropping those that would go there: after some ten rounds no
    cell gains. With right censoring alone it is Kaplan and Meier's estimate.

    At the bench: where the Weibull curve leaves these steps, the formula is wrong, or two kinds of
    life are mixed.

    References
    ----------
    Turnbull, B. W. (1976). The empirical distribution function with arbitrarily grouped, censored
    and truncated data. JRSS B 38, 290-295. Frydman, H. (1994). A note on nonparametric estimation
    of the distribution function from interval-censored and truncated observations. JRSS B 56,
    71-74. (Both from memory, unverified.)

    Examples
    --------
    >>> found = turnbull([0, 2, 1, 4], [3, 5, 1, np.inf])
    >>> found.left, found.right, found.mass.round(3)
    (array([1., 4.]), array([1., 5.]), array([0.5, 0.5]))
    """
    reaches = Reaches(Spells(lower, upper, entry, count))
    if reaches.weight.size == 0:
        raise LifeError("no_spells")
    cells = gathered(reaches)
    if not np.all(cells.tight > 0):
        raise LifeError("nobody_at_risk")
    mass = _masses(_climbed(cells, float(reaches.weight.sum())))
    gap, loglik = gap_to_optimum(reaches, mass)
    if gap > _PROMISED:
        raise LifeError("not_converged")
    held = mass > _NOTHING
    share = mass[held] / mass[held].sum()
    return Turnbull(cells.left[held], cells.right[held], share, max(gap, 0.0), loglik)


def _masses(step: Floats) -> Floats:
    """The share that gives in each cell, from the steps of the cumulative hazard."""
    left = np.exp(-np.concatenate([[0.0], np.cumsum(step)]))
    return np.append(left[:-1] * -np.expm1(-step), left[-1])


def _odds(cells: Cells, step: Floats) -> Floats:
    """Slope of ``log(1 - exp(-h))`` for each group."""
    return np.asarray(1 / np.expm1(cells.reach(step)))


def _height(cells: Cells, step: Floats) -> float:
    reached = cells.reach(step)
    if not np.all(reached > 0):
        return -np.inf
    return float(cells.weight @ np.log(-np.expm1(-reached)) - cells.tight @ step)


def _climbed(cells: Cells, spells: float) -> Floats:
    """Find the best steps of the cumulative hazard."""
    step = _first_steps(cells)
    for _ in range(_MOST_ROUNDS):
        odds = _odds(cells, step)
        slope = cells.cover(cells.weight * odds) - cells.tight
        held = np.flatnonzero(step > 0)
        unsettled = np.max(np.abs(slope[held]) * np.minimum(step[held], 1.0), initial=0.0)
        if max(slope.max(initial=0.0), unsettled) < _GAP * spells:
            break
        working = np.union1d(held, _gaining(slope, held, _GAP * spells))
        change = _newton(cells, step, odds, working)
        step = _moved(cells, step, change, float(slope @ change))
    return step


def _first_steps(cells: Cells) -> Floats:
    """A few cells with even mass, made better by the self-consistency of Poisson counts."""
    chosen = stabbed(cells)
    many = int(chosen.sum())
    step = np.zeros(cells.tight.size)
    step[chosen] = -np.log1p(-1 / (many + 1 - np.arange(many)))
    return _self_consistent(cells, step, _WARM_ROUNDS)


def _self_consistent(cells: Cells, step: Floats, rounds: int) -> Floats:
    """Turnbull's own rounds in steps of the hazard: never lower, but slow near the top."""
    watched = cells.tight + cells.cover(cells.weight)
    for _ in range(rounds):
        step = step * cells.cover(cells.weight * (1 + _odds(cells, step))) / watched
    return step


def _gaining(slope: Floats, held: Codes, least: float) -> Codes:
    """Between every two cells that hold mass, the one that would gain most, if any would."""
    starts = np.concatenate([[0], held])
    best = np.maximum.reduceat(slope, starts)
    lengths = np.diff(starts, append=slope.size)
    return np.flatnonzero((slope > least) & (slope == np.repeat(best, lengths)))


def _newton(cells: Cells, step: Floats, odds: Floats, working: Codes) -> Floats:
    """Newton's change of the steps; those that would go below 0 go to 0, and the rest again."""
    bend = cells.weight * odds * (1 + odds)
    dropped = np.zeros_like(step)
    change = np.zeros(0)
    for _ in range(_MOST_DROPS):
        pull = cells.weight * odds + bend * cells.reach(dropped)
        slope = (cells.cover(pull) - cells.tight)[working]
        change = _solved(cells, working, bend, slope)
        below = step[working] + change <= 0
        if not np.any(below):
            break
        dropped[working[below]] = step[working[below]]
        working, change = working[~below], change[~below]
    whole = -dropped
    whole[working] = change
    return whole


def _solved(cells: Cells, working: Codes, bend: Floats, slope: Floats) -> Floats:
    """Solve for the changes of the working cells.

    In running sums each group touches two of them, at its first and past its last cell: the
    matrix is that of springs between neighbours.
    """
    rank = np.zeros(cells.tight.size + 1, dtype=np.intp)
    rank[working + 1] = 1
    rank = np.cumsum(rank) - 1
    past, before = rank[cells.past], rank[cells.first]
    stretched = past > before
    past, before, bend = past[stretched], before[stretched], bend[stretched]
    tied = before >= 0
    row = np.concatenate([past, before[tied], before[tied], past[tied]])
    column = np.concatenate([past, before[tied], past[tied], before[tied]])
    spring = np.concatenate([bend, bend[tied], -bend[tied], -bend[tied]])
    pull = slope - np.append(slope[1:], 0.0)
    return np.diff(_springs(row, column, spring, pull), prepend=0.0)


def _springs(row: Codes, column: Codes, spring: Floats, pull: Floats) -> Floats:
    """Solve the springs, made a trace firmer where cells can't be told apart."""
    many = pull.size
    own = row == column
    stiff = tally(row[own], spring[own], many)
    for lift in _LIFTS:
        firm = lift * (stiff + stiff.max())
        try:
            return _firm(row, column, spring, pull, firm)
        except (linalg.LinAlgError, RuntimeError):
            continue
    return np.zeros(many)


def _firm(row: Codes, column: Codes, spring: Floats, pull: Floats, firm: Floats) -> Floats:
    """As a full matrix or, where that is large, a sparse one; refused where it is singular."""
    many = pull.size
    if many <= _FULL:
        full = tally(row * many + column, spring, many * many).reshape(many, many)
        full[np.diag_indices(many)] += firm
        factor = linalg.cho_factor(full, overwrite_a=True, check_finite=False)
        return np.asarray(linalg.cho_solve(factor, pull, check_finite=False))
    matrix = sparse.coo_matrix((spring, (row, column)), (many, many)).tocsc()
    solver = splu(
        matrix + sparse.diags(firm, format="csc"),
        permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True},
    )  # fmt: skip
    return np.asarray(solver.solve(pull))


def _moved(cells: Cells, step: Floats, change: Floats, promise: float) -> Floats:
    """Go as far along a change as it gains; where it does not, some slow rounds instead."""
    height, length = _height(cells, step), 1.0
    while length > _SHORTEST and promise > 0:
        moved: NDArray[np.float64] = np.maximum(step + length * change, 0.0)
        if _height(cells, moved) >= height + 1e-4 * length * promise - 1e-12 * abs(height):
            return moved
        length /= 2
    return _self_consistent(cells, step, _WARM_ROUNDS)
