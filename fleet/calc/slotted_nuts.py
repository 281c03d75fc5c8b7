"""A slotted nut whose slot misses the pin hole: on to the next slot, never back, never past.

References
----------
FAA AC 43.13-1B p. 7-7 (as quoted: exceeding the maximum torque is not recommended; change washer
or nut and try again) and a service manual's general section (from the low side on, never above
the high side). Other pages advise backing off or tightening past it: not followed here.
"""

import math
from dataclasses import dataclass

FEWEST_SLOTS, MOST_SLOTS = 4, 12
#: A pin goes in when the slot stands this near (own): a thirtieth of a six-slot nut's step.
ALIGNED_DEGREES = 2.0
_CIRCLE = 360.0
#: A figure typed in lbf·ft and kept in N·m: rounding is no torque.
_SAME = 1e-6

#: Why no turn is given, by stable code, and what is done instead.
REFUSALS: dict[str, str] = {
    "adjusting_nut": "a wheel-bearing nut is seated, backed off and locked; never on to a slot",
    "tapered_shaft": "a Pitman-arm nut's figure and lock are the maker's; never on to a slot here",
    "not_slotted": "this fastener has no slotted nut",
    "hole_above_slots": "the pin hole stands above the slots: worn taper or wrong part on a stud; "
    "on a straight bolt another washer",
    "below_low_side": "tighten to the low side first",
    "past_high_side": "already past the high side: never backed off, the fastener is replaced",
    "no_slot_in_range": "no slot lines up within the range: another washer or nut on a straight "
    "bolt; on a tapered stud no washer unless the maker says so",
    "one_figure": "the maker gives one figure and does not say to tighten on",
}


@dataclass(frozen=True, slots=True)
class SlotTurn:
    """How far to turn a slotted nut on, watching the wrench.

    Attributes
    ----------
    degrees : float
        On, in the tightening direction; 0 where the pin goes in as it is.
    up_to : float or None
        The wrench must not pass this on the way, newton metres: stop, and it is refused. None
        for a single figure, where the degrees are the limit.
    record_degrees : bool
        Whether the degrees turned past a single figure have to be written down.
    """

    degrees: float
    up_to: float | None
    record_degrees: bool


@dataclass(frozen=True, slots=True)
class SlotRefused:
    """No turn is given; `code` is a key of `REFUSALS`, stable, to translate by."""

    code: str

    @property
    def reason(self) -> str:
        """Plain words."""
        return REFUSALS[self.code]


def degrees_to_next_slot(hole: float, slot: float, slots: int) -> float:
    """Return how far a nut must go on until a slot meets the pin hole.

    Parameters
    ----------
    hole, slot : float
        Where the hole and any one slot stand, degrees clockwise from a mark, seen facing the
        nut (a right-hand thread tightens clockwise).
    slots : int
        Slots around the nut, even, as the pin goes through two; a property of the nut.

    Returns
    -------
    float
        Degrees, from 0 up to one step (360 / `slots`), never back.

    Examples
    --------
    >>> degrees_to_next_slot(10, 350, 6), degrees_to_next_slot(350, 10, 6)
    (20.0, 40.0)
    """
    step = _step(slots)
    if not (math.isfinite(hole) and math.isfinite(slot)):
        raise ValueError("hole and slot must be finite")
    degrees = (hole - slot) % step
    return 0.0 if step - degrees < _SAME else degrees


def _step(slots: int) -> float:
    if slots % 2 or not FEWEST_SLOTS <= slots <= MOST_SLOTS:
        raise ValueError(f"slots must be even, {FEWEST_SLOTS} to {MOST_SLOTS}")
    return _CIRCLE / slots


def slotted_nut_turn(
    slots: int,
    degrees_to_next: float,
    torque_now: float,
    low: float,
    high: float | None = None,
    *,
    held_by: str = "slotted_bolt",
    tighten_on: bool = False,
    hole_above_slots: bool = False,
    torque_per_degree: float | None = None,
) -> SlotTurn | SlotRefused:
    """Say how far on a slotted nut may be turned so that the pin goes in.

    Parameters
    ----------
    slots : int
        Slots around the nut.
    degrees_to_next : float
        To the next slot on, see `degrees_to_next_slot`.
    torque_now : float
        What the wrench reads, newton metres.
    low, high : float
        The spec; `high` None, or equal to `low`, for a single figure.
    held_by : str
        ``"slotted_bolt"`` (straight) or ``"slotted_stud"`` (tapered); all others are refused, a
        wheel-bearing nut (``"adjusting_nut"``) above all, and a Pitman arm's
        (``"tapered_shaft"``).
    tighten_on : bool
        With a single figure: whether the maker says to tighten on to the next slot.
    hole_above_slots : bool
        Whether the pin hole stands above the slots.
    torque_per_degree : float, optional
        How fast the torque rises there, newton metres a degree, if it was watched. A slot that
        the high side would be passed for is then refused beforehand; without it the wrench is
        watched on the way.

    Returns
    -------
    SlotTurn or SlotRefused
        Fails closed: where nothing is sure, it is refused.

    Examples
    --------
    >>> slotted_nut_turn(6, 20, 75, 70, 90)
    SlotTurn(degrees=20.0, up_to=90, record_degrees=False)
    >>> slotted_nut_turn(6, 20, 90, 70, 90).code
    'no_slot_in_range'
    >>> slotted_nut_turn(6, 20, 75, 75, tighten_on=True).record_degrees
    True
    """
    step = _step(slots)
    if not 0 <= degrees_to_next <= step:
        raise ValueError("degrees_to_next must lie between 0 and one step of the nut")
    if torque_per_degree is not None and not 0 <= torque_per_degree < math.inf:
        raise ValueError("torque_per_degree must be finite and not below zero")
    top = low if high is None else high
    if not (0 < low <= top < math.inf and math.isfinite(torque_now)):
        raise ValueError("the figures must be finite and above zero, the low side first")
    if code := _refused_outright(held_by, hole_above_slots) or _out_of_band(torque_now, low, top):
        return SlotRefused(code)
    degrees = float(degrees_to_next)
    if min(degrees, step - degrees) <= ALIGNED_DEGREES:
        return SlotTurn(0.0, top, record_degrees=False)
    if top - low <= _SAME:
        return (
            SlotTurn(degrees, None, record_degrees=True)
            if tighten_on
            else SlotRefused("one_figure")
        )
    return _within(degrees, torque_now, top, torque_per_degree)


def _refused_outright(held_by: str, hole_above_slots: bool) -> str:
    if held_by in ("adjusting_nut", "tapered_shaft"):
        return held_by
    if held_by not in ("slotted_bolt", "slotted_stud"):
        return "not_slotted"
    return "hole_above_slots" if hole_above_slots else ""


def _out_of_band(now: float, low: float, high: float) -> str:
    if now < low - _SAME:
        return "below_low_side"
    return "past_high_side" if now > high + _SAME else ""


def _within(degrees: float, now: float, high: float, rate: float | None) -> SlotTurn | SlotRefused:
    """On within a band: never past the high side, seen on the wrench or foreseen."""
    room = high - now
    if room <= _SAME or (rate is not None and degrees * rate > room + _SAME):
        return SlotRefused("no_slot_in_range")
    return SlotTurn(degrees, high, record_degrees=False)
