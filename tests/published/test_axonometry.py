"""The projection against worked examples of orthographic axonometry.

ISO 5456-3 (Technical drawings, projection methods, axonometric representations): from memory,
unverified. The isometric figures follow from the geometry alone and are worked out by hand beside
each check.
"""

import math

import numpy as np
import pytest

from fleet.calc.axonometry import View, project

ISOMETRIC = View(45.0, math.degrees(math.asin(1 / math.sqrt(3))))
LEFT, FORWARD, UP = np.eye(3)


def test_isometric_edges_are_alike_and_thirty_degrees_off_level() -> None:
    # Shortened to the square root of 2/3 (0.816); the two level edges fall 30 degrees.
    across, down, _near = project(np.eye(3), ISOMETRIC).T
    assert np.hypot(across, down) == pytest.approx([math.sqrt(2 / 3)] * 3)
    assert np.degrees(np.arctan2(down[:2], np.abs(across[:2]))) == pytest.approx([30, 30])
    assert (across[2], down[2]) == pytest.approx((0, -math.sqrt(2 / 3)))


def test_squares_of_the_three_shortenings_add_up_to_two() -> None:
    # A law of every orthographic axonometry.
    flat = project(np.eye(3), View(17.0, 28.0))[:, :2]
    assert (flat**2).sum() == pytest.approx(2)


def test_a_point_worked_by_hand() -> None:
    # Azimuth 30, elevation 30; the point 100 left, 200 forward, 50 up:
    # across = 100 cos 30 - 200 sin 30 = 86.60 - 100 = -13.40
    # down = (100 sin 30 + 200 cos 30) sin 30 - 50 cos 30 = 223.21 / 2 - 43.30 = 68.30
    # near = 223.21 cos 30 + 50 sin 30 = 193.30 + 25 = 218.30
    seen = project(np.array([[100.0, 200.0, 50.0]]), View(30.0, 30.0))[0]
    assert seen == pytest.approx([-13.397, 68.301, 218.301], abs=0.001)


@pytest.mark.parametrize(
    ("view", "point", "seen"),
    [
        (View(0, 0), LEFT, (1, 0, 0)),  # from ahead its left is on the right of the picture
        (View(0, 0), UP, (0, -1, 0)),
        (View(0, 0), FORWARD, (0, 0, 1)),
        (View(0, 90), FORWARD, (0, 1, 0)),  # from straight above forward is down the picture
        (View(0, 90), UP, (0, 0, 1)),
        (View(90, 0), FORWARD, (-1, 0, 0)),
    ],
)
def test_the_plain_views(view: View, point: np.ndarray, seen: tuple[int, int, int]) -> None:
    assert project(point[None], view)[0] == pytest.approx(seen, abs=1e-12)
