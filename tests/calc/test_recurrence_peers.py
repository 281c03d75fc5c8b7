"""The same arithmetic as three libraries of statistics, where they do the same.

They publish no types, and load pandas and plotting: imported here only.
"""

import importlib
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from fleet.calc.clusters import compare_rates, rate_outliers, vehicle_spread
from fleet.calc.recurrence import (
    fit_power_law,
    laplace_trend,
    mean_cumulative_function,
    mil_hdbk_189_trend,
)
from tests.support.events import Events, simulated


@pytest.fixture(scope="module")
def events() -> Events:
    return simulated(25, 0.3, 11, shape=1.3, spread=0.3)


@pytest.fixture(scope="module")
def surpyval() -> Any:
    return importlib.import_module("surpyval.recurrent")


def test_the_mean_cumulative_function_of_reliability(events: Events) -> None:
    peer = importlib.import_module("reliability.Repairable_systems")
    ends = [[*np.sort(events.time[events.unit == one]), end] for one, end in enumerate(events.end)]
    theirs = peer.MCF_nonparametric(data=ends, print_results=False, show_plot=False)
    ours = mean_cumulative_function(*events.arguments)
    np.testing.assert_allclose(np.asarray(theirs.time, dtype=float), ours.time)
    # Its variance takes the steps of one unit as strangers to each other, and is another.
    np.testing.assert_allclose(np.asarray(theirs.MCF, dtype=float), ours.value)


def rows_with_ends(events: Events) -> dict[str, Any]:
    units = np.arange(events.end.size)
    return {
        "x": np.append(events.time, events.end), "i": np.append(events.unit, units),
        "c": np.append(np.zeros(events.time.size, int), np.ones(units.size, int)),
    }  # fmt: skip


def test_the_mean_cumulative_function_and_robust_variance_of_surpyval(
    events: Events, surpyval: Any
) -> None:
    theirs = surpyval.NonParametricCounting.fit(**rows_with_ends(events))
    ours = mean_cumulative_function(*events.arguments)
    at = np.searchsorted(theirs.x, ours.time)
    np.testing.assert_allclose(theirs.mcf_hat[at], ours.value)
    np.testing.assert_allclose(theirs.var[at], ours.variance)


def test_the_power_law_of_surpyval(events: Events, surpyval: Any) -> None:
    """It writes the mean count as (t / scale) ** shape."""
    scale, shape = surpyval.CrowAMSAA.fit(**rows_with_ends(events)).params
    ours = fit_power_law(*events.arguments)
    assert ours.shape == pytest.approx(shape, rel=1e-4)
    assert ours.rate == pytest.approx(scale**-shape, rel=1e-3)


@pytest.mark.parametrize("staggered", [False, True])
@pytest.mark.parametrize(
    ("name", "ours"), [("laplace", laplace_trend), ("mil_hdbk_189c", mil_hdbk_189_trend)]
)
def test_the_trend_tests_of_surpyval(
    name: str, ours: Callable[..., tuple[float, ...]], staggered: bool, surpyval: Any
) -> None:
    events = simulated(25, 0.3, 12, shape=1.1, staggered=staggered)
    units = range(events.end.size)
    theirs = getattr(surpyval, name)(
        events.time, events.unit, T=dict(zip(units, events.end, strict=True)),
        tl=dict(zip(units, events.start, strict=True)) if staggered else None,
    )  # fmt: skip
    found = ours(*events.arguments)
    assert found[0] == pytest.approx(theirs.statistic)
    if name == "laplace":
        assert found[-1] == pytest.approx(theirs.p_value)


def test_exact_poisson_of_statsmodels() -> None:
    peer = importlib.import_module("statsmodels.stats.rates")
    ours = rate_outliers(9, 4.0)
    assert peer.confint_poisson(9, 4.0, method="exact-c") == pytest.approx((ours.low, ours.high))
    two = compare_rates([11, 21], [800, 3011], [True, False], [0, 0], method="minlike")
    theirs = peer.test_poisson_2indep(11, 800, 21, 3011, method="exact-cond")
    assert two.p == pytest.approx(theirs.pvalue)


def test_the_spread_of_statsmodels() -> None:
    """Its negative binomial regression on a constant, with exposure; alpha is 1 / shape."""
    peer = importlib.import_module("statsmodels.discrete.discrete_model")
    rng = np.random.default_rng(1)
    due = rng.uniform(1, 5, 200)
    seen = rng.poisson(due * rng.gamma(2.0, 0.5, 200))
    constant, alpha = (
        peer.NegativeBinomial(seen, np.ones((200, 1)), exposure=due).fit(disp=0).params
    )
    ours = vehicle_spread(seen, due)
    assert (ours.mean, ours.shape) == pytest.approx((np.exp(constant), 1 / alpha), rel=1e-3)
