"""Turns of a sleeve: how many, and which way."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.calc.alignment import (
    longer_link_turns_wheel_right,
    turn_direction,
    turns_for_toe,
    turns_to_centre_wheel,
)

INCH = 0.0254
LEAD = INCH / 18
changes = st.floats(-0.02, 0.02)
spans = st.floats(0.4, 1.2)
arms = st.floats(0.1, 0.3)
leads = st.floats(0.001, 0.002)


@given(changes, spans, arms, leads, leads, st.booleans())
def test_turning_back_undoes_it_and_ahead_mirrors_behind(
    change: float, span: float, arm: float, left: float, right: float, ahead: bool
) -> None:
    turns = turns_for_toe(change, span, arm, left, right, ahead)
    assert turns_for_toe(-change, span, arm, left, right, ahead) == -turns
    assert turns_for_toe(change, span, arm, left, right, not ahead) == -turns
    assert turns_for_toe(change, span, arm, right, left, ahead) == pytest.approx(turns)


@given(changes, spans, arms, leads, st.booleans())
def test_the_angle_of_both_wheels_moves_the_rod(
    change: float, span: float, arm: float, lead: float, ahead: bool
) -> None:
    """Another way: each wheel turns by half the angle about its steering axis."""
    longer = turns_for_toe(change, span, arm, lead, lead, ahead) * 2 * lead
    each = math.asin(change / (2 * span))
    assert longer == pytest.approx((-1 if ahead else 1) * 2 * arm * math.sin(each), abs=1e-12)


def test_one_thread_takes_twice_the_turns_of_two() -> None:
    both = turns_for_toe(INCH / 16, 29 * INCH, 7 * INCH, LEAD, LEAD, False)
    one = turns_for_toe(INCH / 16, 29 * INCH, 7 * INCH, 0, LEAD, False)
    assert one == pytest.approx(2 * both)


def test_two_right_hand_threads_of_unlike_pitch_work_by_their_difference() -> None:
    turns = turns_for_toe(INCH / 16, 29 * INCH, 7 * INCH, -LEAD, 2 * LEAD, False)
    assert turns == pytest.approx(2 * 0.1358, abs=0.001)
    assert turn_direction(turns, -LEAD, 2 * LEAD) == "clockwise"
    assert turn_direction(turns, LEAD, -2 * LEAD) == "counterclockwise"
    with pytest.raises(ValueError, match="cancel"):
        turns_for_toe(INCH / 16, 29 * INCH, 7 * INCH, LEAD, -LEAD, False)


@given(changes, st.booleans())
def test_clockwise_from_the_right_hand_end_lengthens(change: float, ahead: bool) -> None:
    turns = turns_for_toe(change, 0.7, 0.18, LEAD, LEAD, ahead)
    way = turn_direction(turns, LEAD, LEAD)
    assert way == ("none" if turns == 0 else "clockwise" if turns > 0 else "counterclockwise")


def test_more_toe_in_is_a_longer_rod_behind_the_axle_and_a_shorter_one_ahead() -> None:
    assert turns_for_toe(0.002, 0.7, 0.18, LEAD, LEAD, tie_rod_ahead_of_axle=False) > 0
    assert turns_for_toe(0.002, 0.7, 0.18, LEAD, LEAD, tie_rod_ahead_of_axle=True) < 0


@given(st.floats(-60, 60), st.floats(8, 24), arms, leads, st.booleans())
def test_a_wheel_off_to_the_other_side_takes_the_other_way(
    degrees: float, ratio: float, arm: float, lead: float, right: bool
) -> None:
    turns = turns_to_centre_wheel(degrees, ratio, arm, lead, lead, right)
    assert turns_to_centre_wheel(-degrees, ratio, arm, lead, lead, right) == -turns
    assert turns_to_centre_wheel(degrees, ratio, arm, lead, lead, not right) == -turns
    assert turns * degrees * (1 if right else -1) <= 0


def test_ten_degrees_of_wheel_computed() -> None:
    """10 degrees over 15 to 1 at a 6 in arm: 0.0698 in, by 1/9 in a turn."""
    turns = turns_to_centre_wheel(10, 15, 6 * INCH, LEAD, LEAD, False)
    assert turns == pytest.approx(0.628, abs=0.001)


def test_which_way_a_longer_link_across_the_vehicle_turns_the_wheel() -> None:
    assert longer_link_turns_wheel_right("left", arm_ahead_of_axle=False)
    assert not longer_link_turns_wheel_right("left", arm_ahead_of_axle=True)
    assert not longer_link_turns_wheel_right("right", arm_ahead_of_axle=False)
    assert longer_link_turns_wheel_right("right", arm_ahead_of_axle=True)
    with pytest.raises(ValueError, match="gear_side"):
        longer_link_turns_wheel_right("middle", arm_ahead_of_axle=True)


def test_figures_that_make_no_sense_are_refused() -> None:
    for span in (0, math.nan, -1):
        with pytest.raises(ValueError, match="span"):
            turns_for_toe(0.001, span, 0.18, LEAD, LEAD, False)
    with pytest.raises(ValueError, match="steering_arm"):
        turns_for_toe(0.001, 0.7, 0, LEAD, LEAD, False)
    for change in (math.nan, 1.6):
        with pytest.raises(ValueError, match="change"):
            turns_for_toe(change, 0.7, 0.18, LEAD, LEAD, False)
    with pytest.raises(ValueError, match="gear_ratio"):
        turns_to_centre_wheel(10, 0, 0.15, LEAD, LEAD, True)
    for degrees in (361, math.nan):
        with pytest.raises(ValueError, match="degrees_off"):
            turns_to_centre_wheel(degrees, 15, 0.15, LEAD, LEAD, True)
