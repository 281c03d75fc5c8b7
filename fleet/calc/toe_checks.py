"""Toe readings judged: their spread, against the spec and the law, from visit to visit.

Lengths in metres, toe-in positive, total toe of both wheels. The maker's specification for the
vehicle at hand governs; a legal line is never called good.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from fleet.calc.limits import Answer

#: A hundredth of a millimetre is rounding, not toe: a tape is read to 0.8 mm at best.
ROUNDING = 1e-5
LEGAL_FACTOR = 1.5
LEGAL_CITATION = "49 CFR 570.7(d)"
_FEET_IN_MILE = 5280.0


@dataclass(frozen=True, slots=True)
class ToeDrift:
    """What toe did between one visit's as-left and the next visit's as-found.

    Attributes
    ----------
    change : float
        Metres, positive towards toe-in.
    doubt : float
        What the tape alone may make of it, metres.
    beyond_doubt : bool
        Whether the change is larger than that.
    towards : {"in", "out", ""}
        Empty where it is not beyond doubt.
    """

    change: float
    doubt: float
    beyond_doubt: bool
    towards: str


def toe_drift(as_left: float, next_as_found: float, resolution: float) -> ToeDrift:
    """Compare toe as left at one visit with toe as found at the next.

    Parameters
    ----------
    as_left, next_as_found : float
        Total toe, metres, measured over the same span.
    resolution : float
        Smallest step read on the tape, metres.

    Notes
    -----
    Two toes are four tape readings, each off by up to half a step: two steps in all.

    Examples
    --------
    >>> sixteenth = 0.0254 / 16
    >>> toe_drift(sixteenth, -3 * sixteenth, sixteenth).towards
    'out'
    >>> toe_drift(sixteenth, 0.0, sixteenth).beyond_doubt
    False
    """
    if not 0 < resolution < math.inf:
        raise ValueError("resolution must be finite and above zero")
    change = _finite(next_as_found, "next_as_found") - _finite(as_left, "as_left")
    doubt = 2 * resolution
    if abs(change) <= doubt + ROUNDING:
        return ToeDrift(change, doubt, beyond_doubt=False, towards="")
    return ToeDrift(change, doubt, beyond_doubt=True, towards="in" if change > 0 else "out")


@dataclass(frozen=True, slots=True)
class Repeat:
    """Readings of one toe taken again and again.

    Attributes
    ----------
    mean, spread : float
        Metres; the spread is from the smallest to the largest.
    correction : float or None
        From the mean to the target, if one was given.
    warning : {"", "one_reading", "spread_as_large"}
        Stable, to translate by: the spread is as large as the correction, which so means
        nothing; or there is no spread to tell by.
    """

    mean: float
    spread: float
    correction: float | None
    warning: str


def repeat_readings(readings: Sequence[float], target: float | None = None) -> Repeat:
    """Average repeated toe readings, and say when they can't tell what is to be corrected.

    Parameters
    ----------
    readings : sequence of float
        Total toe, metres, each after rolling ahead again; three are good practice (own).
    target : float, optional
        The toe wanted, metres.

    Raises
    ------
    ValueError
        If there is none, or one is not finite.

    Examples
    --------
    >>> found = repeat_readings([0.0010, 0.0030, 0.0020], target=0.0)
    >>> round(found.mean, 6), round(found.spread, 6), found.warning
    (0.002, 0.002, 'spread_as_large')
    """
    if not readings:
        raise ValueError("readings must hold at least one")
    values = [_finite(reading, "readings") for reading in readings]
    mean, spread = math.fsum(values) / len(values), max(values) - min(values)
    correction = None if target is None else _finite(target, "target") - mean
    if len(values) == 1:
        return Repeat(mean, spread, correction, "one_reading")
    lost = correction is not None and spread > ROUNDING and spread >= abs(correction) - ROUNDING
    return Repeat(mean, spread, correction, "spread_as_large" if lost else "")


@dataclass(frozen=True, slots=True)
class ToeAgainstSpec:
    """Toe against the maker's range.

    Attributes
    ----------
    answer : {"in_spec", "below", "above"}
        Stable. ``"below"`` is towards toe-out.
    outside : float
        How far outside, metres, signed; 0 inside.
    to_middle : float
        The change that would bring it to the middle of the range, metres.
    """

    answer: str
    outside: float
    to_middle: float


def toe_against_spec(toe: float, low: float, high: float) -> ToeAgainstSpec:
    """Compare total toe with the two sides of a specification, metres, over the same span.

    >>> toe_against_spec(0.004, 0.0, 0.003).answer, toe_against_spec(0.003, 0.0, 0.003).answer
    ('above', 'in_spec')
    """
    _spec(low, high)
    to_middle = (low + high) / 2 - _finite(toe, "toe")
    if toe < low - ROUNDING:
        return ToeAgainstSpec("below", toe - low, to_middle)
    if toe > high + ROUNDING:
        return ToeAgainstSpec("above", toe - high, to_middle)
    return ToeAgainstSpec("in_spec", 0.0, to_middle)


@dataclass(frozen=True, slots=True)
class LegalToe:
    """Toe against the rule for vehicles in use.

    Attributes
    ----------
    answer : Answer
        PAST, INSIDE, or NO_LIMIT where the maker's range lists no toe on that side of zero.
    limit : float or None
        Metres, without sign: toe-in or toe-out, whichever `toe` is.
    citation : str
    """

    answer: Answer
    limit: float | None
    citation: str = LEGAL_CITATION


def legal_toe(toe: float, low: float, high: float) -> LegalToe:
    """Compare total toe with 1.5 times the maker's specification.

    Parameters
    ----------
    toe, low, high : float
        Total toe and the two sides of the specification, metres.

    Notes
    -----
    The rule says that toe-in and toe-out may not be more than 1.5 times the values that the
    maker lists. It does not say what holds for toe-out where the maker lists toe-in only: no
    limit is made up then, the maker's range decides.

    References
    ----------
    49 CFR 570.7(d), a model for states, for vehicles up to 10,000 lb; 570.60 has the same figure.

    Examples
    --------
    >>> legal_toe(0.004, 0.0, 0.003).answer, legal_toe(0.005, 0.0, 0.003).answer
    (<Answer.INSIDE: 'inside'>, <Answer.PAST: 'past'>)
    """
    _spec(low, high)
    listed = high if _finite(toe, "toe") >= 0 else -low
    if listed <= 0:
        return LegalToe(Answer.NO_LIMIT, None)
    limit = LEGAL_FACTOR * listed
    return LegalToe(Answer.PAST if abs(toe) > limit + _LINE else Answer.INSIDE, limit)


#: A tenth of a micrometer: rounding never turns "at the line" into past.
_LINE = 1e-7


def scuff_feet_per_mile(toe: float, tyre_diameter: float) -> float:
    """Turn toe into what a side-slip gauge shows.

    Parameters
    ----------
    toe, tyre_diameter : float
        Metres, or both in one other unit.

    Returns
    -------
    float
        Feet a mile, with the sign of `toe`: ``5280 toe / diameter``.

    References
    ----------
    49 CFR 570.7(d) Table I (its existence read, its figures from memory, unverified).

    Examples
    --------
    >>> round(scuff_feet_per_mile(1 / 16, 28.5), 1)
    11.6
    """
    if not 0 < tyre_diameter < math.inf:
        raise ValueError("tyre_diameter must be finite and above zero")
    return _FEET_IN_MILE * _finite(toe, "toe") / tyre_diameter


def _spec(low: float, high: float) -> None:
    if not -math.inf < low <= high < math.inf:
        raise ValueError("low and high must be finite, low first")


def _finite(value: float, name: str) -> float:
    if not math.isfinite(value):
        raise ValueError(f"{name} must be finite")
    return value
