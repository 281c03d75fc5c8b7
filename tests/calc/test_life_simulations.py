"""Seeded fleets with a known life: what the ways of taking checks make of it, and how often the
bounds hold."""

import numpy as np
import pytest

from fleet.calc.life import Spells, fit_spells, quantile_bound
from fleet.calc.spell_rows import spells_of_checks
from tests.calc.lives import SHAPE, Fleets, checked, looked_at, true_quantile

TIGHT = np.inf


class TestOneRowASpell:
    def test_one_more_tight_check_changes_lower_alone(self) -> None:
        before = spells_of_checks([0, 1, 1], [300, 200, 500], [False, False, True], [900, 900])
        after = spells_of_checks(
            [0, 1, 1, 0, 1], [300, 200, 500, 700, 350], [False, False, True, False, False],
            [900, 900],
        )  # fmt: skip
        assert before.spells.lower.tolist() == [300, 200]
        assert after.spells.lower.tolist() == [700, 350]
        assert before.spells.upper.tolist() == after.spells.upper.tolist() == [TIGHT, 500]

    def test_order_of_checks_and_what_comes_after_a_find_do_not_matter(self) -> None:
        found = spells_of_checks([0, 0, 0, 0], [800, 500, 900, 200], [0, 1, 1, 0], [1000])
        assert (found.spells.lower.tolist(), found.spells.upper.tolist()) == ([200], [500])

    def test_spells_without_a_check_carry_nothing(self) -> None:
        found = spells_of_checks([2, 4], [100, 50], [0, 1], [500] * 5, vehicle=list("ABCDE"))
        assert found.which.tolist() == [2, 4]
        assert found.spells.cluster is not None
        assert found.spells.cluster.tolist() == ["C", "E"]

    @pytest.mark.parametrize(
        ("spell", "use", "words"),
        [
            ([0, 2], [10, 10], "name one"),
            ([0, 0], [0, 10], "above 0"),
            ([0, 0], [10, 99], "beyond"),
        ],
    )
    def test_checks_that_make_no_sense_are_named(
        self, spell: list[int], use: list[float], words: str
    ) -> None:
        with pytest.raises(ValueError, match=words):
            spells_of_checks(spell, use, [0, 0], [50, 50])

    def test_one_value_a_check(self) -> None:
        with pytest.raises(ValueError, match="one value a check"):
            spells_of_checks([0, 0], [10], [0, 0], [50])

    def test_one_row_a_check_puts_the_life_that_nine_of_ten_outlive_at_twice_the_truth(
        self,
    ) -> None:
        fleet = checked(3_000, 1)
        truth = true_quantile(0.1)
        assert fit_spells(fleet.spells()).quantile(0.1) == pytest.approx(truth, rel=0.1)
        assert fit_spells(fleet.one_row_a_check()).quantile(0.1) > 1.9 * truth


class TestComplaints:
    def test_taken_naively_they_bend_the_shape_down_and_as_stated_they_do_not(self) -> None:
        fleet = checked(4_000, 2, every=550.0, complaints=20.0, reached=4000.0)
        naive, stated = fit_spells(fleet.spells(naive=True)), fit_spells(fleet.spells())
        error = np.sqrt(stated.covariance[0, 0])
        assert naive.shape == pytest.approx(0.95, abs=0.05)
        assert abs(np.log(stated.shape / SHAPE)) < 3 * error < 0.06
        assert stated.quantile(0.1) == pytest.approx(true_quantile(0.1), rel=0.1)

    def test_a_find_by_complaint_enters_once_its_due_check_has_come(self) -> None:
        def at(today: float) -> Spells:
            due = [np.nan, 900.0]
            return spells_of_checks([0, 0], [400, 700], [False, True], [today], due=due).spells

        assert (at(899).lower.tolist(), at(899).upper.tolist()) == ([400], [TIGHT])
        assert (at(900).lower.tolist(), at(900).upper.tolist()) == ([400], [900])


def test_the_lower_bound_of_a_quantile_holds_as_often_as_it_says() -> None:
    """Nine in ten are wanted; 160 fleets of 60 spells leave 2.4 points of chance."""
    held = np.mean([
        quantile_bound(looked_at(60, seed, every=400.0, looks=3), 0.1, 0.9) <= true_quantile(0.1)
        for seed in range(160)
    ])  # fmt: skip
    assert 0.84 <= held <= 0.96


def test_where_vehicles_differ_the_lower_of_both_holds_far_more_often_than_the_profile() -> None:
    """More cases: `python -m tests.bench.proposals`."""
    found = Fleets(120, 15, 0.8, target=0.5).proposals(40)
    assert found.held >= 0.75
    assert found.held > found.profile_held + 0.1
