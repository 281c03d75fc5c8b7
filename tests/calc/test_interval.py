"""Proposed rechecks: what they go by, what they refuse, and what planned work should cost."""

import math
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from fleet.calc.interval import (
    CostOptimum,
    Interval,
    NoOptimum,
    cost_optimal_interval,
    recheck_interval,
)
from fleet.calc.life import (
    LifeError,
    Spells,
    WeibullFit,
    conditional_survival,
    fit_spells,
    profile_interval,
    quantile_bound,
    resampled_bound,
)
from fleet.calc.resampled import refits
from fleet.calc.weibull_fit import fitted
from fleet.calc.weibull_rows import take_apart
from tests.calc.lives import SCALE, looked_at, of_every_kind


def some(seed: int = 1, **given: Any) -> Spells:
    return looked_at(300, seed, **({"vehicles": 60} | given))


class TestRecheck:
    def test_it_is_the_lower_of_the_two_bounds(self) -> None:
        spells = some()
        bounds = quantile_bound(spells, 0.1, 0.9), resampled_bound(spells, 0.1, 0.9)
        found = recheck_interval(spells, 0.9, 0.9)
        assert found.value == pytest.approx(min(bounds))
        assert found.limited_by == ("profile" if bounds[0] < bounds[1] else "resampled")
        assert found.lower_bound_survival == 0.9
        assert found.value < fit_spells(spells).quantile(0.1)

    def test_vehicles_that_differ_much_shorten_it(self) -> None:
        spells = some(vehicles=12, spread=1.2)
        found = recheck_interval(spells, 0.9)
        assert found.limited_by == "resampled"
        assert found.value < 0.9 * quantile_bound(spells, 0.1)

    def test_more_to_be_tight_or_surer_makes_it_shorter(self) -> None:
        spells = some()
        first = recheck_interval(spells, 0.9, 0.9).value
        assert recheck_interval(spells, 0.95, 0.9).value < first
        assert recheck_interval(spells, 0.9, 0.95).value < first

    def test_a_joint_that_wears_is_looked_at_sooner_when_it_is_older(self) -> None:
        spells = some(shape=2.5)
        found = [recheck_interval(spells, 0.9, age=age).value for age in (0.0, 400.0, 800.0)]
        assert found == sorted(found, reverse=True)

    def test_the_bound_of_the_share_is_met_where_a_cap_makes_it_shorter(self) -> None:
        spells = some()
        free = recheck_interval(spells, 0.9, age=100.0)
        capped = recheck_interval(spells, 0.9, age=100.0, cap=free.value / 2)
        assert (capped.value, capped.limited_by) == (free.value / 2, "cap")
        assert capped.lower_bound_survival > 0.9
        assert capped.lower_bound_survival < conditional_survival(
            fit_spells(spells), 100, capped.value
        )
        same = recheck_interval(spells, 0.9, age=100.0, cap=free.value * (1 - 1e-9))
        assert same.lower_bound_survival == pytest.approx(0.9, abs=1e-6)

    def test_never_beyond_the_longest_use_at_which_a_joint_was_tight(self) -> None:
        spells = some(every=150.0, looks=2)
        found = recheck_interval(spells, 0.4)
        assert (found.value, found.limited_by) == (spells.longest_tight, "longest_tight")
        assert 0.4 < found.lower_bound_survival < 1
        assert recheck_interval(spells, 0.4, age=100.0).value == spells.longest_tight - 100

    def test_wear_that_is_watched_from_later_on_is_not_taken_for_longer_life(self) -> None:
        given = of_every_kind(600, 9)
        late = recheck_interval(given.spells, 0.9).value
        assert late < 0.95 * recheck_interval(Spells(given.lower, given.upper), 0.9).value

    def test_the_same_seed_says_the_same_another_nearly(self) -> None:
        spells = some(vehicles=12, spread=0.8)
        one, again, other = (recheck_interval(spells, 0.9, seed=seed).value for seed in (3, 3, 4))
        assert one == again
        assert other == pytest.approx(one, rel=0.15)
        assert other != one

    def test_labels_and_order_of_vehicles_do_not_matter(self) -> None:
        spells = some(vehicles=12, spread=0.8)
        assert spells.cluster is not None
        order = np.random.default_rng(1).permutation(spells.lower.size)
        labels = np.array([f"T-{number:02d}" for number in spells.cluster])
        other = Spells(spells.lower[order], spells.upper[order], cluster=labels[order])
        assert recheck_interval(other, 0.9).value == pytest.approx(
            recheck_interval(spells, 0.9).value, rel=1e-6
        )

    def test_another_unit_changes_the_value_alone(self) -> None:
        spells = some()
        miles = Spells(spells.lower / 1609.344, spells.upper / 1609.344, cluster=spells.cluster)
        one, other = (
            recheck_interval(s, 0.9, age=a) for s, a in ((spells, 50.0), (miles, 50 / 1609.344))
        )
        assert other.value * 1609.344 == pytest.approx(one.value, rel=1e-6)


