"""Lives fitted to spells: what a fit says, and what it refuses to say."""

import pickle
from typing import Any

import numpy as np
import pytest

from fleet.calc.life import (
    LifeError,
    Spells,
    WeibullFit,
    compare_groups,
    conditional_survival,
    fit_spells,
    fit_weibull,
)
from tests.calc.lives import SCALE, SHAPE, Kinds, looked_at, of_every_kind

TIGHT = np.inf


class TestFit:
    @pytest.mark.parametrize("late", [False, True], ids=["from the start", "some from later on"])
    def test_it_finds_the_life_behind_spells_of_every_kind(self, late: bool) -> None:
        fit = fit_spells(of_every_kind(20_000, 1, late=late).spells)
        errors = np.sqrt(np.diag(fit.covariance))
        assert abs(np.log(fit.shape / SHAPE)) < 3 * errors[0] < 0.05
        assert abs(np.log(fit.scale / SCALE)) < 3 * errors[1] < 0.05

    def test_late_entry_taken_for_none_makes_lives_look_longer(self) -> None:
        given = of_every_kind(5_000, 2)
        naive = fit_weibull(given.lower, given.upper)
        assert naive.quantile(0.1) > 1.2 * fit_spells(given.spells).quantile(0.1)

    def test_the_covariance_is_that_of_the_likelihoods_bend(self) -> None:
        """Against differences of the log likelihood itself, in log shape and log scale."""
        given = of_every_kind(400, 3)
        fit = fit_spells(given.spells)
        step = 1e-3
        bend = np.empty((2, 2))
        for i, j in np.ndindex(2, 2):
            a, b = np.eye(2)[i] * step, np.eye(2)[j] * step
            corners = [likelihood(given, fit, sign * a + way * b) * sign * way
                       for sign in (1, -1) for way in (1, -1)]  # fmt: skip
            bend[i, j] = sum(corners) / (4 * step**2)
        assert np.linalg.inv(-bend) == pytest.approx(fit.covariance, rel=1e-4)
        assert likelihood(given, fit, np.zeros(2)) == pytest.approx(fit.loglik, rel=1e-10)

    def test_spells_of_one_vehicle_that_hang_together_widen_the_covariance_alone(self) -> None:
        spells = looked_at(2_000, 4, vehicles=50, spread=0.5)
        alone = fit_weibull(spells.lower, spells.upper)
        together = fit_spells(spells)
        assert (together.shape, together.scale) == (alone.shape, alone.scale)
        assert together.covariance[1, 1] > 4 * alone.covariance[1, 1]

    def test_vehicles_that_do_not_differ_leave_the_covariance_as_it_was(self) -> None:
        spells = looked_at(4_000, 5, vehicles=400)
        alone = fit_weibull(spells.lower, spells.upper)
        assert fit_spells(spells).covariance == pytest.approx(alone.covariance, rel=0.2)

    def test_very_narrow_bounds_are_as_good_as_exact(self) -> None:
        life = SCALE * np.random.default_rng(6).weibull(SHAPE, 200)
        narrow = fit_weibull(life * (1 - 1e-9), life)
        assert narrow.shape == pytest.approx(fit_weibull(life, life).shape, rel=1e-6)

    @pytest.mark.parametrize("shape", [0.3, 30.0])
    @pytest.mark.parametrize("scale", [1e-3, 1e9])
    def test_extreme_lives_are_found_too(self, shape: float, scale: float) -> None:
        spells = looked_at(3_000, 7, shape=1.0, every=0.4, scale=1.0)
        stretched = Spells(scale * spells.lower ** (1 / shape), scale * spells.upper ** (1 / shape))
        fit = fit_spells(stretched)
        assert fit.shape == pytest.approx(shape, rel=0.1)
        assert fit.scale == pytest.approx(scale, rel=0.3)


