"""Finds that come back: the mean cumulative function, trends and the power law."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from fleet.calc.recurrence import (
    RecurrenceError,
    compare_mcf,
    fit_power_law,
    laplace_trend,
    mean_cumulative_function,
    mil_hdbk_189_trend,
)
from tests.support.events import Events, simulated

#: A few dozen draws are enough where each is small.
FEW = settings(max_examples=30, deadline=None)


@st.composite
def whole_events(draw: st.DrawFn) -> Events:
    """A few units with whole-numbered times, so that there are ties, and staggered starts."""
    units = draw(st.integers(2, 6))
    start = [0, *draw(st.lists(st.integers(0, 4), min_size=units - 1, max_size=units - 1))]
    # The first is watched throughout: no gap.
    end = [14, *(begin + draw(st.integers(1, 9)) for begin in start[1:])]
    unit = draw(st.lists(st.integers(0, units - 1), min_size=1, max_size=15))
    time = [draw(st.integers(start[one] + 1, end[one])) for one in unit]
    arrays = (np.array(values, dtype=np.float64) for values in (time, end, start))
    return Events(np.array(unit), *arrays)


def by_definition(events: Events) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The textbook sums, unit by unit and time by time."""
    moments = np.unique(events.time)
    at_risk = (events.start[:, None] < moments) & (moments <= events.end[:, None])
    found = np.zeros(at_risk.shape)
    np.add.at(found, (events.unit, np.searchsorted(moments, events.time)), 1)
    step = found.sum(axis=0) / at_risk.sum(axis=0)
    parts = np.cumsum(at_risk / at_risk.sum(axis=0) * (found - step), axis=1)
    return np.cumsum(step), (parts**2).sum(axis=0)


@FEW
@given(whole_events())
def test_it_is_the_textbooks_sum(events: Events) -> None:
    found = mean_cumulative_function(*events.arguments)
    value, variance = by_definition(events)
    np.testing.assert_allclose(found.value, value)
    np.testing.assert_allclose(found.variance, variance, atol=1e-12)


@FEW
@given(whole_events(), st.integers(0, 2**32 - 1))
def test_order_and_numbering_do_not_matter(events: Events, seed: int) -> None:
    rng = np.random.default_rng(seed)
    mixed, renamed = rng.permutation(events.time.size), rng.permutation(events.end.size)
    place = np.argsort(renamed)
    other = mean_cumulative_function(
        place[events.unit][mixed], events.time[mixed], events.end[renamed], events.start[renamed]
    )
    found = mean_cumulative_function(*events.arguments)
    np.testing.assert_allclose(other.value, found.value)
    np.testing.assert_allclose(other.variance, found.variance, atol=1e-12)


@FEW
@given(whole_events(), st.floats(0.01, 1000))
def test_the_unit_of_use_does_not_matter(events: Events, times: float) -> None:
    unit, time, end, start = events.arguments
    found = mean_cumulative_function(unit, time, end, start)
    other = mean_cumulative_function(unit, time * times, end * times, start * times)
    np.testing.assert_allclose(other.time, found.time * times)
    np.testing.assert_allclose(other.variance, found.variance, atol=1e-12)


@FEW
@given(whole_events(), st.integers(1, 13))
def test_a_unit_told_in_two_parts_counts_once_at_a_time(events: Events, cut: int) -> None:
    """The mean stays; the two parts of the first unit, taken as strangers, move the variance."""
    unit, time, end, start = events.arguments
    late = (unit == 0) & (time > cut)
    parts = mean_cumulative_function(
        np.where(late, end.size, unit), time,
        np.append(np.where(np.arange(end.size) == 0, cut, end), 14.0), np.append(start, cut),
    )  # fmt: skip
    found = mean_cumulative_function(unit, time, end, start)
    np.testing.assert_allclose(parts.value, found.value)


def test_a_unit_counts_at_its_very_end_and_not_after() -> None:
    found = mean_cumulative_function([0, 1], [5.0, 5.5], [5.0, 10.0])
    assert found.value.tolist() == [0.5, 1.5]


def test_a_unit_without_events_lowers_the_mean() -> None:
    alone = mean_cumulative_function([0, 0], [1.0, 2.0], [5.0])
    beside = mean_cumulative_function([0, 0], [1.0, 2.0], [5.0, 5.0])
    assert (alone.value / beside.value).tolist() == [2.0, 2.0]
    # One unit has nothing to be compared with.
    assert np.isnan(alone.variance).all()


