"""Evidence that may be looked at every night, and what it opens."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import stats

from fleet.calc.clusters import RATIOS, e_bh, e_value, e_value_among, spent_hazard
from fleet.calc.clusters.among import Cells, among
from fleet.calc.clusters.evidence import opened

FEW = settings(max_examples=30, deadline=None)
Floats = NDArray[np.float64]


def test_it_is_the_likelihood_ratio_of_poisson_counts() -> None:
    seen, due = np.array([0, 3, 9]), np.array([1.0, 1.0, 2.0])
    over = [stats.poisson.pmf(seen, r * due) / stats.poisson.pmf(seen, due) for r in RATIOS]
    np.testing.assert_allclose(e_value(seen, due), np.mean(over, axis=0))


@pytest.mark.parametrize("due", [0.1, 1.0, 7.0, 40.0])
def test_its_mean_is_1_where_the_expectation_holds(due: float) -> None:
    seen = np.arange(400)
    assert stats.poisson.pmf(seen, due) @ e_value(seen, due) == pytest.approx(1.0)


def test_looking_every_night_costs_nothing() -> None:
    """Ever reached 20 over 200 nights: at most one in twenty, where the p-value finds far more."""
    rng = np.random.default_rng(1)
    finds = np.cumsum(rng.poisson(0.2, (1500, 200)), axis=1)
    due = 0.2 * np.arange(1, 201)
    assert np.mean(e_value(finds, due).max(axis=1) >= 20) <= 0.05
    assert np.mean(stats.poisson.sf(finds - 1, due).min(axis=1) <= 0.05) > 0.15


@pytest.mark.parametrize("r", RATIOS)
@pytest.mark.parametrize("chance", [0.02, 0.3, 0.9])
def test_what_checks_have_seen_spent_keeps_the_evidence_honest(chance: float, r: float) -> None:
    """Over one check: the mean is at most 1, and short of the exact ratio by little."""
    loose, tight = spent_hazard([chance, chance], [True, False])
    at_find, at_tight = r * np.exp(-(r - 1) * loose), np.exp(-(r - 1) * tight)
    exact = (1 - (1 - chance) ** r) / chance
    assert chance * at_find + (1 - chance) * at_tight <= 1
    assert at_find <= exact
    if chance < 0.1:
        assert at_find == pytest.approx(exact, rel=0.01)
    assert chance * loose + (1 - chance) * tight == pytest.approx(chance)


def test_chances_that_make_no_sense_are_refused_and_certainty_is_borne() -> None:
    assert np.all(np.isfinite(spent_hazard([1.0, 1.0], [True, False])))
    with pytest.raises(ValueError, match="from 0 to 1"):
        spent_hazard([1.1], [True])


def test_next_to_nothing_expected_spends_half_at_a_find() -> None:
    assert spent_hazard([0.0, 1e-9, 1e-5], [True] * 3) == pytest.approx([0, 5e-10, 5e-6], rel=1e-4)


def shared(finds: Floats, shape: float) -> Floats:
    """Log e of a group with a quarter of each vehicle's expectation of 6; finds (2, vehicles)."""
    count = finds.shape[1]
    return e_value_among(
        finds[0].astype(int), np.full(count, 1.5), np.arange(count), np.zeros(count, int),
        finds.sum(axis=0).astype(int), np.full(count, 6.0), shape,
    )  # fmt: skip


def test_with_no_spread_it_is_the_groups_share_of_all_finds() -> None:
    finds = np.array([[4.0, 1.0, 3.0], [2.0, 5.0, 1.0]])
    ratio = [r**8 / (1 + (r - 1) / 4) ** 16 for r in RATIOS]
    assert shared(finds, np.inf)[0] == pytest.approx(np.log(np.mean(ratio)))


def test_little_spread_is_nearly_none() -> None:
    finds = np.array([[4.0, 1.0, 3.0], [2.0, 5.0, 1.0]])
    assert shared(finds, 1e7)[0] == pytest.approx(shared(finds, np.inf)[0], abs=1e-4)


@pytest.mark.parametrize("own_vehicles", [True, False])
def test_natural_spread_alone_is_seldom_evidence(own_vehicles: bool) -> None:
    """A yard (its own vehicles) and a tool (a part of each vehicle), over 1,500 clean fleets."""
    rng = np.random.default_rng(5)
    fleets, vehicles = 1500, 24
    share = (
        np.tile(np.arange(vehicles) < 6, fleets)
        if own_vehicles
        else np.full(vehicles * fleets, 0.25)
    )
    due = np.full(share.size, 12.0)
    finds = rng.poisson(due * rng.gamma(3.0, 1 / 3, due.size)).astype(float)
    ours = rng.binomial(finds.astype(int), share).astype(float)
    place = np.arange(due.size)
    cells = Cells(ours, due * share, place, place // vehicles, fleets)
    weighed, plain = (
        np.mean(among(cells, finds, due, np.full(fleets, shape), RATIOS) >= np.log(20))
        for shape in (3.0, np.inf)
    )
    assert weighed <= 0.05
    # Without the spread a yard is called bad by nature alone; a tool is compared within vehicles.
    assert (plain > 0.07) == own_vehicles


@FEW
@given(st.lists(st.floats(0, 1e6), max_size=12), st.permutations(range(4)))
def test_what_is_opened_is_the_textbooks_and_knows_no_order(e: list[float], order: object) -> None:
    found = e_bh(e)
    sizes = [
        k for k in range(1, len(e) + 1) if sorted(e, reverse=True)[k - 1] >= len(e) / (0.05 * k)
    ]
    assert found.sum() == max(sizes, default=0)
    assert e_bh(e[::-1]).tolist() == found[::-1].tolist() or len(set(e)) < len(e)
    if found.any():
        assert min(np.array(e)[found]) >= max(np.array(e)[~found], default=0)


def test_too_large_for_a_number_is_still_opened() -> None:
    assert e_value(5000, 10.0) == np.inf
    assert e_bh(np.append(e_value([5000, 1], [10.0, 1.0]), 1.0)).tolist() == [True, False, False]
    assert opened(np.array([2000.0, -5.0]), 0.05).tolist() == [True, False]


@pytest.mark.parametrize("e", [[-1.0], [np.nan], [[1.0]]])
def test_what_is_no_evidence_is_refused(e: list[float]) -> None:
    with pytest.raises(ValueError, match="e must be"):
        e_bh(e)
