"""The rate of use and the date when due: resets, slips, silence, and what can't be said."""

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.calc.usage import (
    Due,
    Projection,
    Rate,
    Stale,
    date_of,
    date_when_due,
    due_from_rate,
    meter_rate,
    project_meter,
    rate_of_use,
)

KM = 1000.0
WEEKS = np.arange(0.0, 365.0, 7.0)
TODAY = 366.0
EVEN = WEEKS * 80 * KM


def rate(*args: Any, **kwargs: Any) -> Rate:
    found = rate_of_use(*args, **kwargs)
    assert isinstance(found, Rate)
    return found


def due(*args: Any, **kwargs: Any) -> Due:
    found = date_when_due(*args, **kwargs)
    assert isinstance(found, Due)
    return found


def test_even_use_gives_its_rate_and_still_some_doubt() -> None:
    found = rate(WEEKS, EVEN, TODAY)
    assert found.likely == pytest.approx(80 * KM)
    assert found.low < found.likely < found.high
    assert due(WEEKS, EVEN, 400 * 80 * KM, TODAY).likely == pytest.approx(400)


def test_the_date_is_built_from_the_last_reading_not_from_today() -> None:
    target = EVEN[-1] + 10 * 80 * KM
    early, late = due(WEEKS, EVEN, target, WEEKS[-1]), due(WEEKS, EVEN, target, WEEKS[-1] + 50)
    assert early == late
    assert late.likely < WEEKS[-1] + 50


def test_the_order_of_readings_does_not_matter() -> None:
    mixed = np.random.default_rng(1).permutation(WEEKS.size)
    assert rate_of_use(WEEKS[mixed], EVEN[mixed], TODAY) == rate_of_use(WEEKS, EVEN, TODAY)


def test_a_replaced_meter_leaves_the_rate_as_it_was() -> None:
    meter = np.where(WEEKS < 200, EVEN + 5e8, EVEN - EVEN[29])
    for resets in ([203.0], [197.0], []):
        found = rate(WEEKS, meter, TODAY, resets=resets)
        assert found.likely == pytest.approx(80 * KM)
        assert found.high < 100 * KM


def test_a_meter_replaced_by_one_that_shows_more_needs_to_be_told() -> None:
    meter = np.where(WEEKS < 200, EVEN, EVEN + 10_000 * KM)
    assert rate(WEEKS, meter, TODAY, resets=[200]).high < 100 * KM
    slower = np.where(WEEKS < 330, EVEN, EVEN + 10_000 * KM)
    assert rate(WEEKS, slower, TODAY, resets=[330]).high < 100 * KM


@pytest.mark.parametrize("wrong", [0.0, 9_000.0, 900_000.0], ids=["naught", "low", "high"])
@pytest.mark.parametrize("place", [0, 20, 50, -1])
def test_one_misread_figure_changes_nothing_much(place: int, wrong: float) -> None:
    meter = EVEN.copy() + 20_000 * KM
    meter[place] = wrong * KM
    found = rate(WEEKS, meter, TODAY)
    assert found.likely == pytest.approx(80 * KM, rel=0.01)
    assert found.high < 100 * KM
    aim = 20_000 * KM + 400 * 80 * KM
    assert due(WEEKS, meter, aim, TODAY).likely == pytest.approx(400, abs=1)


def test_hours_in_a_day_are_at_most_24() -> None:
    days = np.arange(0.0, 60.0, 5.0)
    hours = days * 6 * 3600
    hours[6:] += 3_000 * 3600
    assert rate(days, hours, 60, unit="h").high < 9 * 3600


def test_silence_of_a_season_is_not_forgotten_when_it_comes_round_again() -> None:
    """Two winters of plowing and two idle summers; asked as the second summer ends."""
    days = np.arange(0.0, 730.0, 7.0)
    in_season = (days % 365) < 150
    meter = np.cumsum(np.where(in_season, 7 * 100 * KM, 0.0))
    found = rate(days, meter, 731)
    assert found.likely < 30 * KM
    assert found.high > 70 * KM


def test_a_vehicle_that_stands_is_never_due_by_use() -> None:
    answer = due(WEEKS, np.full(WEEKS.size, 1e6), 2e6, TODAY)
    assert answer == Due(math.inf, math.inf, math.inf)
    assert date_of(answer.likely) is None


