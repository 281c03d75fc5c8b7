"""Observed against expected: intervals, groups beside their like, shrinkage, did it help."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from fleet.calc.clusters import (
    ClusterError,
    Posterior,
    benjamini_hochberg,
    compare_rates,
    did_it_help,
    expected_events,
    group_dispersion,
    posterior,
    rate_outliers,
    shrink_rates,
    vehicle_spread,
    weibull_hazard,
)

FEW = settings(max_examples=30, deadline=None)


def test_checks_that_were_left_out_take_their_expectation_with_them() -> None:
    usual = weibull_hazard([1.3], [9000.0])
    often = expected_events([0, 1000, 2000, 3000], [1000, 2000, 3000, 4000], [0] * 4, usual)
    seldom = expected_events([0], [4000], [0], usual)
    # The chance to stay tight through all is one and the same.
    assert np.prod(1 - often) == pytest.approx(1 - seldom[0])
    assert often[:2].sum() < seldom[0] < often.sum()


@pytest.mark.parametrize(
    ("lower", "upper", "said"),
    [([5.0], [4.0], "past upper"), ([0.0], [np.inf], "finite"), ([0.0, 1.0], [2.0], "one length")],
)
def test_checks_that_make_no_sense_are_refused(
    lower: list[float], upper: list[float], said: str
) -> None:
    with pytest.raises(ValueError, match=said):
        expected_events(lower, upper, [0] * len(lower), weibull_hazard([1.0], [1.0]))


def test_a_hazard_that_falls_is_refused() -> None:
    with pytest.raises(ValueError, match="rising with use"):
        expected_events([0.0], [1.0], [0], lambda use, _stratum: -use)


@FEW
@given(st.lists(st.tuples(st.integers(0, 80), st.floats(0.1, 60)), min_size=1, max_size=5))
def test_garwoods_interval_and_p_are_scipys(rows: list[tuple[int, float]]) -> None:
    seen, due = (np.array(column) for column in zip(*rows, strict=True))
    found = rate_outliers(seen, due, level=0.9)
    np.testing.assert_allclose(
        found.low[seen > 0], (stats.chi2.ppf(0.05, 2 * seen) / 2 / due)[seen > 0]
    )
    np.testing.assert_allclose(found.high, stats.chi2.ppf(0.95, 2 * seen + 2) / 2 / due)
    tails = np.minimum(stats.poisson.cdf(seen, due), stats.poisson.sf(seen - 1, due))
    np.testing.assert_allclose(found.p, np.minimum(1, 2 * tails))
    assert found.method == "exact Poisson, central (Garwood)"


@FEW
@given(st.lists(st.floats(0, 1), max_size=30))
def test_adjusted_p_are_scipys(p: list[float]) -> None:
    ours = benjamini_hochberg(p)
    np.testing.assert_allclose(ours, stats.false_discovery_control(p) if p else [])


@FEW
@given(st.integers(0, 30), st.integers(1, 30), st.floats(0.05, 0.95))
def test_one_stratum_is_scipys_binomial(ours: int, rest: int, share: float) -> None:
    found = compare_rates([ours, rest], [share, 1 - share], [True, False], [0, 0], level=0.9)
    total = ours + rest
    above = stats.binomtest(ours, total, share, alternative="greater").pvalue
    below = stats.binomtest(ours, total, share, alternative="less").pvalue
    assert found.p == pytest.approx(min(1, 2 * min(above, below)))
    low, high = stats.binomtest(ours, total).proportion_ci(0.9, "exact")
    odds = (1 - share) / share
    assert found.low == pytest.approx(low / (1 - low) * odds)
    assert found.high == pytest.approx(high / (1 - high) * odds)
    at = 1.5 * share / (1.5 * share + 1 - share)
    assert found.p_above == pytest.approx(stats.binom.sf(ours - 1, total, at))


def test_strata_are_scipys_binomials_added_up_and_the_method_is_named() -> None:
    seen, due = np.array([4, 2, 3, 9, 1, 6]), np.array([1.0, 2.0, 2.0, 6.0, 0.5, 1.5])
    group, stratum = np.array([1, 0, 1, 0, 1, 0], dtype=bool), np.array([0, 0, 1, 1, 2, 2])
    totals = (6, 1 / 3), (12, 1 / 4), (7, 1 / 4)
    # Every combination of the three counts, added up.
    laws = [stats.binom.pmf(np.arange(n + 1), n, share) for n, share in totals]
    law = np.einsum("i,j,k->ijk", *laws)
    count = np.add.outer(np.add.outer(np.arange(7), np.arange(13)), np.arange(8))
    tails = law[count >= 8].sum(), law[count <= 8].sum()
    found = compare_rates(seen, due, group, stratum)
    assert found.p == pytest.approx(2 * min(tails))
    assert found.expected == pytest.approx(sum(n * share for n, share in totals))
    assert (found.observed, found.method, found.dispersion) == (8, "central", 1.0)


def test_a_usual_hazard_that_is_off_by_a_factor_does_no_harm() -> None:
    seen, group, stratum = [4, 2, 3, 9], [True, False, True, False], [0, 0, 1, 1]
    due = np.array([1.0, 2.0, 2.0, 6.0])
    off = compare_rates(seen, due * np.array([3, 3, 0.2, 0.2]), group, stratum)
    assert off[:5] == pytest.approx(compare_rates(seen, due, group, stratum)[:5])


def test_spread_between_vehicles_widens_what_lies_on_few_vehicles() -> None:
    given_ = [9, 11], [4.0, 16.0], [True, False], [0, 0]
    exact, wide = compare_rates(*given_), compare_rates(*given_, dispersion=2.0)
    assert wide.ratio == exact.ratio
    assert wide.low < exact.low < exact.high < wide.high
    assert exact.p < 0.05 < wide.p
    assert wide.dispersion == 2.0
    # No spread, nothing widened.
    assert group_dispersion([1.0, 1.0], [0, 1], [True, False], np.inf) == 1.0


@pytest.mark.parametrize(
    ("seen", "due", "code"),
    [([0, 0], [1.0, 1.0], "no_finds"), ([1, 2], [1.0, 0.0], "one_sided")],
)
def test_a_comparison_with_nothing_to_compare_is_named(
    seen: list[int], due: list[float], code: str
) -> None:
    with pytest.raises(ClusterError) as refused:
        compare_rates(seen, due, [True, False], [0, 0])
    assert refused.value.code == code


def test_no_expectation_and_no_finds_are_named() -> None:
    with pytest.raises(ClusterError, match="no check"):
        rate_outliers([1], [0.0])
    with pytest.raises(ClusterError, match="no finds"):
        shrink_rates([0, 0], [1.0, 1.0])
    with pytest.raises(ClusterError, match="fewer than two"):
        shrink_rates([3, 0], [1.0, 0.0])


def test_the_spread_between_vehicles_is_found_again() -> None:
    rng = np.random.default_rng(4)
    due = rng.uniform(2, 8, 3000)
    seen = rng.poisson(1.2 * due * rng.gamma(4.0, 0.25, due.size))
    spread = vehicle_spread(seen, due)
    assert spread.shape == pytest.approx(4.0, rel=0.12)
    assert spread.mean == pytest.approx(1.2, rel=0.03)
    assert spread.least_shape < spread.shape


def test_the_likelihood_is_scipys_negative_binomial() -> None:
    """No other shape and mean make these finds likelier, by SciPy's own law."""
    seen, due = np.array([0, 1, 0, 2, 9, 1, 0, 3]), np.full(8, 1.5)
    best = vehicle_spread(seen, due)

    def likelihood(shape: float, mean: float) -> float:
        return float(stats.nbinom.logpmf(seen, shape, shape / (shape + mean * due)).sum())

    at = likelihood(best.shape, best.mean)
    for shape in (0.9, 1.0, 1.1):
        for mean in (0.95, 1.0, 1.05):
            assert likelihood(best.shape * shape, best.mean * mean) <= at + 1e-9
    # The bound lies where twice the likelihood has dropped by the 90 % point of chi-square.
    drop = at - likelihood(best.least_shape, best.mean)
    assert 2 * drop == pytest.approx(stats.chi2.ppf(0.9, 1), rel=2e-3)


