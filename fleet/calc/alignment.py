"""Toe of a solid axle: from tape readings, and as an angle. Toe-in is positive throughout."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fleet.calc.adjusters import (
    longer_link_turns_wheel_right,
    turn_direction,
    turns_for_toe,
    turns_to_centre_wheel,
)
from fleet.calc.toe_checks import (
    LegalToe,
    Repeat,
    ToeAgainstSpec,
    ToeDrift,
    legal_toe,
    repeat_readings,
    scuff_feet_per_mile,
    toe_against_spec,
    toe_drift,
)

__all__ = [
    "LegalToe", "Repeat", "ToeAgainstSpec", "ToeDrift", "ToeFigures", "ackermann_outer_degrees",
    "legal_toe", "longer_link_turns_wheel_right", "repeat_readings", "scuff_feet_per_mile",
    "toe_against_spec", "toe_angle_degrees", "toe_at_span", "toe_drift", "toe_figures",
    "toe_from_angle", "toe_from_widths", "toe_mean", "turn_direction", "turns_for_toe",
    "turns_to_centre_wheel",
]  # fmt: skip

_INCH = 0.0254


def toe_from_widths(rear: float, front: float) -> float:
    """Compute total toe from the widths behind and in front of the tires.

    Parameters
    ----------
    rear, front : float
        Distance between the same marks on both treads, read behind and, rolled ahead half a
        turn, in front; metres.

    Returns
    -------
    float
        Total toe of both wheels, metres; positive when the fronts are nearer (toe-in).

    Examples
    --------
    >>> round(toe_from_widths(1.1763375, 1.17475), 7)
    0.0015875
    """
    return _finite(rear, "rear") - _finite(front, "front")


def toe_angle_degrees(toe: float, span: float) -> float:
    """Turn total toe into the total angle between the wheels.

    Parameters
    ----------
    toe : float
        Total toe, metres, toe-in positive.
    span : float
        Distance between the two points measured on one tire, metres (the tread diameter when
        the marks are at hub height); it has to be said, as toe in millimeters means nothing
        without it.

    Returns
    -------
    float
        Degrees, both wheels together: ``2 asin(toe / (2 span))``.

    Raises
    ------
    ValueError
        If `span` is not above zero, or the toe is larger than two spans.

    Notes
    -----
    For one wheel ``x = span sin(toe angle)``; a solid axle with one tie rod shares total toe
    evenly only by where the steering wheel is centered, so only the total is computed.

    Examples
    --------
    >>> round(toe_angle_degrees(0.003, 0.6875), 4)
    0.25
    """
    if not (math.isfinite(span) and span > 0):
        raise ValueError("span must be finite and above zero")
    share = _finite(toe, "toe") / (2 * span)
    if abs(share) > 1:
        raise ValueError("toe is larger than two spans")
    return math.degrees(2 * math.asin(share))


def toe_from_angle(degrees: float, span: float) -> float:
    """Turn a total angle into total toe; `toe_angle_degrees` the other way round.

    Parameters
    ----------
    degrees : float
        Both wheels together. A figure for one wheel is doubled first: a factor of two is the
        usual slip.
    span : float
        Metres.

    Raises
    ------
    ValueError
        If `span` is not above zero, or the angle is not within half a turn.

    Examples
    --------
    The convention that 2 degrees in all are an inch stands for a span of 28.64 in:

    >>> round(toe_from_angle(2.0, 28.64 * 0.0254) / 0.0254, 3)
    1.0
    """
    if not (math.isfinite(span) and span > 0):
        raise ValueError("span must be finite and above zero")
    if abs(_finite(degrees, "degrees")) > _HALF_TURN:
        raise ValueError("degrees must be within half a turn")
    return 2 * span * math.sin(math.radians(degrees) / 2)


_HALF_TURN = 180.0


def toe_at_span(toe: float, span: float, other_span: float) -> float:
    """Return the same toe as it would be read over another span (rim, tread, a rack's figure).

    >>> round(toe_at_span(0.003, 0.6, 0.8), 6)
    0.004
    """
    return toe_from_angle(toe_angle_degrees(toe, span), other_span)


@dataclass(frozen=True, slots=True)
class ToeFigures:
    """One total toe in every way that people write it, over the span it was measured at."""

    inches: float
    millimetres: float
    degrees: float
    degrees_per_wheel: float


def toe_figures(toe: float, span: float) -> ToeFigures:
    """Write total toe in inches, millimetres, degrees in all and degrees for one wheel.

    Parameters
    ----------
    toe, span : float
        Metres.

    Examples
    --------
    >>> round(toe_figures(0.0254 / 8, 26 * 0.0254).degrees_per_wheel, 3)
    0.138
    """
    degrees = toe_angle_degrees(toe, span)
    return ToeFigures(toe / _INCH, toe * 1000, degrees, degrees / 2)


def ackermann_outer_degrees(
    inner: ArrayLike, track: float, wheelbase: float
) -> NDArray[np.float64]:
    """Compute the outer wheel's angle in a turn where all wheels roll about one center.

    Parameters
    ----------
    inner : array_like
        Angle of the inner wheel, degrees, above 0 and below 90.
    track, wheelbase : float
        Between the steering axes at the ground, and between the axles, metres.

    Returns
    -------
    ndarray
        Degrees.

    Notes
    -----
    ``cot(outer) - cot(inner) = track / wheelbase``, a textbook's relation. Trucks are built off
    it on purpose: a difference between left and right locks tells of a bent arm, not this.

    Examples
    --------
    >>> float(ackermann_outer_degrees(20, 1.73, 3.55).round(3))
    17.178
    """
    angle = np.radians(np.asarray(inner, dtype=float))
    if not (np.all(angle > 0) and np.all(angle < np.pi / 2)):
        raise ValueError("inner must be above 0 and below 90 degrees")
    if not (0 < track < math.inf and 0 < wheelbase < math.inf):
        raise ValueError("track and wheelbase must be finite and above zero")
    return np.asarray(np.degrees(np.arctan2(1.0, 1.0 / np.tan(angle) + track / wheelbase)))


def toe_mean(readings: Sequence[float]) -> float:
    """Average toe readings taken again with the vehicle rolled ahead.

    Parameters
    ----------
    readings : sequence of float
        Total toe, metres, toe-in positive; at least one.

    Raises
    ------
    ValueError
        If there is none, or one is not finite.

    Examples
    --------
    >>> toe_mean([0.001, 0.002])
    0.0015
    """
    if not readings:
        raise ValueError("readings must hold at least one")
    return math.fsum(_finite(reading, "readings") for reading in readings) / len(readings)


def _finite(value: float, name: str) -> float:
    if not math.isfinite(value):
        raise ValueError(f"{name} must be finite")
    return value
