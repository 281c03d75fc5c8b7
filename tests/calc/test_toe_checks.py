"""Toe judged: spread, spec, law, drift; and toe written in other ways."""

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.calc.alignment import (
    ackermann_outer_degrees,
    legal_toe,
    repeat_readings,
    scuff_feet_per_mile,
    toe_against_spec,
    toe_angle_degrees,
    toe_at_span,
    toe_drift,
    toe_figures,
    toe_from_angle,
)
from fleet.calc.limits import Answer

SIXTEENTH = 0.0254 / 16
toes = st.floats(-0.02, 0.02)
spans = st.floats(0.4, 1.2)


@given(toes, toes)
def test_drift_there_and_back_is_nothing(one: float, other: float) -> None:
    there, back = toe_drift(one, other, SIXTEENTH), toe_drift(other, one, SIXTEENTH)
    assert there.change == -back.change
    assert there.beyond_doubt == back.beyond_doubt == (there.towards != "")


@pytest.mark.parametrize(
    ("steps", "towards"), [(0, ""), (1, ""), (2, ""), (3, "in"), (-2, ""), (-3, "out")]
)
def test_drift_is_told_beyond_two_steps_of_the_tape(steps: int, towards: str) -> None:
    """Four readings, each off by up to half a step."""
    found = toe_drift(SIXTEENTH, SIXTEENTH * (1 + steps), SIXTEENTH)
    assert found.towards == towards


@given(st.lists(toes, min_size=1, max_size=6), toes)
def test_the_correction_leads_from_the_mean_to_the_target(
    readings: list[float], target: float
) -> None:
    found = repeat_readings(readings, target)
    assert found.correction is not None
    assert found.mean + found.correction == pytest.approx(target, abs=1e-12)
    assert found.spread >= 0
    assert repeat_readings(readings[::-1], target).warning == found.warning


@pytest.mark.parametrize(
    ("readings", "target", "warning"),
    [
        pytest.param([2, 2, 3], 10, "", id="the correction stands out"),
        pytest.param([1, 2, 3], 4, "spread_as_large", id="the spread is as large"),
        pytest.param([0, 2, 4], 2, "spread_as_large", id="nothing to correct, much spread"),
        pytest.param([2, 2, 2], 2, "", id="nothing at all"),
        pytest.param([2], 10, "one_reading", id="one reading tells no spread"),
        pytest.param([1, 9, 3], None, "", id="no target"),
    ],
)
def test_a_warning_when_the_spread_is_as_large_as_the_correction(
    readings: list[int], target: int | None, warning: str
) -> None:
    wanted = None if target is None else target * SIXTEENTH
    assert repeat_readings([n * SIXTEENTH for n in readings], wanted).warning == warning


@given(toes, toes, toes)
def test_the_middle_of_the_range_is_in_spec(toe: float, one: float, other: float) -> None:
    low, high = sorted((one, other))
    found = toe_against_spec(toe, low, high)
    assert toe_against_spec(toe + found.to_middle, low, high).answer == "in_spec"
    if found.answer == "in_spec":
        assert found.outside == 0
    mirrored = toe_against_spec(-toe, -high, -low)
    assert mirrored.outside == -found.outside


@pytest.mark.parametrize(
    ("toe", "answer", "limit"),
    [
        pytest.param(3, Answer.INSIDE, 3, id="at one and a half times"),
        pytest.param(3.1, Answer.PAST, 3, id="past it"),
        pytest.param(0, Answer.INSIDE, 3, id="straight"),
        pytest.param(-1.5, Answer.INSIDE, 1.5, id="toe-out has a figure of its own"),
        pytest.param(-1.6, Answer.PAST, 1.5, id="toe-out past its own"),
    ],
)
def test_toe_against_the_law(toe: float, answer: Answer, limit: float) -> None:
    """49 CFR 570.7(d): at most 1.5 times the maker's figure, here -1/16 to 2/16 in."""
    found = legal_toe(toe * SIXTEENTH, -SIXTEENTH, 2 * SIXTEENTH)
    assert found.answer is answer
    assert found.limit == pytest.approx(limit * SIXTEENTH)
    assert found.citation == "49 CFR 570.7(d)"


def test_where_the_maker_lists_no_toe_out_no_limit_is_made_up() -> None:
    found = legal_toe(-SIXTEENTH, 0, 2 * SIXTEENTH)
    assert (found.answer, found.limit) == (Answer.NO_LIMIT, None)


@given(toes, spans, spans)
def test_toe_over_another_span_is_the_same_angle(toe: float, span: float, other: float) -> None:
    moved = toe_at_span(toe, span, other)
    assert toe_angle_degrees(moved, other) == pytest.approx(toe_angle_degrees(toe, span))
    assert toe_at_span(moved, other, span) == pytest.approx(toe)


@given(st.floats(-5, 5), spans)
def test_an_angle_is_read_back(degrees: float, span: float) -> None:
    toe = toe_from_angle(degrees, span)
    assert toe_angle_degrees(toe, span) == pytest.approx(degrees)
    assert toe_figures(toe, span).inches * 25.4 == pytest.approx(toe_figures(toe, span).millimetres)


@given(toes, st.floats(0.5, 1.1))
def test_a_scuff_reading_knows_no_unit(toe: float, diameter: float) -> None:
    metric = scuff_feet_per_mile(toe, diameter)
    assert scuff_feet_per_mile(toe / 0.0254, diameter / 0.0254) == pytest.approx(metric)
    assert scuff_feet_per_mile(-toe, diameter) == -metric


@given(st.floats(1, 40), st.floats(1.2, 2), st.floats(2.4, 5))
def test_the_outer_wheel_turns_less(inner: float, track: float, wheelbase: float) -> None:
    outer = float(ackermann_outer_degrees(inner, track, wheelbase))
    assert 0 < outer < inner
    cot = [1 / math.tan(math.radians(angle)) for angle in (outer, inner)]
    assert cot[0] - cot[1] == pytest.approx(track / wheelbase)
    assert ackermann_outer_degrees([inner, inner], track, wheelbase).shape == (2,)


@pytest.mark.parametrize(
    "call",
    [
        pytest.param(lambda: toe_drift(0, 0, 0), id="no resolution"),
        pytest.param(lambda: toe_drift(math.nan, 0, 0.001), id="no toe"),
        pytest.param(lambda: repeat_readings([]), id="no reading"),
        pytest.param(lambda: repeat_readings([math.inf]), id="reading not finite"),
        pytest.param(lambda: toe_against_spec(0, 1, 0), id="sides the wrong way round"),
        pytest.param(lambda: legal_toe(math.nan, 0, 1), id="legal, not finite"),
        pytest.param(lambda: scuff_feet_per_mile(0.001, 0), id="no diameter"),
        pytest.param(lambda: toe_from_angle(1, 0), id="no span"),
        pytest.param(lambda: toe_from_angle(181, 0.7), id="more than half a turn"),
        pytest.param(lambda: ackermann_outer_degrees(0, 1.7, 3.5), id="straight ahead"),
        pytest.param(lambda: ackermann_outer_degrees(20, np.nan, 3.5), id="no track"),
    ],
)
def test_figures_that_make_no_sense_are_refused(call: Callable[[], object]) -> None:
    with pytest.raises(ValueError, match="must"):
        call()
