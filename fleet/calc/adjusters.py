"""Turns of an adjuster: for toe on the tie rod, for a centered wheel on the drag link.

Lengths in metres. A lead is how far one turn of the sleeve moves one end out, positive when the
turn that is clockwise seen from the right-hand-thread end moves it out. A sleeve with a right-
and a left-hand thread has two positive leads, which add; two right-hand threads have leads of
opposite sign, and the sleeve moves by their difference; an end that does not turn has lead 0.
"""

import math

#: Toe larger than this is a slip of the tape, not toe.
MOST_TOE = 0.5


def turns_for_toe(
    change: float,
    span: float,
    steering_arm: float,
    lead_left: float,
    lead_right: float,
    tie_rod_ahead_of_axle: bool,
) -> float:
    """Compute how many turns of the tie rod's sleeve change total toe by so much.

    Parameters
    ----------
    change : float
        Wanted change of total toe, metres, toe-in positive.
    span : float
        Distance between the two points measured on one tire, metres.
    steering_arm : float
        Perpendicular distance from the steering axis to the line of the tie rod, metres.
    lead_left, lead_right : float
        Signed, metres a turn, see the module.
    tie_rod_ahead_of_axle : bool
        Behind the axle a longer rod is toe-in; ahead of it, toe-out.

    Returns
    -------
    float
        Turns, positive lengthens the rod. Which way that is: `turn_direction`.

    Raises
    ------
    ValueError
        If a length is not above zero, a figure not finite, or the leads cancel.

    Notes
    -----
    Each wheel takes half the change, so the rod changes by ``steering_arm * change / span``. No
    worked example of this was found published; the one below is computed. Measure again after
    turning: play and a rolled tire are not in the sum.

    Examples
    --------
    Arm 7 in, span 29 in, leads 1/18 in each, 1/16 in more toe-in, rod behind the axle:

    >>> inch = 0.0254
    >>> turns = turns_for_toe(inch / 16, 29 * inch, 7 * inch, inch / 18, inch / 18, False)
    >>> round(turns, 3), turn_direction(turns, inch / 18, inch / 18)
    (0.136, 'clockwise')
    """
    _positive(span, "span")
    _positive(steering_arm, "steering_arm")
    if not abs(change) <= MOST_TOE:
        raise ValueError(f"change must be in metres, at most {MOST_TOE} either way")
    longer = steering_arm * change / span
    return (-longer if tie_rod_ahead_of_axle else longer) / _lead(lead_left, lead_right)


def turn_direction(turns: float, lead_left: float, lead_right: float) -> str:
    """Say which way a sleeve is turned, seen from the end with the right-hand thread.

    Parameters
    ----------
    turns : float
        Signed, positive lengthens.
    lead_left, lead_right : float
        As given to the function that made `turns`. With two right-hand threads, seen from the
        end whose lead is the positive one.

    Returns
    -------
    {"clockwise", "counterclockwise", "none"}

    Notes
    -----
    Clockwise, seen from the right-hand-thread end, screws the sleeve off both ends: longer. That
    holds whichever side of the vehicle that end is on.

    Examples
    --------
    >>> turn_direction(-0.5, 0.0014, 0.0014)
    'counterclockwise'
    """
    _lead(lead_left, lead_right)
    if turns == 0:
        return "none"
    clockwise = (turns > 0) == (lead_left + lead_right > 0)
    return "clockwise" if clockwise else "counterclockwise"


def turns_to_centre_wheel(
    degrees_off: float,
    gear_ratio: float,
    pitman_arm: float,
    lead_left: float,
    lead_right: float,
    longer_turns_wheel_right: bool,
) -> float:
    """Compute how many turns of the drag link's sleeve bring the steering wheel to center.

    Parameters
    ----------
    degrees_off : float
        How far the steering wheel stands turned to the right (clockwise) with the truck running
        straight; negative to the left.
    gear_ratio : float
        Degrees of steering wheel for one of the Pitman arm.
    pitman_arm : float
        From the sector shaft to the drag link, metres, perpendicular to the link.
    lead_left, lead_right : float
        Signed, metres a turn, see the module; for a fore-and-aft link, of its two ends.
    longer_turns_wheel_right : bool
        Whether, road wheels held, a longer link turns the steering wheel to the right:
        `longer_link_turns_wheel_right` for a link across the vehicle, else a look at it.

    Returns
    -------
    float
        Turns, positive lengthens the link. Which way that is: `turn_direction`.

    Raises
    ------
    ValueError
        If a length or the ratio is not above zero, the leads cancel, or the wheel is more than a
        turn off: then the gear is not on its center, or something is bent.

    Notes
    -----
    The gear is set on its center first (turns lock to lock, halved), and the wheel's spline is
    not moved to hide the rest. Where the tie rod joins the drag link, toe changes with it: read
    it again. The numbers are derived here; no published example was found.

    Examples
    --------
    >>> round(turns_to_centre_wheel(10, 15, 0.1524, 0.0014, 0.0014, True), 2)
    -0.63
    """
    _positive(gear_ratio, "gear_ratio")
    _positive(pitman_arm, "pitman_arm")
    if not abs(degrees_off) <= _MOST_OFF:
        raise ValueError("degrees_off must be finite, at most a turn either way")
    angle = math.radians(degrees_off / gear_ratio)
    longer = pitman_arm * math.sin(angle)
    signed = -longer if longer_turns_wheel_right else longer
    return signed / _lead(lead_left, lead_right)


_MOST_OFF = 360.0


def longer_link_turns_wheel_right(gear_side: str, arm_ahead_of_axle: bool) -> bool:
    """Return which way a longer drag link across the vehicle turns the steering wheel.

    Parameters
    ----------
    gear_side : {"left", "right"}
        Where the Pitman arm stands, from the driver's seat; the link runs to the other side.
    arm_ahead_of_axle : bool
        Where the knuckle's arm (or the tie rod that the link joins) stands.

    Notes
    -----
    Derived: from a gear on the left, a link that is pushed (to the right) at an arm behind the
    axle steers left. A longer link, road wheels held, pushes the Pitman arm the other way: the
    steering wheel goes right. Each of the two turned about turns the answer about.

    Examples
    --------
    >>> longer_link_turns_wheel_right("left", arm_ahead_of_axle=False)
    True
    """
    if gear_side not in ("left", "right"):
        raise ValueError("gear_side must be 'left' or 'right'")
    return (gear_side == "left") != arm_ahead_of_axle


def _positive(value: float, name: str) -> None:
    if not (math.isfinite(value) and value > 0):
        raise ValueError(f"{name} must be finite and above zero")


def _lead(left: float, right: float) -> float:
    """Metres a turn, above zero: turns are counted in the direction that lengthens."""
    total = abs(left + right)
    if not math.isfinite(total) or total <= _NO_LEAD:
        raise ValueError("lead_left and lead_right must be finite and not cancel")
    return total


#: Finer than any thread: equal leads of one hand move nothing.
_NO_LEAD = 1e-6
