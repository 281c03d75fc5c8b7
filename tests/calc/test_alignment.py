"""Toe from tape readings."""

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.calc.alignment import toe_angle_degrees, toe_from_widths, toe_mean

toes = st.floats(-0.05, 0.05)
spans = st.floats(0.4, 1.2)


def test_wider_behind_than_in_front_is_toe_in() -> None:
    assert toe_from_widths(1.1763375, 1.17475) > 0
    assert toe_from_widths(1.17475, 1.1763375) < 0


@given(toes, spans)
def test_toe_out_is_the_mirror_of_toe_in(toe: float, span: float) -> None:
    assert toe_angle_degrees(-toe, span) == -toe_angle_degrees(toe, span)


@given(toes, spans)
def test_the_distance_comes_back_from_the_angle(toe: float, span: float) -> None:
    per_wheel = math.radians(toe_angle_degrees(toe, span)) / 2
    assert 2 * span * math.sin(per_wheel) == pytest.approx(toe, abs=1e-12)


@given(st.lists(toes, min_size=1, max_size=5))
def test_a_mean_lies_between_its_readings(readings: list[float]) -> None:
    assert min(readings) - 1e-15 <= toe_mean(readings) <= max(readings) + 1e-15


@pytest.mark.parametrize("value", [math.nan, math.inf])
@pytest.mark.parametrize(
    "call",
    [
        pytest.param(lambda value: toe_from_widths(value, 1.0), id="rear"),
        pytest.param(lambda value: toe_from_widths(1.0, value), id="front"),
        pytest.param(lambda value: toe_angle_degrees(value, 0.7), id="toe"),
        pytest.param(lambda value: toe_angle_degrees(0.001, value), id="span"),
        pytest.param(lambda value: toe_mean([0.001, value]), id="readings"),
    ],
)
def test_what_is_not_finite_is_refused(call: Callable[[float], float], value: float) -> None:
    with pytest.raises(ValueError, match="finite"):
        call(value)


def test_a_span_of_nothing_an_impossible_toe_and_no_reading_are_refused() -> None:
    with pytest.raises(ValueError, match="span"):
        toe_angle_degrees(0.001, 0)
    with pytest.raises(ValueError, match="two spans"):
        toe_angle_degrees(2, 0.7)
    with pytest.raises(ValueError, match="at least one"):
        toe_mean([])
