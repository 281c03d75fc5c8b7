"""Orthographic axonometry: a solid body seen along parallel lines, from one side and from above.

References
----------
ISO 5456-3, Technical drawings, projection methods, part 3: axonometric representations. From
memory, unverified.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]


@dataclass(frozen=True)
class View:
    """From where a vehicle is looked at.

    Parameters
    ----------
    azimuth_degrees
        How far the eye stands to the vehicle's left of straight ahead. 0 looks it in the face,
        90 looks at its left flank.
    elevation_degrees
        How far the eye stands above the level. 0 looks along the ground, 90 straight down.
    """

    azimuth_degrees: float
    elevation_degrees: float

    @cached_property
    def axes(self) -> Points:
        """Rows: one step across the picture, one step down it, one step toward the eye.

        Each is a unit vector in the vehicle's own directions: to its left, forward, up.
        """
        turn, lift = np.radians([self.azimuth_degrees, self.elevation_degrees])
        return np.array(
            [
                [np.cos(turn), -np.sin(turn), 0.0],
                [np.sin(turn) * np.sin(lift), np.cos(turn) * np.sin(lift), -np.cos(lift)],
                [np.sin(turn) * np.cos(lift), np.cos(turn) * np.cos(lift), np.sin(lift)],
            ]
        )


def project(points: Points, view: View) -> Points:
    """Put points of a body on the picture's plane.

    Parameters
    ----------
    points
        Shape (n, 3): to the vehicle's left, forward and up, all in one unit of length.

    Returns
    -------
    Shape (n, 3), in the same unit: across (to the right), down, and toward the eye. Of two points
    at one place of the picture the one with the larger third figure hides the other.

    Examples
    --------
    In the isometric view the three edges of a cube look alike: each is the square root of 2/3
    of its length.

    >>> edges = project(np.eye(3), View(45.0, np.degrees(np.arcsin(np.sqrt(1 / 3)))))
    >>> np.hypot(edges[:, 0], edges[:, 1]).round(4).tolist()
    [0.8165, 0.8165, 0.8165]
    """
    return np.asarray(points, dtype=float) @ view.axes.T
