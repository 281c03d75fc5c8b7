"""Spells from the checks of joints: one row a spell, whoever looked and why."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fleet.calc.spells import Codes, Floats, Spells


class SpellRows(NamedTuple):
    """Spells that carry something, and which of the given ones they are."""

    spells: Spells
    which: Codes


def spells_of_checks(
    spell: ArrayLike,
    use: ArrayLike,
    loose: ArrayLike,
    reached: ArrayLike,
    *,
    due: ArrayLike | None = None,
    vehicle: ArrayLike | None = None,
) -> SpellRows:
    """Gather checks into one row a spell.

    Parameters
    ----------
    spell : array_like of int, shape (n,)
        Which spell a check belongs to, from 0. Only checks by a method that can see the event.
    use : array_like, shape (n,)
        Use since that spell's turning, metres or seconds, above 0.
    loose : array_like of bool, shape (n,)
    reached : array_like, shape (m,)
        Use since turning up to today, of each spell, whether it has ended or not.
    due : array_like, shape (n,), optional
        For a check that a complaint led to: the use at which the scheduled check was due next.
        nan for the others.
    vehicle : array_like, shape (m,), optional
        Labels; they become the spells' clusters.

    Returns
    -------
    SpellRows

    Raises
    ------
    ValueError
        For arrays that don't fit, a use not above 0, or a check beyond what was reached.

    Notes
    -----
    Lower is the last tight check before the first loose one; upper the first loose one. Tight
    checks in between change nothing, and what comes after a find is another spell's.

    A complaint comes because a joint gave; taken at its own use it makes early ends look sooner
    and bends the shape down. So its find counts as found at the scheduled check that was due next,
    and enters only once that point has been reached: until then the spell stands as it was last
    found tight. A spell without any check that tells carries nothing and is left out.

    Examples
    --------
    Two spells; the second was found loose after a complaint at 700, its next check due at 900:

    >>> found = spells_of_checks([0, 0, 1, 1], [300, 600, 400, 700], [False, False, False, True],
    ...                          [650, 1000], due=[np.nan, np.nan, np.nan, 900])
    >>> found.spells.lower, found.spells.upper
    (array([600., 400.]), array([ inf, 900.]))
    """
    of, at, gone = np.asarray(spell, dtype=np.intp), _floats(use), np.asarray(loose, dtype=np.bool_)
    today = _floats(reached)
    when = at if due is None else np.fmax(at, _floats(due))
    _check(of, at, gone, when, today)
    first = np.full(today.size, np.inf)
    np.minimum.at(first, of[gone], at[gone])
    tight = ~gone & (at < first[of])
    lower = np.zeros(today.size)
    np.maximum.at(lower, of[tight], at[tight])
    upper = np.full(today.size, np.inf)
    told = gone & (at == first[of]) & (when <= today[of])
    np.minimum.at(upper, of[told], when[told])
    which = np.flatnonzero((lower > 0) | np.isfinite(upper))
    labels = None if vehicle is None else np.asarray(vehicle)[which]
    return SpellRows(Spells(lower[which], upper[which], cluster=labels), which)


def _floats(values: ArrayLike) -> Floats:
    return np.asarray(values, dtype=np.float64)


def _check(of: Codes, at: Floats, gone: NDArray[np.bool_], when: Floats, today: Floats) -> None:
    if any(a.shape != of.shape or a.ndim != 1 for a in (at, gone, when)):
        raise ValueError("spell, use, loose and due must have one value a check")
    if of.size and not 0 <= of.min() <= of.max() < today.size:
        raise ValueError("spell must name one of those in reached")
    if not np.all((at > 0) & (at <= today[of])):
        raise ValueError("use must be above 0 and not beyond what was reached")