def likelihood(given: Kinds, fit: WeibullFit, change: Any) -> float:
    """Written out row by row, from survival and density."""
    shape, scale = np.exp(np.log([fit.shape, fit.scale]) + change)

    def hazard(time: Any) -> Any:
        return (np.asarray(time) / scale) ** shape

    exact = given.lower == given.upper
    density = np.log(shape / scale * (given.lower[exact] / scale) ** (shape - 1))
    between = np.exp(-hazard(given.lower)) - np.exp(-hazard(given.upper))
    alone = np.log(between[~exact]).sum() + (density - hazard(given.lower[exact])).sum()
    return float(alone + hazard(given.entry).sum())


class TestWhatAFitSays:
    fit = WeibullFit(2.0, 1000.0, np.eye(2), -10.0, 9.0)

    def test_63_percent_have_given_at_the_scale(self) -> None:
        assert self.fit.survival(1000.0) == pytest.approx(np.exp(-1))
        assert self.fit.quantile(1 - np.exp(-1)) == pytest.approx(1000.0)

    def test_quantile_and_survival_undo_each_other(self) -> None:
        share = np.array([0.01, 0.1, 0.5, 0.99])
        assert self.fit.survival(self.fit.quantile(share)) == pytest.approx(1 - share)

    def test_nothing_has_given_at_once_and_all_in_the_end(self) -> None:
        assert self.fit.survival([0, TIGHT]).tolist() == [1, 0]
        assert self.fit.quantile([0, 1]).tolist() == [0, TIGHT]

    def test_a_share_is_between_none_and_all(self) -> None:
        with pytest.raises(ValueError, match="p must lie between 0 and 1"):
            self.fit.quantile(1.5)

    def test_survival_from_an_age_is_the_ratio_of_two(self) -> None:
        ratio = self.fit.survival(900) / self.fit.survival(400)
        assert conditional_survival(self.fit, 400, 500) == pytest.approx(ratio)
        assert conditional_survival(self.fit, [0, 400], 0).tolist() == [1, 1]

    def test_a_joint_that_wears_is_trusted_less_with_age_one_that_beds_in_more(self) -> None:
        wearing = conditional_survival(self.fit, [0, 500, 1000], 100)
        bedding = WeibullFit(0.5, 1000.0, np.eye(2), -10.0, 9.0)
        assert np.all(np.diff(wearing) < 0)
        assert np.all(np.diff(conditional_survival(bedding, [0, 500, 1000], 100)) > 0)

    def test_age_and_use_are_not_below_nothing(self) -> None:
        with pytest.raises(ValueError, match="must not be below 0"):
            conditional_survival(self.fit, -1, 10)


REFUSED = [
    ("no_spells", [], []),
    ("no_finds", [100, 200, 300], [TIGHT] * 3),
    ("never_tight", [0, 0, 0], [100, 200, 300]),
    ("one_moment", [0, 100, 200], [300, 400, TIGHT]),
    ("one_moment", [0, 0, 500, 500], [500, 500, TIGHT, TIGHT]),
    ("one_moment", [500, 500], [500, 500]),
    ("falling", [0, 0, 0, 300, 400], [100, 100, 200, TIGHT, TIGHT]),
]


@pytest.mark.parametrize(("code", "lower", "upper"), REFUSED)
def test_spells_without_a_best_life_are_refused_with_what_is_missing(
    code: str, lower: list[float], upper: list[float]
) -> None:
    with pytest.raises(LifeError) as refused:
        fit_weibull(lower, upper)
    assert refused.value.code == code


def test_late_entries_that_leave_only_a_fall_are_refused() -> None:
    lower, upper = [1.01] * 5 + [1e6] * 5, [1.01] * 5 + [TIGHT] * 5
    with pytest.raises(LifeError) as refused:
        fit_weibull(lower, upper, entry=[1.0] * 10)
    assert refused.value.code == "falling"


def test_a_row_without_count_is_as_good_as_none() -> None:
    with pytest.raises(LifeError) as refused:
        fit_weibull([0, 100, 300], [200, 250, TIGHT], count=[0, 0, 3])
    assert refused.value.code == "no_finds"