def test_the_robust_error_covers_where_units_differ() -> None:
    """Where units differ by nature, about 95 % lie within two errors; of Poisson's far fewer."""
    inside, inside_poisson = [], []
    for seed in range(200):
        events = simulated(60, 0.5, seed, spread=1.0)
        found = mean_cumulative_function(*events.arguments)
        last = np.searchsorted(found.time, 4.0) - 1
        off = abs(found.value[last] - 0.5 * found.time[last])
        inside.append(off < 2 * np.sqrt(found.variance[last]))
        inside_poisson.append(off < 2 * np.sqrt(found.value[last] / 60))
    assert 0.89 <= np.mean(inside) <= 0.98
    assert np.mean(inside_poisson) < 0.85


def test_a_stretch_in_which_nobody_was_watched_has_no_answer() -> None:
    with pytest.raises(RecurrenceError) as refused:
        mean_cumulative_function([0, 1], [1.0, 9.0], [4.0, 10.0], [0.0, 6.0])
    assert refused.value.code == "gap"


def test_two_like_groups_are_seldom_told_apart_and_unlike_ones_are() -> None:
    def told(ratio: float) -> float:
        few = []
        for seed in range(150):
            one = simulated(30, 0.5, seed, spread=0.5, staggered=True)
            two = simulated(30, 0.5 * ratio, seed + 1000, spread=0.5, staggered=True)
            found = compare_mcf(
                np.append(one.unit, two.unit + 30), np.append(one.time, two.time),
                np.append(one.end, two.end), np.arange(60) >= 30, np.append(one.start, two.start),
            )  # fmt: skip
            few.append(found.p < 0.05)
        return float(np.mean(few))

    assert told(1.0) <= 0.11
    assert told(2.0) >= 0.7


@FEW
@given(whole_events())
def test_the_two_sides_of_a_comparison_mirror_each_other(events: Events) -> None:
    unit, time, end, start = events.arguments
    end, start = np.append(end, np.full(10, 14.0)), np.append(start, np.zeros(10))
    group = np.arange(end.size) % 2 == 0
    ours = compare_mcf(unit, time, end, group, start)
    theirs = compare_mcf(unit, time, end, ~group, start)
    assert theirs.z == pytest.approx(-ours.z)
    assert theirs.observed + ours.observed == time.size
    assert theirs.expected + ours.expected == pytest.approx(time.size)


@pytest.mark.parametrize("test", [laplace_trend, mil_hdbk_189_trend])
def test_a_steady_pace_is_seldom_called_a_trend(test: type) -> None:
    """Units of very different pace, watched from different starts, pooled."""
    p = [test(*simulated(8, 0.4, seed, spread=1.0, staggered=True).arguments)[-1]
         for seed in range(300)]  # fmt: skip
    assert 0.02 <= np.mean(np.array(p) < 0.05) <= 0.085


def test_worsening_and_improving_have_their_signs() -> None:
    worse, better = (simulated(20, 0.1, 3, shape=shape).arguments for shape in (2.0, 0.4))
    assert laplace_trend(*worse).z > 2
    assert laplace_trend(*better).z < 0
    late, early = mil_hdbk_189_trend(*worse), mil_hdbk_189_trend(*better)
    assert late.chi2 < late.degrees
    assert early.chi2 > early.degrees


@FEW
@given(whole_events(), st.floats(0.01, 1000))
def test_trends_do_not_know_the_unit_of_use_nor_units_without_events(
    events: Events, times: float
) -> None:
    unit, time, end, start = (np.tile(one, 4) for one in events.arguments)
    unit = unit + np.repeat(np.arange(4) * events.end.size, events.unit.size)
    more = np.append(end * times, 3.0 * times), np.append(start * times, 1.0 * times)
    for test in (laplace_trend, mil_hdbk_189_trend):
        assert test(unit, time * times, *more) == pytest.approx(test(unit, time, end, start))


def test_an_event_that_ended_the_watch_is_left_out_once() -> None:
    unit, time, end = [0, 0, 0, 0, 1, 1, 1], [1.0, 4.0, 6.0, 9.0, 2.0, 7.0, 8.0], [9.0, 8.0]
    without = [0, 0, 0, 1, 1], [1.0, 4.0, 6.0, 2.0, 7.0]
    for test in (laplace_trend, mil_hdbk_189_trend):
        assert test(unit, time, end, failure_truncated=True) == test(*without, end)
    with pytest.raises(ValueError, match="every unit must end at an event"):
        laplace_trend(unit, time, [9.0, 8.5], failure_truncated=True)


