"""The same lives by other libraries: on seeded data of every kind they say the same.

lifelines, surpyval, reliability and statsmodels, each where it does the same thing.
"""

import math
import warnings
from collections.abc import Iterator
from typing import Any

import lifelines
import numpy as np
import pytest
import surpyval
from numpy.typing import NDArray
from reliability.Fitters import Fit_Weibull_2P
from reliability.Repairable_systems import optimal_replacement_time
from statsmodels.duration.survfunc import SurvfuncRight

from fleet.calc.interval import CostOptimum, cost_optimal_interval
from fleet.calc.life import Spells, WeibullFit, fit_spells, fit_weibull, turnbull
from tests.calc.lives import SCALE, SHAPE, looked_at, of_every_kind

#: What their optimizers reach.
NEAR = 2e-4


@pytest.fixture(autouse=True)
def _quiet() -> Iterator[None]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield


def watched(n: int, seed: int, *, late: bool) -> tuple[NDArray[Any], NDArray[Any], NDArray[Any]]:
    """How long, whether found, and from when: exact or still tight."""
    random = np.random.default_rng(seed)
    life, end = SCALE * random.weibull(SHAPE, n), random.uniform(200, 2000, n)
    entry = random.uniform(0, 600, n) * (random.random(n) < 0.5) * late
    seen = (life > entry) & (end > entry)
    return np.minimum(life, end)[seen], (life <= end)[seen], entry[seen]


def ours(time: NDArray[Any], found: NDArray[Any], entry: NDArray[Any] | None = None) -> WeibullFit:
    return fit_weibull(time, np.where(found, time, np.inf), entry)


def by_surpyval(spells: Spells) -> tuple[float, float]:
    """Its codes: 0 exact, 1 still tight, -1 found at once, 2 between."""
    given = {"xl": spells.lower, "xr": spells.upper, "n": spells.weight.astype(int)}
    if spells.entry is not None:
        given["tl"] = spells.entry
    scale, shape = surpyval.Weibull.fit(**given).params
    return shape, scale


@pytest.mark.parametrize("late", [False, True], ids=["from the start", "late entries"])
def test_lifelines_says_the_same_of_exact_and_tight(late: bool) -> None:
    time, found, entry = watched(500, 1, late=late)
    fit = ours(time, found, entry)
    peer = lifelines.WeibullFitter().fit(time, found, entry=entry if late else None)
    assert (fit.shape, fit.scale) == pytest.approx((peer.rho_, peer.lambda_), rel=NEAR)
    assert fit.loglik >= peer.log_likelihood_ - 1e-6
    assert fit.loglik == pytest.approx(peer.log_likelihood_, abs=1e-3)
    by_log = np.diag([1 / peer.rho_, 1 / peer.lambda_])
    theirs = peer.variance_matrix_.loc[["rho_", "lambda_"], ["rho_", "lambda_"]].to_numpy()
    assert fit.covariance == pytest.approx(by_log @ theirs @ by_log, rel=5e-3)


def test_lifelines_says_the_same_of_finds_between_two_looks() -> None:
    spells = looked_at(400, 2)
    fit = fit_spells(spells)
    peer = lifelines.WeibullFitter().fit_interval_censoring(spells.lower, spells.upper)
    assert (fit.shape, fit.scale) == pytest.approx((peer.rho_, peer.lambda_), rel=NEAR)
    assert fit.loglik >= peer.log_likelihood_ - 1e-6


def test_lifelines_says_the_same_of_finds_at_once() -> None:
    time, found, _ = watched(500, 3, late=False)
    fit = fit_weibull(np.where(found, 0.0, time), time)
    peer = lifelines.WeibullFitter().fit_left_censoring(time, ~found)
    assert (fit.shape, fit.scale) == pytest.approx((peer.rho_, peer.lambda_), rel=NEAR)


@pytest.mark.parametrize("late", [False, True], ids=["from the start", "late entries"])
def test_surpyval_says_the_same_of_every_kind(late: bool) -> None:
    given = of_every_kind(600, 4, late=late)
    many = np.random.default_rng(4).integers(1, 4, given.lower.size)
    spells = Spells(given.lower, given.upper, given.entry if late else None, many)
    fit = fit_spells(spells)
    assert (fit.shape, fit.scale) == pytest.approx(by_surpyval(spells), rel=NEAR)


def test_reliability_says_the_same_of_exact_and_tight() -> None:
    time, found, _ = watched(300, 5, late=False)
    fit = ours(time, found)
    peer = Fit_Weibull_2P(
        list(time[found]), list(time[~found]), show_probability_plot=False, print_results=False
    )
    assert (fit.shape, fit.scale) == pytest.approx((peer.beta, peer.alpha), rel=NEAR)
    assert fit.loglik == pytest.approx(peer.loglik, abs=1e-3)
    errors = peer.beta_SE / peer.beta, peer.alpha_SE / peer.alpha
    assert np.sqrt(np.diag(fit.covariance)) == pytest.approx(errors, rel=5e-3)


def test_statsmodels_product_limit_is_the_estimate_without_a_formula() -> None:
    time, found, entry = watched(300, 6, late=True)
    # Somebody is under watch from the start, so that it is joined all along.
    entry[:20] = 0.0
    estimate = turnbull(time, np.where(found, time, np.inf), entry=entry)
    peer = SurvfuncRight(time, found.astype(int), entry=entry)
    for side in estimate.survival(peer.surv_times):
        assert side == pytest.approx(peer.surv_prob, abs=1e-9)


def test_surpyvals_turnbull_is_no_likelier() -> None:
    """On ends that nobody shares: conventions of open and closed do not come in."""
    spells = looked_at(500, 7)
    estimate = turnbull(spells.lower, spells.upper)
    peer = surpyval.Turnbull.fit(
        xl=spells.lower, xr=spells.upper, turnbull_estimator="Kaplan-Meier"
    )
    least, most = estimate.survival(peer.x)
    assert np.all(np.clip(peer.R, least, most) == pytest.approx(peer.R, abs=1e-3))
    at = [np.searchsorted(peer.x, ends) for ends in (spells.lower, spells.upper)]
    tight = np.append(peer.R, 0.0)
    theirs = np.log(tight[at[0]] - np.where(np.isinf(spells.upper), 0.0, tight[at[1]])).sum()
    assert estimate.loglik >= theirs - 1e-9
    assert estimate.loglik == pytest.approx(theirs, abs=1e-3)


def test_reliability_finds_the_same_cheapest_interval() -> None:
    """It steps through a grid."""
    fit = WeibullFit(2.5, 1000.0, np.eye(2), math.nan, 9.0)
    found = cost_optimal_interval(fit, 1.0, 5.0)
    peer = optimal_replacement_time(
        1.0, 5.0, 1000.0, 2.5,
        show_time_plot=False, show_ratio_plot=False, print_results=False,
    )  # fmt: skip
    assert isinstance(found, CostOptimum)
    assert found.value == pytest.approx(peer.ORT, rel=2e-3)
    assert found.cost_rate == pytest.approx(peer.min_cost, rel=1e-5)
