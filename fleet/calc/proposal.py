"""What of a recheck interval is offered: the record's word, in steps that can be taken back.

A proposal only: the manufacturer's interval stands where there is one.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from fleet.calc.interval import Interval, recheck_interval
from fleet.calc.spells import Spells

#: One acceptance lengthens by at most half (own).
LONGEST_STEP = 1.5
#: A change under a twentieth is none (own): the next handful of finds moves the bound by more.
WORTH_IT = 0.05
_DIGITS = 2


@dataclass(frozen=True, slots=True)
class Offer:
    """What one acceptance may change an interval to.

    Attributes
    ----------
    value : float or None
        In the unit of the interval; None where today's is as good as that.
    held_back_by : {"", "half", "floor"}
        Where it is not what the record allows: one step lengthens by half at most, and no
        interval falls below the floor.
    """

    value: float | None
    held_back_by: str = ""


def allowed_interval(
    spells: Spells, target: float, confidence: float, ages: Sequence[float], *, seed: int = 0
) -> Interval:
    """Return the shortest of the intervals that the record allows at several ages.

    Parameters
    ----------
    spells : Spells
        Metres or seconds, see `fleet.calc.interval.recheck_interval`.
    target, confidence : float
    ages : sequence of float
        Uses since turning at which the interval may begin; at least one.
    seed : int

    Returns
    -------
    Interval

    Raises
    ------
    ValueError, LifeError
        As `recheck_interval` does at any of the ages.

    Notes
    -----
    A look that turns nothing does not make a joint new: where lives wear out, an interval that
    begins later has to be shorter.

    Examples
    --------
    >>> tight, loose = [0, 1, 2, 3, 3, 4, 4, 5, 5, 5], [1, 3, 4, 4, 5, 5] + [math.inf] * 4
    >>> spells = Spells([1000.0 * x for x in tight], [1000.0 * x for x in loose],
    ...                 cluster=["T-1", "T-2", "T-3", "T-4", "T-5"] * 2)
    >>> fresh = allowed_interval(spells, 0.9, 0.9, [0])
    >>> both = allowed_interval(spells, 0.9, 0.9, [0, 2000])
    >>> round(fresh.value, -1), both.value < fresh.value
    (540.0, True)
    """
    found = [recheck_interval(spells, target, confidence, age, seed=seed) for age in ages]
    return min(found, key=lambda one: one.value)


def offer_of(allowed: float, now: float, floor: float = 0.0) -> Offer:
    """Return what one acceptance may change today's interval to.

    Parameters
    ----------
    allowed : float
        What the record allows, in the unit people read (miles or hours).
    now : float
        Today's interval, above 0.
    floor : float
        No interval is shorter than this.

    Returns
    -------
    Offer

    Raises
    ------
    ValueError
        If one of them is not finite, or `now` or `allowed` not above 0.

    Notes
    -----
    Figures are rounded down to two digits, since nothing is known more exactly. A shorter one is
    offered in full, at once.

    Examples
    --------
    >>> offer_of(743, 500)
    Offer(value=740.0, held_back_by='')
    >>> offer_of(1900, 500)
    Offer(value=750.0, held_back_by='half')
    >>> offer_of(31, 500, floor=50.0)
    Offer(value=50.0, held_back_by='floor')
    >>> offer_of(515, 500)
    Offer(value=None, held_back_by='')
    """
    if not (0 < allowed < math.inf and 0 < now < math.inf and 0 <= floor < math.inf):
        raise ValueError("intervals must be finite and above 0")
    value, held_back_by = allowed, ""
    if value > now * LONGEST_STEP:
        value, held_back_by = now * LONGEST_STEP, "half"
    value = rounded_down(value)
    if value < floor:
        value, held_back_by = floor, "floor"
    if abs(value - now) < WORTH_IT * now:
        return Offer(None)
    return Offer(value, held_back_by)


def rounded_down(value: float) -> float:
    """Round down to two digits.

    >>> rounded_down(1234), rounded_down(87.9), rounded_down(9.66), rounded_down(50)
    (1200.0, 87.0, 9.6, 50.0)
    """
    step = 10.0 ** (math.floor(math.log10(value)) - _DIGITS + 1)
    # A hair over, so that a figure that has two digits keeps them.
    return float(round(math.floor(value / step + 1e-9) * step, 6))
