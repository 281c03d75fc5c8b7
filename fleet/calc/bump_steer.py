"""How far an axle steers over bumps, from drag link and track bar at ride height.

Seen from behind, in the plane across the vehicle: y to the vehicle's right, z up, metres. The
frame ends stay, the axle ends go up (positive travel, a bump) and down with the axle. The track
bar swings the axle sideways on one circle, the drag link's end goes on another: where the two
differ, the axle steers, or the steering wheel is turned.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

#: Drag link's end off its place by more than this over the travel: it steers over bumps (own).
LIMIT = 0.003
#: Travel looked at where none is given: 75 mm each way (own).
TRAVEL = 0.075
_STEPS = 31


@dataclass(frozen=True, slots=True)
class Link:
    """A drag link or track bar at ride height, in the plane across the vehicle.

    Attributes
    ----------
    frame, axle : (float, float)
        (y, z) of its two joints, metres; the drag link's frame end is at the Pitman arm.
    """

    frame: tuple[float, float]
    axle: tuple[float, float]

    @property
    def length(self) -> float:
        """Length in the plane, metres."""
        return math.hypot(self.axle[0] - self.frame[0], self.axle[1] - self.frame[1])

    @property
    def angle_degrees(self) -> float:
        """Angle to the ground, positive when the frame end is the higher one.

        >>> round(Link((-0.4, 0.6), (0.5, 0.5)).angle_degrees, 2)
        6.34
        """
        fall = self.frame[1] - self.axle[1]
        return math.degrees(math.atan2(fall, abs(self.axle[0] - self.frame[0])))


def link_at_angle(length: float, degrees: float, frame_side: str = "left") -> Link:
    """Make a link from its length and its angle to the ground at ride height.

    Parameters
    ----------
    length : float
        Between the centers of its joints, metres, taken as lying in the plane.
    degrees : float
        To the ground, positive when the frame end is the higher one; under a right angle.
    frame_side : {"left", "right"}
        Where its frame end is.

    Raises
    ------
    ValueError
        If the length is not above zero or the link stands upright.

    Examples
    --------
    >>> round(link_at_angle(0.9, 12.0).angle_degrees, 6)
    12.0
    """
    if not 0 < length < math.inf:
        raise ValueError("length must be finite and above zero")
    if not abs(degrees) < _UPRIGHT:
        raise ValueError("degrees must be under a right angle")
    if frame_side not in ("left", "right"):
        raise ValueError("frame_side must be 'left' or 'right'")
    angle = math.radians(degrees)
    across = length * math.cos(angle) * (1 if frame_side == "left" else -1)
    return Link((0.0, 0.0), (across, -length * math.sin(angle)))


_UPRIGHT = 90.0


@dataclass(frozen=True, slots=True)
class BumpSteer:
    """Steering over bumps.

    Attributes
    ----------
    travel : ndarray
        Of the axle, metres, up positive.
    axle_shift : ndarray
        How far the track bar moves the axle to the right, metres.
    mismatch : ndarray
        How far the drag link moves its axle end to the right beside the axle, metres, steering
        wheel held.
    steer_degrees : ndarray or None
        What that steers the road wheels, to the right positive; with a steering arm.
    wheel_degrees : ndarray or None
        What the steering wheel turns if the road wheels are held, to the right positive, so
        against `steer_degrees`; with a Pitman arm and the gear's ratio as well.
    largest : float
        Of `mismatch`, without sign.
    angle_between : float
        Drag link less track bar, degrees at ride height.
    length_ratio : float
        Drag link to track bar.
    verdict : {"alike", "steers_over_bumps"}
        Stable; by `LIMIT` (own).
    """

    travel: Floats
    axle_shift: Floats
    mismatch: Floats
    steer_degrees: Floats | None
    wheel_degrees: Floats | None
    largest: float
    angle_between: float
    length_ratio: float
    verdict: str


def bump_steer(
    drag_link: Link,
    track_bar: Link,
    travel: ArrayLike | None = None,
    *,
    steering_arm: float | None = None,
    arm_ahead_of_axle: bool = False,
    pitman_arm: float | None = None,
    gear_ratio: float | None = None,
    limit: float = LIMIT,
) -> BumpSteer:
    """Compute how far the axle steers when it moves straight up and down.

    Parameters
    ----------
    drag_link, track_bar : Link
        At ride height.
    travel : array_like, optional
        Metres, up positive; 75 mm each way if not given.
    steering_arm : float, optional
        From the steering axis to the line of the drag link, metres.
    arm_ahead_of_axle : bool
        Where that arm stands: behind the axle, a push to the right steers left.
    pitman_arm, gear_ratio : float, optional
        Metres, and degrees of steering wheel for one of the Pitman arm.
    limit : float
        Mismatch from which it is said to steer, metres.

    Returns
    -------
    BumpSteer

    Raises
    ------
    ValueError
        If a link stands upright, the travel is more than a link can follow, or a length is not
        above zero.

    Notes
    -----
    On a lifted vehicle the two should be near parallel and alike in length (common practice, no
    source); a drop arm with no matching bracket steers over bumps and loads shaft and gear
    mounts. Two links alike in direction and length give exactly zero. Roll of the axle and give
    in the bushings are not in the sum.

    Examples
    --------
    >>> bar = Link((-0.40, 0.62), (0.45, 0.55))
    >>> bump_steer(Link((-0.38, 0.52), (0.47, 0.45)), bar).verdict
    'alike'
    >>> dropped = bump_steer(Link((-0.38, 0.64), (0.47, 0.45)), bar)
    >>> dropped.verdict, round(dropped.largest * 1000, 1)
    ('steers_over_bumps', 10.8)
    """
    up = _travel(travel)
    shift = _sideways(track_bar, up, "track_bar")
    mismatch = _sideways(drag_link, up, "drag_link") - shift
    for value, name in ((steering_arm, "steering_arm"), (pitman_arm, "pitman_arm"),
                        (gear_ratio, "gear_ratio"), (limit, "limit")):  # fmt: skip
        if value is not None and not 0 < value < math.inf:
            raise ValueError(f"{name} must be finite and above zero")
    rightwards = 1.0 if arm_ahead_of_axle else -1.0
    steer = rightwards * _angle(mismatch, steering_arm) if steering_arm else None
    wheel = None
    if steering_arm and pitman_arm and gear_ratio:
        wheel = -rightwards * gear_ratio * _angle(mismatch, pitman_arm)
    largest = float(np.max(np.abs(mismatch)))
    return BumpSteer(
        up,
        shift,
        mismatch,
        steer,
        wheel,
        largest,
        drag_link.angle_degrees - track_bar.angle_degrees,
        drag_link.length / track_bar.length,
        "steers_over_bumps" if largest > limit else "alike",
    )


def _travel(travel: ArrayLike | None) -> Floats:
    if travel is None:
        return np.linspace(-TRAVEL, TRAVEL, _STEPS)
    up = np.atleast_1d(np.asarray(travel, dtype=float))
    if up.size == 0 or not np.all(np.isfinite(up)):
        raise ValueError("travel must hold finite figures, at least one")
    return up


def _sideways(link: Link, up: Floats, name: str) -> Floats:
    """How far the axle end goes to the right on its circle about the frame end."""
    across, rise = link.axle[0] - link.frame[0], link.axle[1] - link.frame[1]
    if not (math.isfinite(across) and math.isfinite(rise)) or across == 0:
        raise ValueError(f"{name} must lie across the vehicle, its ends finite")
    left_over = across**2 + rise**2 - (rise + up) ** 2
    if np.any(left_over <= 0):
        raise ValueError(f"travel is more than {name} can follow")
    return np.asarray(math.copysign(1.0, across) * np.sqrt(left_over) - across)


def _angle(offset: Floats, arm: float) -> Floats:
    if np.any(np.abs(offset) >= arm):
        raise ValueError("the arm is shorter than the mismatch")
    return np.asarray(np.degrees(np.arcsin(offset / arm)))