def test_alike_units_are_said_to_be_alike_but_not_for_certain() -> None:
    found = shrink_rates([3, 2, 3, 2, 3], [2.5] * 5)
    assert found.prior_shape == np.inf
    assert np.ptp(found.mean) == 0
    assert np.all((found.low < 0.9) & (found.high > 1.2))


@FEW
@given(
    st.lists(st.tuples(st.integers(0, 20), st.floats(0.1, 8)), min_size=3, max_size=12),
    st.permutations(range(3)),
)
def test_shrinking_keeps_order_and_lies_between_own_and_common(
    rows: list[tuple[int, float]], order: list[int]
) -> None:
    seen, due = (np.array(column) for column in zip(*rows, strict=True))
    if not seen.any():
        return
    found = shrink_rates(seen, due)
    assert np.all((found.low <= found.mean) & (found.mean <= found.high))
    own, common = seen / due, vehicle_spread(seen, due).mean
    slack = 1e-6 * (1 + own)
    assert np.all(found.mean >= np.minimum(own, common) - slack)
    assert np.all(found.mean <= np.maximum(own, common) + slack)
    place = np.array([*order, *range(3, seen.size)])
    np.testing.assert_allclose(
        shrink_rates(seen[place], due[place]).mean, found.mean[place], rtol=1e-4
    )


