"""Vehicles that get worse: finds that come faster than their own checks and past explain."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from fleet.calc.clusters.among import Cells, among
from fleet.calc.clusters.counts import Floats, Ints, counts, places
from fleet.calc.clusters.evidence import RATIOS

#: Fewer finds than this on a vehicle are no trend (decision 33).
FEWEST_FINDS = 4


class Worsening(NamedTuple):
    """Log of the evidence of each vehicle, and the season that a change most likely began with."""

    log_e: Floats
    since: Ints


def e_value_worsening(
    observed: ArrayLike,
    expected: ArrayLike,
    vehicle: ArrayLike,
    season: ArrayLike,
    prior_shape: float,
) -> Worsening:
    """Return the evidence that each vehicle became worse at some time, and stayed so.

    Parameters
    ----------
    observed : array_like of int, shape (n,)
        Finds of each row: a check, or a sum of checks of one vehicle and season.
    expected : array_like, shape (n,)
        Sum of `spent_hazard` over them.
    vehicle : array_like of int, shape (n,)
    season : array_like of int, shape (n,)
        Numbered from 0 in order of time; a change may begin with any but the first.
    prior_shape : float
        Gamma shape of the spread between vehicles, fixed before.

    Returns
    -------
    Worsening
        ``(log_e, since)``, shape (highest vehicle + 1,): natural logarithm of e, minus infinity
        with fewer than 4 finds; and a season.

    Raises
    ------
    ValueError
        For arrays that don't fit.

    Notes
    -----
    For a change at the beginning of season s the vehicle's finds since are a group of their own,
    weighed by `e_value_among` against the vehicle's whole record, so that a vehicle that was
    always bad is none that gets worse. The mean over s is taken with weights 1/(s (s + 1)), fixed
    before anything was seen; a season that has not begun weighs with e = 1. So it may be looked
    at on any night, as the others. Its axis is expected finds: checks made twice as often find
    things sooner, and that is no worsening.

    Examples
    --------
    Three vehicles over eight seasons, 0.6 finds expected in each; the second one turns bad:

    >>> season, vehicle = np.tile(np.arange(8), 3), np.repeat([0, 1, 2], 8)
    >>> found = np.array([1, 0, 1, 0, 1, 0, 1, 1, 0, 1, 0, 1, 4, 5, 4, 6, 2, 1, 2, 3, 2, 2, 1, 2])
    >>> told = e_value_worsening(found, np.full(24, 0.6), vehicle, season, 2.0)
    >>> told.log_e.round(1), int(told.since[1])
    (array([-0.9,  3.8, -0.7]), 4)
    """
    seen, due = counts(observed, expected)
    whose = places("vehicle", vehicle, seen.size)
    when = places("season", season, seen.size)
    if not prior_shape > 0:
        raise ValueError("prior_shape must be above zero")
    vehicles, seasons = int(whose.max(initial=-1)) + 1, int(when.max(initial=0)) + 1
    found = _by_season(whose, when, seen, vehicles, seasons)
    spent = _by_season(whose, when, due, vehicles, seasons)
    # What came since the beginning of each season but the first.
    since = [np.cumsum(one[:, ::-1], axis=1)[:, ::-1][:, 1:] for one in (found, spent)]
    weight = _weights(seasons - 1)
    each = _evidence(since[0], since[1], found.sum(axis=1), spent.sum(axis=1), prior_shape)
    with np.errstate(divide="ignore"):
        rest = np.log(max(0.0, 1 - weight.sum()))
        logs = np.concatenate([each + np.log(weight), np.full((vehicles, 1), rest)], axis=1)
    log_e = np.logaddexp.reduce(logs, axis=1)
    likely = logs[:, :-1].argmax(axis=1) + 1 if seasons > 1 else np.zeros(vehicles, dtype=np.intp)
    enough = found.sum(axis=1) >= FEWEST_FINDS
    return Worsening(np.where(enough, log_e, -np.inf), likely)


def _by_season(
    vehicle: np.ndarray, season: np.ndarray, what: Floats, many: int, wide: int
) -> Floats:
    summed = np.bincount(vehicle * wide + season, what, many * wide)
    return summed.astype(np.float64).reshape(many, wide)


def _weights(changes: int) -> Floats:
    s = np.arange(1, changes + 1, dtype=np.float64)
    return np.asarray(1 / (s * (s + 1)))


def _evidence(
    found: Floats, spent: Floats, all_found: Floats, all_spent: Floats, shape: float
) -> Floats:
    """Log e of each vehicle (rows) and season of change (columns), one season at a time."""
    vehicles = np.arange(all_found.size)
    columns = [
        among(
            Cells(found[:, s], spent[:, s], vehicles, vehicles, vehicles.size),
            all_found, all_spent, np.array([shape]), RATIOS,
        )
        for s in range(found.shape[1])
    ]  # fmt: skip
    return np.stack(columns, axis=1) if columns else np.zeros((vehicles.size, 0))
