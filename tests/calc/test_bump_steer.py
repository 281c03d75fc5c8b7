"""Bump steer from drag link and track bar at ride height."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.calc.bump_steer import Link, bump_steer

BAR = Link((-0.40, 0.62), (0.45, 0.55))
ALIKE = Link((-0.38, 0.52), (0.47, 0.45))
DROPPED = Link((-0.38, 0.64), (0.47, 0.45))
places = st.floats(-0.3, 0.3)
links = st.builds(
    lambda y, z, across, fall: Link((y, z), (y + across, z - fall)),
    places, places, st.floats(0.5, 1.1) | st.floats(-1.1, -0.5), st.floats(-0.2, 0.2),
)  # fmt: skip


@given(links, places, places)
def test_parallel_links_of_one_length_never_steer(link: Link, across: float, up: float) -> None:
    moved = Link(
        (link.frame[0] + across, link.frame[1] + up), (link.axle[0] + across, link.axle[1] + up)
    )
    found = bump_steer(link, moved, steering_arm=0.18)
    assert found.mismatch == pytest.approx(0, abs=1e-12)
    assert found.verdict == "alike"
    assert found.angle_between == pytest.approx(0, abs=1e-9)
    assert found.length_ratio == pytest.approx(1)


@given(links, links)
def test_nothing_steers_at_ride_height(drag: Link, bar: Link) -> None:
    assert bump_steer(drag, bar, 0.0).mismatch == pytest.approx(0, abs=1e-12)


@given(links, links)
def test_a_vehicle_seen_in_a_mirror_steers_the_other_way(drag: Link, bar: Link) -> None:
    def mirrored(link: Link) -> Link:
        return Link((-link.frame[0], link.frame[1]), (-link.axle[0], link.axle[1]))

    here = bump_steer(drag, bar, steering_arm=0.3)
    there = bump_steer(mirrored(drag), mirrored(bar), steering_arm=0.3)
    assert here.steer_degrees is not None
    assert there.steer_degrees is not None
    assert there.steer_degrees == pytest.approx(-here.steer_degrees, abs=1e-9)
    assert there.largest == pytest.approx(here.largest)


@given(links, st.floats(-0.07, 0.07))
def test_each_link_keeps_its_length(link: Link, travel: float) -> None:
    """The track bar's axle end stays on its circle about the frame end."""
    shift = float(bump_steer(ALIKE, link, travel).axle_shift[0])
    across = link.axle[0] + shift - link.frame[0]
    up = link.axle[1] + travel - link.frame[1]
    assert math.hypot(across, up) == pytest.approx(link.length)


def test_a_drop_arm_without_a_matching_bracket_steers_over_bumps() -> None:
    """Common practice, no source: a drop arm alone steers over bumps."""
    assert bump_steer(ALIKE, BAR).verdict == "alike"
    found = bump_steer(DROPPED, BAR, steering_arm=0.18)
    assert found.verdict == "steers_over_bumps"
    assert found.angle_between == pytest.approx(7.9, abs=0.1)
    assert found.largest > 0.008


def test_small_travel_steers_by_the_difference_of_the_slopes() -> None:
    """First order, by hand: a link falls away by its slope times the travel."""
    found = bump_steer(DROPPED, BAR, [0.001])
    assert found.mismatch[0] == pytest.approx(0.001 * (0.19 - 0.07) / 0.85, rel=0.02)


def test_the_signs_of_steer_and_wheel() -> None:
    """A bump pushes the far end to the right: behind the axle that steers left, ahead right."""
    travel = np.array([0.05])
    behind = bump_steer(DROPPED, BAR, travel, steering_arm=0.18, pitman_arm=0.15, gear_ratio=15)
    ahead = bump_steer(
        DROPPED, BAR, travel, steering_arm=0.18, arm_ahead_of_axle=True,
        pitman_arm=0.15, gear_ratio=15,
    )  # fmt: skip
    assert behind.mismatch[0] > 0
    assert behind.steer_degrees is not None
    assert behind.wheel_degrees is not None
    assert ahead.steer_degrees is not None
    assert behind.steer_degrees[0] < 0 < behind.wheel_degrees[0]
    assert ahead.steer_degrees[0] == -behind.steer_degrees[0]
    assert bump_steer(DROPPED, BAR).steer_degrees is None


def test_figures_that_make_no_sense_are_refused() -> None:
    with pytest.raises(ValueError, match="across"):
        bump_steer(Link((0, 0.6), (0, 0.2)), BAR)
    with pytest.raises(ValueError, match="follow"):
        bump_steer(ALIKE, BAR, 1.2)
    with pytest.raises(ValueError, match="travel"):
        bump_steer(ALIKE, BAR, [])
    with pytest.raises(ValueError, match="travel"):
        bump_steer(ALIKE, BAR, math.nan)
    with pytest.raises(ValueError, match="steering_arm"):
        bump_steer(ALIKE, BAR, steering_arm=0)
    with pytest.raises(ValueError, match="arm is shorter"):
        bump_steer(DROPPED, BAR, steering_arm=0.001)
