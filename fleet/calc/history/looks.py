"""Checks on the clock of their joint: which use each one covers, and whether it ended a spell."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Starts:
    """Moments at which joints' clocks begin: fasteners turned, or parts fitted.

    Attributes
    ----------
    joint : ndarray of int, shape (s,)
        In any order.
    at : ndarray, shape (s,)
        Seconds of a common clock.
    use : ndarray, shape (s,)
        The vehicle's use then, metres or seconds of its meter; nan where nobody read it.
    watched : ndarray of bool, shape (s,)
        Whether somebody who tells us was there. Where not (a part that came with the vehicle),
        the clock counts only from the first check that found the joint sound.
    """

    joint: Ints
    at: Floats
    use: Floats
    watched: Flags


@dataclass(frozen=True, slots=True, eq=False)
class Checks:
    """Checks by a method that can see the event, that is, not those that could not have found it.

    Attributes
    ----------
    joint, at, use : ndarray, shape (n,)
        As in `Starts`.
    loose : ndarray of bool, shape (n,)
    by_complaint : ndarray of bool, shape (n,)
        Whether the driver's complaint led to it.
    due_use, due_at : ndarray, shape (n,)
        For those: the use at which the next check was due, and when the meter got there; nan
        where it is not known, or has not yet.
    """

    joint: Ints
    at: Floats
    use: Floats
    loose: Flags
    by_complaint: Flags
    due_use: Floats
    due_at: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Looks:
    """Those of the checks that say something, in order of time.

    Attributes
    ----------
    check, start : ndarray of int, shape (m,)
        Which check, and the start of its clock: indices into what was given.
    at : ndarray, shape (m,)
        When it counts.
    lower, upper : ndarray, shape (m,)
        Use on the clock: at the last check that found it tight (0 if none), and at this one.
    loose : ndarray of bool, shape (m,)
    """

    check: Ints
    start: Ints
    at: Floats
    lower: Floats
    upper: Floats
    loose: Flags


def looks_of(starts: Starts, checks: Checks) -> Looks:
    """Put checks on the clocks of their joints.

    Parameters
    ----------
    starts : Starts
    checks : Checks

    Returns
    -------
    Looks
        Without checks before any start (nobody knows how long it had held), with no meter, at no
        use, after the spell had ended, or of parts not yet found sound once where nobody watched
        the start.

    Notes
    -----
    A clock runs from its start to the next of the same joint, or to the first check that found it
    loose. A start at the very moment of a check comes after it: what was found loose is tightened.
    A find by complaint counts where the next check was due, from the moment the meter got there:
    a complaint comes because it gave, and taken at its own use it makes early ends look sooner.

    Examples
    --------
    Tightened at 0; tight at 300, loose at 700 and tightened again; tight 400 further on:

    >>> yes, no = np.array([True]), np.zeros(3, dtype=bool)
    >>> starts = Starts(np.array([5, 5]), np.array([0.0, 7.0]), np.array([0.0, 700.0]),
    ...                 np.array([True, True]))
    >>> never = np.full(3, np.nan)
    >>> checks = Checks(np.array([5, 5, 5]), np.array([3.0, 7.0, 11.0]),
    ...                 np.array([300.0, 700.0, 1100.0]), np.array([False, True, False]), no,
    ...                 never, never)
    >>> found = looks_of(starts, checks)
    >>> found.lower.tolist(), found.upper.tolist(), found.start.tolist()
    ([0.0, 300.0, 0.0], [300.0, 700.0, 400.0], [0, 0, 1])
    """
    start = last_start(starts, checks.joint, checks.at)
    known = start >= 0
    use = np.where(checks.loose & checks.by_complaint, checks.due_use, checks.use)
    at = np.where(checks.loose & checks.by_complaint, checks.due_at, checks.at)
    own = np.full(use.size, np.nan)
    own[known] = checks.use[known] - starts.use[start[known]]
    reached = np.full(use.size, np.nan)
    reached[known] = use[known] - starts.use[start[known]]
    # In each spell by the use at which it was really looked at.
    order = np.lexsort((own, checks.at, start))
    order = order[known[order] & np.isfinite(own[order])]
    order = order[_not_ended(start[order], checks.loose[order])]
    tight = ~checks.loose[order] & (own[order] > 0)
    lower = _last_before(start[order], np.where(tight, own[order], 0.0))
    upper = np.fmax(reached[order], lower)
    kept = np.isfinite(reached[order]) & np.isfinite(at[order]) & (upper > 0)
    kept &= (upper > lower) | checks.loose[order]
    kept &= starts.watched[start[order]] | (lower > 0)
    order, lower, upper = order[kept], lower[kept], upper[kept]
    by_time = np.lexsort((order, at[order]))
    order = order[by_time]
    return Looks(
        order, start[order], at[order], lower[by_time], upper[by_time], checks.loose[order]
    )


def last_start(starts: Starts, joint: Ints, at: Floats) -> Ints:
    """Return the start of the same joint that came last before each moment; -1 where none had.

    >>> starts = Starts(np.array([5, 6]), np.array([1.0, 1.0]), np.zeros(2), np.full(2, True))
    >>> last_start(starts, np.array([6, 5, 7]), np.array([2.0, 1.0, 2.0])).tolist()
    [1, -1, -1]
    """
    many = starts.joint.size
    if not many or not joint.size:
        return np.full(joint.size, -1, dtype=np.intp)
    joints = np.concatenate([starts.joint, joint])
    # A start at the very moment sorts after it.
    is_start = np.repeat([True, False], [many, joint.size])
    order = np.lexsort((is_start, np.concatenate([starts.at, at]), joints))
    place = np.where(is_start[order], np.arange(order.size), -1)
    last = np.maximum.accumulate(place)
    found = np.where(last >= 0, order[np.maximum(last, 0)], -1)
    back = np.empty(order.size, dtype=np.intp)
    back[order] = found
    start = back[many:]
    start[(start >= 0) & (starts.joint[np.maximum(start, 0)] != joint)] = -1
    return start


def _not_ended(start: Ints, loose: Flags) -> Flags:
    """Rows up to the first loose one of each spell, that one too; rows lie spell by spell."""
    before: Ints = np.cumsum(loose) - loose
    first = np.maximum.accumulate(np.where(_new(start), np.arange(start.size), 0))
    return np.asarray(before == before[first]) if start.size else np.zeros(0, dtype=np.bool_)


def _last_before(start: Ints, tight_at: Floats) -> Floats:
    """The greatest tight use of earlier rows of each spell; 0 for its first."""
    # Spells are told apart by an offset, so that one running maximum serves all.
    most = float(tight_at.max(initial=0.0)) + 1.0
    spell = np.cumsum(_new(start)) * most
    running = np.maximum.accumulate(tight_at + spell) if start.size else tight_at
    earlier = np.concatenate([[0.0], running[:-1]]) if start.size else running
    return np.where(_new(start), 0.0, np.maximum(earlier - spell, 0.0))


def _new(start: Ints) -> Flags:
    return np.asarray(np.diff(start, prepend=-1) != 0)