def test_what_is_missing_is_counted_and_outlives_a_process() -> None:
    error = LifeError("too_few_finds", 2, 5)
    assert error.missing == 3
    assert str(error) == "too few finds (have 2, need 5)"
    again = pickle.loads(pickle.dumps(error))  # noqa: S301 - our own
    assert (again.code, again.have, again.need) == ("too_few_finds", 2, 5)
    assert LifeError("falling").missing is None


WRONG = [
    ("carries nothing", {"lower": [0, 10], "upper": [TIGHT, TIGHT]}),
    ("not above upper", {"lower": [20], "upper": [10]}),
    ("lower must be finite", {"lower": [TIGHT], "upper": [TIGHT]}),
    ("lower must be finite", {"lower": [1], "upper": [np.nan]}),
    ("entry must lie", {"lower": [np.nan], "upper": [10]}),
    ("entry must lie", {"lower": [-1], "upper": [10]}),
    ("entry must lie", {"lower": [5], "upper": [10], "entry": [6]}),
    ("life of exactly 0", {"lower": [0], "upper": [0]}),
    ("count must be", {"lower": [5], "upper": [10], "count": [-1]}),
    ("count must be", {"lower": [5], "upper": [10], "count": [np.nan]}),
    ("upper must have one value a spell", {"lower": [5], "upper": [10, 20]}),
    ("cluster must have one", {"lower": [5], "upper": [10], "cluster": ["A", "B"]}),
    ("lower must have one", {"lower": [[5]], "upper": [[10]]}),
]


@pytest.mark.parametrize(("words", "given"), WRONG, ids=[words for words, _ in WRONG])
def test_rows_that_make_no_sense_are_named(words: str, given: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match=words):
        Spells(**given)


def test_spells_stay_as_they_were_given() -> None:
    lower = np.array([0.0, 5.0])
    spells = Spells(lower, [10, TIGHT], cluster=["B", "A"])
    lower[0] = 7.0
    assert spells.lower.tolist() == [0, 5]
    with pytest.raises(AttributeError, match="not changed"):
        spells.lower = lower
    with pytest.raises(ValueError, match="read-only"):
        spells.lower[0] = 3.0
    again = pickle.loads(pickle.dumps(spells))  # noqa: S301 - our own
    assert again.upper.tolist() == [10, TIGHT]
    assert (again.finds, again.vehicles_with_finds, again.longest_tight) == (1, 1, 5)


def test_one_vehicle_alone_says_nothing_of_how_vehicles_differ() -> None:
    with pytest.raises(ValueError, match="one vehicle only"):
        fit_weibull([0, 100, 200], [150, 250, TIGHT], cluster=["A", "A", "A"])


class TestGroups:
    def spells(self, scale: float, seed: int) -> Spells:
        return looked_at(400, seed, scale=scale)

    def test_groups_that_differ_are_told_apart(self) -> None:
        one, other = self.spells(1000, 1), self.spells(600, 2)
        assert compared(one, other).p < 1e-6

    def test_of_groups_that_do_not_differ_one_in_twenty_seems_to(self) -> None:
        found = [compared(self.spells(1000, n), self.spells(1000, n + 500)).p for n in range(80)]
        # Four are expected; more than ten come once in a thousand.
        assert 1 <= np.sum(np.array(found) < 0.05) <= 10

    def test_the_same_group_thrice_has_nothing_to_tell(self) -> None:
        one = self.spells(1000, 1)
        found = compared(one, one, one)
        assert (found.degrees, found.p) == (4, pytest.approx(1.0))

    def test_a_pooled_fit_of_other_spells_is_refused(self) -> None:
        fits = [fit_spells(self.spells(1000, seed)) for seed in (1, 2)]
        with pytest.raises(ValueError, match="pooled must be"):
            compare_groups(fits, fits[0])
        with pytest.raises(ValueError, match="two groups"):
            compare_groups(fits[:1], fits[0])


def compared(*groups: Spells) -> Any:
    pooled = fit_weibull(
        np.concatenate([group.lower for group in groups]),
        np.concatenate([group.upper for group in groups]),
    )
    return compare_groups([fit_spells(group) for group in groups], pooled)