def test_the_interval_holds_the_true_ratio_about_as_often_as_it_says() -> None:
    rng = np.random.default_rng(8)
    inside = []
    for _ in range(20):
        true = rng.gamma(3.0, 1 / 3, 60)
        due = rng.uniform(0.5, 6, 60)
        found = shrink_rates(rng.poisson(true * due), due)
        inside.append((found.low <= true) & (true <= found.high))
    assert 0.93 <= np.mean(inside) <= 0.99


def test_too_early_helped_or_not() -> None:
    before = Posterior(40.0, 2.0)
    said = [did_it_help(before, seen, 3.0).verdict.value for seen in range(8)]
    assert said == ["helped"] * 2 + ["not_clear"] * 4 + ["did_not_help"] * 2
    assert did_it_help(before, 9, 1.49).verdict == "too_early"


@FEW
@given(st.floats(0.3, 50), st.floats(0.2, 8), st.integers(0, 30), st.floats(0.1, 20))
def test_the_prediction_is_scipys_negative_binomial(
    shape: float, mean: float, seen: int, due: float
) -> None:
    found = did_it_help(Posterior(shape, mean), seen, due)
    assert found.p == pytest.approx(stats.nbinom.cdf(seen, shape, shape / (shape + mean * due)))
    sure = did_it_help(Posterior(np.inf, mean), seen, due)
    assert sure.p == pytest.approx(stats.poisson.cdf(seen, mean * due))


def test_what_helped_everybody_is_no_help_of_ours() -> None:
    before = Posterior(30.0, 3.0)
    alone = did_it_help(before, 1, 2.5)
    dry_summer = did_it_help(before, 1, 2.5, control=(12, 40.0))
    assert alone.verdict == "helped"
    assert dry_summer.predicted < 3 < alone.predicted
    assert dry_summer.verdict == "too_early"
    # A small control tells little, and the answer is less sure for it.
    chances = [did_it_help(before, 1, 2.5, control=(n, float(n))).p for n in (400, 40, 4)]
    assert all(less < more for less, more in pairwise(chances))


def test_a_unit_that_stood_out_by_chance_is_not_said_to_have_been_helped() -> None:
    """Of units that nothing was done for, the worst are shrunk before they are judged."""
    rng = np.random.default_rng(3)
    true = rng.gamma(4.0, 0.25, 4000)
    seen = rng.poisson(true * 2.0)
    after = rng.poisson(true * 4.0)
    shrunk = shrink_rates(seen, np.full(4000, 2.0))
    worst = np.argsort(-seen)[:200]
    helped = [
        did_it_help(posterior(seen[n], shrunk.mean[n], shrunk.prior_shape), after[n], 4.0).verdict
        == "helped"
        for n in worst
    ]
    assert np.mean(helped) <= 0.08