def test_a_target_already_reached_is_due_on_the_day_of_the_last_reading() -> None:
    assert due(WEEKS, EVEN, EVEN[-1], TODAY) == Due(WEEKS[-1], WEEKS[-1], WEEKS[-1])


@pytest.mark.parametrize(
    ("days", "meters", "today", "reason"),
    [
        ([], [], 10, "too_few_readings"),
        ([1], [5], 10, "too_few_readings"),
        ([1, 8], [5, 6], 10, "too_few_readings"),
        ([1, 1, 1, 1], [5, 6, 7, 8], 10, "too_few_readings"),
        ([1, 2, 3], [5, 6, 7], 10, "too_short"),
        ([1, 8, 15], [5, 6, 7], 76, "too_old"),
        ([1, 8, 15, 90], [5, 6, 7, 8], 80, "too_old"),
    ],
)
def test_what_can_not_be_said_is_not_said(
    days: list[float], meters: list[float], today: float, reason: str
) -> None:
    assert rate_of_use(days, meters, today) == Stale(reason)
    assert date_when_due(days, meters, 100.0, today) == Stale(reason)


def test_how_old_is_too_old_is_a_setting() -> None:
    days = [1.0, 8.0, 15.0]
    assert isinstance(rate_of_use(days, [5.0, 6.0, 7.0], 76, stale_after_days=90), Rate)


def test_a_few_readings_give_a_wide_answer() -> None:
    few = rate([0, 10, 20], [0, 800 * KM, 1700 * KM], 21)
    many = rate(WEEKS, EVEN * np.linspace(1, 1.02, WEEKS.size), TODAY)
    assert (few.high - few.low) / few.likely > 3 * (many.high - many.low) / many.likely


def test_more_coverage_is_wider() -> None:
    meter = np.cumsum(np.random.default_rng(2).gamma(2, 40 * 7 * KM, WEEKS.size))
    narrow, wide = rate(WEEKS, meter, TODAY, 0.5), rate(WEEKS, meter, TODAY, 0.95)
    assert wide.low <= narrow.low <= narrow.likely <= narrow.high <= wide.high


@pytest.mark.parametrize(
    "call",
    [
        pytest.param(lambda: rate_of_use([1, 2], [1], 3), id="lengths differ"),
        pytest.param(lambda: rate_of_use([[1]], [[1]], 3), id="not one-dimensional"),
        pytest.param(lambda: rate_of_use([1, math.nan], [1, 2], 3), id="a day not finite"),
        pytest.param(lambda: rate_of_use([1, 2], [1, math.inf], 3), id="a meter not finite"),
        pytest.param(lambda: rate_of_use([1, 2], [1, 2], 3, 1.0), id="coverage of one"),
    ],
)
def test_bad_arguments_are_refused(call: Callable[[], object]) -> None:
    with pytest.raises(ValueError, match="must be"):
        call()


increments = st.lists(st.floats(0, 500 * KM), min_size=3, max_size=40)


@given(increments, st.floats(0, 1e8), st.floats(0, 1e8))
def test_dates_are_in_order_and_a_further_target_is_never_sooner(
    used: list[float], one: float, other: float
) -> None:
    days = np.arange(len(used)) * 5.0
    found = rate(days, np.cumsum(used), days[-1])
    assert 0 <= found.low <= found.likely <= found.high
    near, far = (due_from_rate(0.0, 0.0, found, target) for target in sorted((one, other)))
    for answer in (near, far):
        assert answer.low <= answer.likely <= answer.high
    assert near.likely <= far.likely


def test_a_short_way_is_less_certain_than_the_horizon() -> None:
    stored = Rate(40.0, 50.0, 60.0)
    short, long = (due_from_rate(0, 0, stored, days * 50) for days in (3, 60))
    assert (short.high - short.low) / 3 > (long.high - long.low) / 60


def test_a_meter_is_projected_between_its_low_and_high() -> None:
    stored = Rate(40.0, 50.0, 100.0)
    assert project_meter(0, 10.0, stored, 60) == Projection(2410.0, 3010.0, 6010.0)
    assert project_meter(5, 10.0, stored, 5) == Projection(10.0, 10.0, 10.0)


def test_meter_rate_says_stale_when_there_is_too_little() -> None:
    assert meter_rate([], []) == Stale("too_few_readings")
