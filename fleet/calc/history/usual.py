"""What is usual: the hazard of checks like each one, by all that was known before its month."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fleet.calc.clusters import expected_events

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Flags = NDArray[np.bool_]

#: Shapes that a life may have; a handful is enough, since expectations hang on the shape weakly.
SHAPES = np.array([0.6, 0.75, 0.9, 1.1, 1.3, 1.6, 2.0, 2.5, 3.0])
#: Nothing is expected of a fleet before it had so many finds.
FEWEST_FINDS = 10
#: Finds that the mean of all kinds is worth beside a kind's own.
STRENGTH = 3.0
_ROUNDS = 12


class Tally(NamedTuple):
    """Sums that a usual hazard is fitted to, (..., kinds, strata, duties); three by shape first."""

    finds: Floats
    exposed: Floats
    squares: Floats
    logs: Floats


class Usual(NamedTuple):
    """A usual hazard, ``rate * (use / scale) ** shape``, one for each fleet and month.

    Attributes
    ----------
    rate : ndarray, shape (..., kinds, strata, duties)
    shape : ndarray, shape (..., strata)
    finds : ndarray, shape (...)
        What it rests on.
    """

    rate: Floats
    shape: Floats
    finds: Floats

    @property
    def known(self) -> Flags:
        """Whether it rests on enough."""
        return np.asarray(self.finds >= FEWEST_FINDS)


def tallied(
    cell: ArrayLike, sizes: tuple[int, ...], lower: ArrayLike, upper: ArrayLike,
    found: ArrayLike, scale: float,
) -> Tally:  # fmt: skip
    """Sum checks up by cell.

    Parameters
    ----------
    cell : array_like of int, shape (n,)
        Flat index of each check into `sizes`.
    sizes : tuple of int
        ``(..., kinds, strata, duties)``.
    lower, upper : array_like, shape (n,)
        Use on the clock.
    found : array_like of bool, shape (n,)
    scale : float
        A use of the size that checks are apart, in the unit of use, to keep figures near 1.

    Returns
    -------
    Tally
    """
    place, loose = np.asarray(cell, dtype=np.intp), np.asarray(found, dtype=np.float64)
    first, last = (np.asarray(one, dtype=np.float64) / scale for one in (lower, upper))
    many = int(np.prod(sizes))

    def summed(weight: Floats) -> Floats:
        return np.bincount(place, weight, many).astype(np.float64).reshape(sizes)

    exposed, squares, logs = [], [], []
    # One shape at a time: a fleet's checks are many, and each power of their use is as long.
    for shape in SHAPES:
        power = last**shape - first**shape
        exposed.append(summed(power))
        squares.append(summed(power**2))
        with np.errstate(divide="ignore", invalid="ignore"):
            logs.append(summed(np.where(loose > 0, loose * np.log(power), 0.0)))
    return Tally(summed(loose), np.stack(exposed), np.stack(squares), np.stack(logs))


def usual_before(tally: Tally, axis: int | None = None) -> Usual:
    """Fit the usual hazard: kind × stratum × duty × use ** shape.

    Parameters
    ----------
    tally : Tally
        Of shape (..., kinds, strata, duties).
    axis : int, optional
        Of the months: each is fitted to all months before it. None: all is taken together.

    Returns
    -------
    Usual

    Notes
    -----
    One shape a stratum (first tightenings and later ones, moved and play), the likeliest of
    `SHAPES`; rates as a product of kind, stratum and duty that meets the finds of each, by turns.
    A kind with few finds is drawn towards the mean of all. Seasons and the vehicles' own spread
    are not in it; `fleet.calc.clusters.e_value_among` weighs the latter.

    Examples
    --------
    One kind in one duty, 40 finds in 400 checks that each covered one scale of use:

    >>> found = np.arange(400) % 10 == 0
    >>> tally = tallied(np.zeros(400, int), (1, 1, 1), np.zeros(400), np.ones(400), found, 1.0)
    >>> usual = usual_before(tally)
    >>> round(float(usual.rate[0, 0, 0]), 3), bool(usual.known)
    (0.106, True)
    """
    finds, exposed, squares, logs = _before(tally, axis)
    best = _best_shape(finds, exposed, logs)
    chosen = best[None, ..., None, :, None]
    rate = _fitted(finds, *(np.take_along_axis(one, chosen, 0)[0] for one in (exposed, squares)))
    return Usual(rate, SHAPES[best], finds.sum(axis=(-3, -2, -1)))


def expected_of(
    usual: Usual, fleet: tuple[ArrayLike, ...], kind: ArrayLike, stratum: ArrayLike,
    duty: ArrayLike, lower: ArrayLike, upper: ArrayLike, scale: float,
) -> Floats:  # fmt: skip
    """Chance of a find at each check, by the usual hazard of its place and month.

    `fleet` holds the leading indices of each check, one array for each leading axis of `usual`;
    see `fleet.calc.clusters.expected_events` for the rest.
    """
    lead = tuple(np.asarray(one, dtype=np.intp) for one in fleet)
    at = tuple(np.asarray(one, dtype=np.intp) for one in (kind, stratum, duty))
    rate, shape = usual.rate[(*lead, *at)], usual.shape[(*lead, at[1])]
    each = np.arange(rate.size)
    return expected_events(
        lower, upper, each, lambda use, row: rate[row] * (use / scale) ** shape[row]
    )


def _before(tally: Tally, axis: int | None) -> Tally:
    if axis is None:
        return tally
    if axis < 0:
        axis += tally.finds.ndim

    def earlier(sums: Floats, along: int) -> Floats:
        return np.asarray(np.cumsum(sums, axis=along) - sums)

    return Tally(earlier(tally.finds, axis), *(earlier(one, axis + 1) for one in tally[1:]))


def _best_shape(finds: Floats, exposed: Floats, logs: Floats) -> Ints:
    """Likeliest of the shapes, for each stratum of each fleet and month."""
    by_kind, exposed_by_kind = finds.sum(axis=-1), exposed.sum(axis=-1)
    with np.errstate(divide="ignore", invalid="ignore"):
        rate = np.where(by_kind > 0, by_kind * np.log(by_kind / exposed_by_kind), 0.0)
    likelihood = rate.sum(axis=-2) + logs.sum(axis=(-3, -1))
    return np.asarray(likelihood.argmax(axis=0))


def _fitted(finds: Floats, exposed: Floats, squares: Floats) -> Floats:
    """Kind × stratum × duty, each in turn made to meet its finds."""
    rate = np.ones_like(finds)
    for _ in range(_ROUNDS):
        for others in ((-3, -2, -1), (-3, -1), (-3, -2)):
            rate = rate * _step(finds, _due(rate, exposed, squares), others)
    return rate * _step(finds, _due(rate, exposed, squares), (-2, -1), STRENGTH)


def _due(rate: Floats, exposed: Floats, squares: Floats) -> Floats:
    """Sum of 1 - exp(-rate x), to the second order as long as that holds."""
    return np.maximum(rate * exposed - rate**2 * squares / 2, rate * exposed / 2)


def _step(finds: Floats, due: Floats, over: tuple[int, ...], strength: float = 0.0) -> Floats:
    with np.errstate(divide="ignore", invalid="ignore"):
        step = (finds.sum(axis=over, keepdims=True) + strength) / (
            due.sum(axis=over, keepdims=True) + strength
        )
    return np.where(np.isfinite(step), np.clip(step, 0.02, 50.0), 1.0)
