"""What is offered of an interval, and the curve it is read from."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.calc.holding import holding, steps
from fleet.calc.interval import recheck_interval
from fleet.calc.life_errors import LifeError
from fleet.calc.proposal import LONGEST_STEP, WORTH_IT, allowed_interval, offer_of
from fleet.calc.spells import Spells

# NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.1.3: ten failed, ten good at 500 h.
NIST_HOURS = [54, 187, 216, 240, 244, 335, 361, 373, 375, 386]
MILES = st.floats(5, 20_000)


def worn(many: int = 80, vehicles: int = 20) -> Spells:
    """Lives that wear (shape 1.8) between looks a hundred, six hundred and two thousand on."""
    lives = 3000 * np.random.default_rng(3).weibull(1.8, many)
    looks = np.array([0.0, 100.0, 600.0, 2000.0, math.inf])
    place = np.searchsorted(looks, lives)
    lower, upper = looks[place - 1], looks[place]
    told = (lower > 0) | np.isfinite(upper)
    return Spells(lower[told], upper[told], cluster=(np.arange(many) % vehicles)[told])


@pytest.mark.parametrize("age", [0.0, 100.0])
def test_the_lower_edge_of_the_band_meets_the_target_at_the_proposed_interval(age: float) -> None:
    spells = worn()
    found = recheck_interval(spells, 0.9, 0.9, age)
    drawn = holding(spells, found.value, 0.9, age, points=2)
    assert found.limited_by in ("profile", "resampled")
    # The widening for few vehicles is made on each figure's own log scale.
    assert drawn.low[-1] == pytest.approx(0.9, abs=2e-3)
    assert drawn.low[-1] < drawn.best[-1] < drawn.high[-1]


def test_the_steps_of_failures_known_exactly_are_kaplan_and_meier_s() -> None:
    """Of 20 units each failure takes a twentieth (NIST's ten, the rest still good)."""
    spells = Spells([*NIST_HOURS, 500], [*NIST_HOURS, math.inf], count=[1] * 10 + [10])
    told = steps(spells)
    assert [use for use, _share in told] == [0.0, *NIST_HOURS]
    assert [share for _use, share in told] == pytest.approx([1 - n / 20 for n in range(11)])


def test_very_many_steps_are_thinned_and_end_where_they_end() -> None:
    hours = np.arange(1.0, 1001.0)
    told = steps(Spells(hours, hours), most=50)
    assert len(told) <= 52
    assert told[-1] == (1000.0, 0.0)


def test_where_nothing_can_be_said_there_are_no_steps() -> None:
    assert steps(Spells([0, 5], [3, 9], entry=[0, 5])) == []


def test_an_interval_that_begins_on_worn_joints_too_is_the_shorter() -> None:
    spells = worn()
    fresh, later = (recheck_interval(spells, 0.9, 0.9, age).value for age in (0.0, 1500.0))
    assert later < fresh
    assert allowed_interval(spells, 0.9, 0.9, [0.0, 1500.0]).value == later


def test_what_is_missing_at_one_age_is_missing_of_the_whole() -> None:
    with pytest.raises(LifeError, match="so long after"):
        allowed_interval(worn(), 0.9, 0.9, [0.0, 5000.0])


@given(allowed=MILES, now=MILES, floor=st.floats(0, 50))
def test_no_offer_is_longer_than_allowed_or_than_one_step(
    allowed: float, now: float, floor: float
) -> None:
    offer = offer_of(allowed, now, floor)
    if offer.value is None:
        return
    assert offer.value <= max(min(allowed, now * LONGEST_STEP), floor) + 1e-6
    assert offer.value >= floor
    assert abs(offer.value - now) >= WORTH_IT * now


@pytest.mark.parametrize("wrong", [(0, 500, 0), (500, 0, 0), (math.inf, 500, 0), (500, 500, -1)])
def test_what_is_no_interval_is_refused(wrong: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="finite"):
        offer_of(*wrong)


def test_a_curve_to_nowhere_is_refused() -> None:
    with pytest.raises(ValueError, match="until"):
        holding(worn(), 0)
