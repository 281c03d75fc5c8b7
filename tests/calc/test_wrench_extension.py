"""A wrench with an extension in line: more at the fastener than the wrench says."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.calc.wrench_extension import torque_at_fastener, torque_to_set

torques = st.floats(0.1, 2000)
levers = st.floats(0.05, 2.5)
extensions = st.floats(0, 1)


@given(torques, levers)
def test_without_an_extension_the_wrench_says_what_comes_to_the_fastener(
    torque: float, lever: float
) -> None:
    assert torque_at_fastener(torque, lever, 0) == torque
    assert torque_to_set(torque, lever, 0) == torque


@given(torques, levers, extensions, st.floats(0.001, 1))
def test_a_longer_extension_gives_more_and_a_longer_wrench_less(
    torque: float, lever: float, extension: float, more: float
) -> None:
    here = torque_at_fastener(torque, lever, extension)
    assert here >= torque
    assert torque_at_fastener(torque, lever, extension + more) > here
    assert torque_at_fastener(torque, lever + more, extension) <= here
    assert torque_at_fastener(torque + more, lever, extension) > here


@given(torques, levers, extensions)
def test_setting_for_a_figure_gives_that_figure(
    wanted: float, lever: float, extension: float
) -> None:
    said = torque_to_set(wanted, lever, extension)
    assert torque_at_fastener(said, lever, extension) == pytest.approx(wanted)


@given(torques, levers, extensions, st.floats(0.01, 100))
def test_it_is_the_same_in_every_unit(
    torque: float, lever: float, extension: float, unit: float
) -> None:
    here = torque_at_fastener(torque, lever, extension)
    assert torque_at_fastener(torque, lever * unit, extension * unit) == pytest.approx(here)
    assert torque_at_fastener(torque * unit, lever, extension) == pytest.approx(here * unit)


@pytest.mark.parametrize(
    ("torque", "lever", "extension"),
    [
        pytest.param(-1, 0.4, 0.1, id="a torque below zero"),
        pytest.param(80, 0, 0.1, id="no lever"),
        pytest.param(80, -0.4, 0.1, id="a lever below zero"),
        pytest.param(80, 0.4, -0.1, id="an extension back over the handle"),
        pytest.param(math.nan, 0.4, 0.1, id="no torque"),
        pytest.param(80, math.inf, 0.1, id="a lever without end"),
        pytest.param(80, 0.4, math.nan, id="no extension"),
    ],
)
def test_what_makes_no_sense_is_refused(torque: float, lever: float, extension: float) -> None:
    for function in (torque_at_fastener, torque_to_set):
        with pytest.raises(ValueError, match="must"):
            function(torque, lever, extension)
