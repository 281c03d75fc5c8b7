"""Slotted nuts: on to the next slot, never back, never past, never a wheel-bearing nut."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.calc.slotted_nuts import (
    ALIGNED_DEGREES,
    REFUSALS,
    SlotRefused,
    SlotTurn,
    degrees_to_next_slot,
    slotted_nut_turn,
)

slot_counts = st.sampled_from([4, 6, 8, 10, 12])
angles = st.floats(-720, 720)


@given(angles, angles, slot_counts)
def test_the_turn_is_on_and_less_than_a_step(hole: float, slot: float, slots: int) -> None:
    degrees = degrees_to_next_slot(hole, slot, slots)
    assert 0 <= degrees < 360 / slots
    meets = (slot + degrees - hole) / (360 / slots)
    assert meets == pytest.approx(round(meets), abs=1e-6)


@given(angles, angles, slot_counts, st.integers(-12, 12))
def test_any_slot_may_be_the_one_that_is_read(
    hole: float, slot: float, slots: int, other: int
) -> None:
    step = 360 / slots
    one = degrees_to_next_slot(hole, slot, slots)
    another = degrees_to_next_slot(hole, slot + other * step, slots)
    assert min(abs(one - another), step - abs(one - another)) < 1e-5


@given(slot_counts, st.floats(0, 1), st.floats(0, 200), st.floats(1, 100), st.floats(0, 50),
       st.sampled_from(["slotted_bolt", "slotted_stud"]), st.booleans(),
       st.none() | st.floats(0, 5))  # fmt: skip
def test_never_back_and_never_past_the_high_side(
    slots: int, part: float, now: float, low: float, width: float, held_by: str, on: bool,
    rate: float | None,
) -> None:  # fmt: skip
    high, step = low + width, 360 / slots
    found = slotted_nut_turn(
        slots, part * step, now, low, high, held_by=held_by, tighten_on=on, torque_per_degree=rate
    )
    if isinstance(found, SlotRefused):
        assert found.reason == REFUSALS[found.code]
        return
    assert 0 <= found.degrees <= step
    assert low - 1e-6 <= now <= high + 1e-6
    if found.up_to is None:
        assert found.record_degrees
        assert on
        assert high - low < 1e-5
    elif found.degrees and rate is not None:
        assert now + rate * found.degrees <= high + 1e-5


def test_within_the_band_it_goes_on_under_the_wrench() -> None:
    assert slotted_nut_turn(6, 25, 80, 70, 90) == SlotTurn(25, 90, record_degrees=False)
    assert slotted_nut_turn(6, 25, 80, 70, 90, torque_per_degree=0.3) == SlotTurn(25, 90, False)


@pytest.mark.parametrize(
    ("now", "rate", "code"),
    [
        pytest.param(69, None, "below_low_side", id="not yet at the low side"),
        pytest.param(91, None, "past_high_side", id="past the high side is never backed off"),
        pytest.param(90, None, "no_slot_in_range", id="at the high side"),
        pytest.param(80, 0.5, "no_slot_in_range", id="the slot would be past it"),
    ],
)
def test_where_no_slot_lines_up_in_the_range_it_fails_closed(
    now: float, rate: float | None, code: str
) -> None:
    assert slotted_nut_turn(6, 25, now, 70, 90, torque_per_degree=rate) == SlotRefused(code)


@pytest.mark.parametrize("off", [0.0, ALIGNED_DEGREES, 60 - ALIGNED_DEGREES, 60.0])
def test_a_slot_that_stands_at_the_hole_takes_the_pin_as_it_is(off: float) -> None:
    for now in (70, 90):
        assert slotted_nut_turn(6, off, now, 70, 90) == SlotTurn(0, 90, record_degrees=False)


@pytest.mark.parametrize("high", [None, 75])
def test_a_single_figure_is_one_slot_at_most_with_its_degrees_if_the_maker_says_on(
    high: float | None,
) -> None:
    found = slotted_nut_turn(6, 40, 75, 75, high, held_by="slotted_stud", tighten_on=True)
    assert found == SlotTurn(40, None, record_degrees=True)
    assert slotted_nut_turn(6, 40, 75, 75, high) == SlotRefused("one_figure")
    past = slotted_nut_turn(6, 40, 76, 75, high, tighten_on=True)
    assert past == SlotRefused("past_high_side")


@pytest.mark.parametrize(
    ("held_by", "code"),
    [("adjusting_nut", "adjusting_nut"), ("bolt", "not_slotted"), ("stud_nuts", "not_slotted")],
)
def test_a_wheel_bearing_nut_is_never_taken_on_to_a_slot(held_by: str, code: str) -> None:
    for on in (False, True):
        found = slotted_nut_turn(6, 0, 80, 70, 90, held_by=held_by, tighten_on=on)
        assert found == SlotRefused(code)


def test_a_hole_above_the_slots_is_a_worn_taper_or_a_wrong_part() -> None:
    found = slotted_nut_turn(6, 0, 80, 70, 90, held_by="slotted_stud", hole_above_slots=True)
    assert found == SlotRefused("hole_above_slots")


def test_figures_that_make_no_sense_are_refused() -> None:
    for slots in (5, 2, 14):
        with pytest.raises(ValueError, match="even"):
            degrees_to_next_slot(0, 0, slots)
    for degrees in (-1, 61, math.nan):
        with pytest.raises(ValueError, match="degrees_to_next"):
            slotted_nut_turn(6, degrees, 80, 70, 90)
    with pytest.raises(ValueError, match="hole and slot"):
        degrees_to_next_slot(math.nan, 0, 6)
    with pytest.raises(ValueError, match="low side first"):
        slotted_nut_turn(6, 10, 80, 90, 70)
    with pytest.raises(ValueError, match="torque_per_degree"):
        slotted_nut_turn(6, 10, 80, 70, 90, torque_per_degree=-1)