@pytest.mark.parametrize("staggered", [False, True])
def test_the_power_law_is_found_again(staggered: bool) -> None:
    events = simulated(400, 0.2, 5, shape=1.4, staggered=staggered)
    fit = fit_power_law(*events.arguments)
    error = np.sqrt(np.diag(fit.covariance))
    off = np.log([fit.shape / 1.4, fit.rate / 0.2]) / error
    assert np.all(abs(off) < 3)
    assert error[0] < 0.05


def test_its_covariance_is_the_curvature_of_the_likelihood() -> None:
    events = simulated(30, 0.2, 7, shape=1.4, staggered=True)
    fit = fit_power_law(*events.arguments)

    def likelihood(log_shape: float, log_rate: float) -> float:
        shape, rate = np.exp(log_shape), np.exp(log_rate)
        exposed = np.sum(events.end**shape - events.start**shape)
        each = log_rate + log_shape + (shape - 1) * np.log(events.time)
        return float(each.sum() - rate * exposed)

    at, step = np.log([fit.shape, fit.rate]), 1e-4
    curve = np.empty((2, 2))
    for i, j in np.ndindex(2, 2):
        a, b = step * np.eye(2)[i], step * np.eye(2)[j]
        corners = (at + a + b, at + a - b, at - a + b, at - a - b)
        up, down, over, back = (likelihood(*corner) for corner in corners)
        curve[i, j] = (up - down - over + back) / (4 * step**2)
    np.testing.assert_allclose(np.linalg.inv(-curve), fit.covariance, rtol=1e-3)


@FEW
@given(st.floats(1e-6, 1e9))
def test_the_power_law_knows_no_unit_of_use(times: float) -> None:
    unit, time, end, start = simulated(30, 0.2, 7, shape=1.4, staggered=True).arguments
    fit, other = fit_power_law(unit, time, end, start), fit_power_law(
        unit, time * times, end * times, start * times
    )  # fmt: skip
    assert other.shape == pytest.approx(fit.shape, rel=1e-9)
    assert other.rate * times**other.shape == pytest.approx(fit.rate, rel=1e-6)


@pytest.mark.parametrize(
    ("call", "code"),
    [
        (lambda: mean_cumulative_function([], [], [5.0, 6.0]), "no_events"),
        (lambda: laplace_trend([0] * 3, [1.0, 2.0, 3.0], [5.0]), "too_few_events"),
        (lambda: mil_hdbk_189_trend([0] * 4, [1.0, 2.0, 3.0, 5.0], [5.0], None, True),
         "too_few_events"),
        (lambda: fit_power_law([0] * 3, [1.0, 2.0, 3.0], [5.0]), "too_few_events"),
        (lambda: fit_power_law([0] * 4, [5.0] * 4, [5.0]), "no_power_law"),
        (lambda: compare_mcf([0], [1.0], np.full(6, 5.0), np.arange(6) < 2), "too_few_units"),
        (lambda: compare_mcf([0], [1.0], np.full(10, 5.0), np.arange(10) < 5,
                             np.arange(10) // 5 * 2.0), "never_together"),
    ],
)  # fmt: skip
def test_too_little_data_is_named_and_never_a_number(call: object, code: str) -> None:
    assert callable(call)
    with pytest.raises(RecurrenceError) as refused:
        call()
    assert refused.value.code == code


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (([0], [1.0, 2.0], [5.0]), "one length"),
        (([1], [1.0], [5.0]), "index into unit_end"),
        (([0.5], [1.0], [5.0]), "whole numbers"),
        (([0], [6.0], [5.0]), "after unit_start and not after unit_end"),
        (([0], [1.0], [5.0], [1.0]), "after unit_start and not after unit_end"),
        (([0], [np.nan], [5.0]), "finite"),
        (([0], [1.0], [5.0], [5.0]), "later than unit_start"),
        (([0], [1.0], []), "not empty"),
    ],
)
def test_arrays_that_make_no_sense_are_refused(arguments: tuple[Any, ...], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        mean_cumulative_function(*arguments)