def finds(many: int, vehicles: int) -> Spells:
    """So many finds on so many vehicles, and a long tight spell on each of ten others."""
    upper = [400.0 + 10 * n for n in range(many)] + [math.inf] * 10
    lower = [100.0] * many + [1000.0] * 10
    own = [n % vehicles for n in range(many)] + list(range(100, 110))
    return Spells(lower, upper, cluster=own)


class TestRefusals:
    @pytest.mark.parametrize(
        ("spells", "age", "code", "missing"),
        [
            (finds(4, 4), 0.0, "too_few_finds", 1),
            (finds(1, 1), 0.0, "too_few_finds", 4),
            (finds(9, 3), 0.0, "too_few_vehicles", 2),
            (finds(9, 9), 1000.0, "past_seen", 0),
            (finds(9, 9), 1500.0, "past_seen", 500),
        ],
    )
    def test_too_little_is_refused_with_how_much_more_it_takes(
        self, spells: Spells, age: float, code: str, missing: float
    ) -> None:
        with pytest.raises(LifeError) as refused:
            recheck_interval(spells, 0.9, age=age)
        assert (refused.value.code, refused.value.missing) == (code, missing)

    def test_five_finds_on_five_vehicles_are_enough(self) -> None:
        found = recheck_interval(finds(5, 5), 0.9)
        assert isinstance(found, Interval)
        assert 0 < found.value <= 1000

    def test_a_find_of_no_count_is_no_find(self) -> None:
        spells = finds(5, 5)
        count = [0, *[1] * 14]
        with pytest.raises(LifeError, match="have 4, need 5"):
            recheck_interval(Spells(spells.lower, spells.upper, None, count, spells.cluster), 0.9)

    @pytest.mark.parametrize(
        ("given", "words"),
        [
            ({"target": 1.0}, "target must"),
            ({"target": 0.9, "confidence": 0.0}, "confidence must"),
            ({"target": 0.9, "age": -1.0}, "age must"),
            ({"target": 0.9, "cap": 0.0}, "cap must"),
        ],
    )
    def test_what_makes_no_sense_is_named(self, given: dict[str, Any], words: str) -> None:
        with pytest.raises(ValueError, match=words):
            recheck_interval(finds(9, 9), **given)


class TestRefits:
    """All at once by the vehicles' polynomials, or one by one over the rows: the same."""

    @pytest.mark.parametrize("few", [False, True], ids=["many finds", "few finds"])
    def test_they_agree_with_fits_of_the_weighed_rows(self, few: bool) -> None:
        spells = looked_at(2_500, 5, vehicles=40, spread=0.3)
        if few:
            kept = np.isinf(spells.upper) | (np.arange(spells.lower.size) % 50 == 0)
            assert spells.cluster is not None
            spells = Spells(spells.lower[kept], spells.upper[kept], cluster=spells.cluster[kept])
        tops = refits(spells, fitted(spells), count=12, seed=9)
        codes, vehicles = spells.codes()
        weights = np.random.default_rng((25, 9)).standard_exponential((12, vehicles))
        found = np.array([scale_of(spells, top) for top in tops])
        one_by_one = [weighed(spells, weight[codes]) for weight in weights]
        assert found == pytest.approx(np.array(one_by_one), rel=1e-5)

    def test_they_spread_as_the_sandwich_says(self) -> None:
        spells = looked_at(2_000, 6, vehicles=100, spread=0.4)
        tops = refits(spells, fitted(spells))
        scales = np.array([scale_of(spells, top)[1] for top in tops])
        spread = np.sqrt(fit_spells(spells).covariance[1, 1])
        assert np.std(np.log(scales)) == pytest.approx(spread, rel=0.15)

    def test_spells_of_a_count_are_weighed_as_so_many(self) -> None:
        given = of_every_kind(150, 7)
        single = resampled_bound(given.spells, 0.1)
        many = Spells(given.lower, given.upper, given.entry, np.full(given.lower.size, 9))
        assert single < resampled_bound(many, 0.1) < fit_spells(many).quantile(0.1)

    @pytest.mark.parametrize("vehicles", [2, 3])
    def test_a_couple_of_vehicles_are_enough_to_weigh_but_tell_little(self, vehicles: int) -> None:
        found = resampled_bound(looked_at(400, 8, vehicles=vehicles), 0.1)
        assert 0 < found < fit_spells(looked_at(400, 8)).quantile(0.1)

    def test_one_vehicle_is_not(self) -> None:
        spells = looked_at(400, 8)
        alone = Spells(spells.lower, spells.upper, cluster=["T-1"] * spells.lower.size)
        with pytest.raises(LifeError, match="have 1, need 2"):
            resampled_bound(alone, 0.1)

    def test_both_sides_lie_about_the_best(self) -> None:
        spells = some()
        low, high = (resampled_bound(spells, 0.1, 0.9, side) for side in ("lower", "upper"))
        assert low < fit_spells(spells).quantile(0.1) < high


