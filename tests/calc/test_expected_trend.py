"""Is a vehicle getting worse, or is it only looked at more often?"""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fleet.calc.clusters import expected_events, weibull_hazard
from fleet.calc.recurrence import expected_trend, laplace_trend

VEHICLES, JOINTS = 1500, 6


def checks_at(
    moments: np.ndarray, worse: float = 1.0
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Joints that loosen at a steady hazard, in the second half of the year `worse` times that."""
    rng = np.random.default_rng(2)
    since = np.diff(moments, prepend=0.0)
    due = expected_events(
        np.zeros(since.size), since, np.zeros(since.size, int), weibull_hazard([1.0], [3.0])
    )
    chance = np.where(moments > 0.5, 1 - (1 - due) ** worse, due)
    finds = rng.binomial(JOINTS, chance, (VEHICLES, due.size))
    unit = np.repeat(np.arange(VEHICLES), due.size)
    return unit, np.tile(moments, VEHICLES), np.tile(JOINTS * due, VEHICLES), finds.ravel()


# Every tenth of a year, and from the middle of the year on four times as often.
MORE_OFTEN = np.append(np.arange(1, 6) / 10, 0.5 + np.arange(1, 21) / 40)


def test_looking_more_often_is_no_worsening() -> None:
    found = expected_trend(*checks_at(MORE_OFTEN))
    told = found.p_worsening[np.isfinite(found.z)]
    assert told.size > 200
    assert 0.02 <= np.mean(told <= 0.05) <= 0.08
    # Checks counted as if each told the same: the finds seem to crowd into the second half.
    unit, _, _, finds = checks_at(MORE_OFTEN)
    number = np.tile(np.arange(1.0, 26.0), VEHICLES)
    by_check = laplace_trend(
        np.repeat(unit, finds), np.repeat(number, finds), np.full(VEHICLES, 25.0)
    )
    assert abs(by_check.z) > 5


def test_a_vehicle_that_gets_worse_is_seen() -> None:
    found = expected_trend(*checks_at(MORE_OFTEN, worse=6.0))
    told = found.p_worsening[np.isfinite(found.z)]
    assert np.mean(told <= 0.05) > 0.3


def test_fewer_than_four_finds_or_one_look_tell_nothing() -> None:
    found = expected_trend(
        [0, 0, 0, 0, 1, 1, 2], [1, 2, 3, 4, 1, 1, 5], np.full(7, 0.5), [1, 1, 1, 0, 4, 3, 0]
    )
    assert found.finds.tolist() == [3, 7, 0]
    assert np.isnan(found.z).all()
    assert np.isnan(found.p_worsening).all()


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 2**32 - 1), st.floats(0.01, 100))
def test_order_and_the_level_of_the_expectation_do_not_matter(seed: int, times: float) -> None:
    rng = np.random.default_rng(seed)
    unit, time = rng.integers(3, size=60), rng.integers(9, size=60).astype(float)
    due, found = rng.uniform(0.1, 1.0, 60), rng.integers(2, size=60)
    mixed = rng.permutation(60)
    one = expected_trend(unit, time, due, found)
    other = expected_trend(unit[mixed], time[mixed], due[mixed] * times, found[mixed])
    np.testing.assert_allclose(other.z, one.z, rtol=1e-9, atol=1e-12)


def test_finds_and_expectations_that_make_no_sense_are_refused() -> None:
    with pytest.raises(ValueError, match="below zero"):
        expected_trend([0], [1.0], [-1.0], [1])
    with pytest.raises(ValueError, match="whole numbers"):
        expected_trend([-1], [1.0], [1.0], [1])
    with pytest.raises(ValueError, match="one length"):
        expected_trend([0, 0], [1.0], [1.0], [1])