def scale_of(spells: Spells, top: NDArray[np.float64]) -> tuple[float, float]:
    k = float(np.exp(top[0]))
    return k, float(np.exp(take_apart(spells).centre - top[1] / k))


def weighed(spells: Spells, weight: NDArray[np.float64]) -> tuple[float, float]:
    fit = fit_spells(Spells(spells.lower, spells.upper, spells.entry, weight))
    return fit.shape, fit.scale


def test_two_sided_bounds_are_two_one_sided_ones() -> None:
    spells = some()
    one_sided = [quantile_bound(spells, 0.1, 0.95, side) for side in ("lower", "upper")]
    assert profile_interval(spells, 0.1, 0.9) == pytest.approx(one_sided)
    low, high = profile_interval(spells, "scale", 0.9)
    assert low < fit_spells(spells).scale < high


def a_life(shape: float) -> WeibullFit:
    return WeibullFit(shape, SCALE, np.eye(2), -1.0, 9.0)


class TestCosts:
    @pytest.mark.parametrize("shape", [1.2, 2.0, 5.0])
    @pytest.mark.parametrize("times", [3.0, 10.0, 200.0])
    def test_no_other_interval_is_cheaper(self, shape: float, times: float) -> None:
        """Against costs written out, by summing up survival."""
        found = cost_optimal_interval(a_life(shape), 1.0, times)
        assert isinstance(found, CostOptimum)
        uses = found.value * np.array([0.7, 0.97, 1.0, 1.03, 1.4])
        rates = [cost(a_life(shape), use, times) for use in uses]
        assert np.argmin(rates) == 2
        assert found.cost_rate == pytest.approx(rates[2], rel=1e-6)
        assert found.cost_rate < found.cost_rate_without
        assert found.cost_rate_without == pytest.approx(
            cost(a_life(shape), 20 * SCALE, times), rel=1e-3
        )

    def test_dearer_surprises_call_for_shorter_intervals(self) -> None:
        found = [cost_optimal_interval(a_life(2.0), 1.0, u) for u in (3.0, 10.0, 100.0)]
        values = [one.value for one in found if isinstance(one, CostOptimum)]
        assert len(values) == 3
        assert values == sorted(values, reverse=True)

    @pytest.mark.parametrize(
        ("shape", "unplanned", "reason"),
        [(1.0, 50, "shape"), (0.8, 50, "shape"), (2.0, 1, "costs")],
    )
    def test_it_says_when_no_interval_pays(
        self, shape: float, unplanned: float, reason: str
    ) -> None:
        assert cost_optimal_interval(a_life(shape), 1, unplanned) == NoOptimum(reason)  # type: ignore[arg-type]

    def test_where_it_hardly_pays_it_is_never_or_very_late(self) -> None:
        found = cost_optimal_interval(a_life(1.05), 1.0, 1.01)
        assert isinstance(found, NoOptimum) or found.value > 10 * SCALE

    def test_costs_are_above_nothing(self) -> None:
        with pytest.raises(ValueError, match="costs must be"):
            cost_optimal_interval(a_life(2.0), 0, 5)


def cost(fit: WeibullFit, use: float, times: float) -> float:
    at = np.linspace(0, use, 20_001)
    tight = fit.survival(at)
    return float((tight[-1] + times * (1 - tight[-1])) / np.trapezoid(tight, at))
