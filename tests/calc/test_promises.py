"""What the patterns promise, on simulated fleets with a known truth (tests/support/simulate).

The large tables, by `python -m tests.bench.patterns`, stand in DEVELOPERS.md.
"""

import numpy as np
import pytest

from fleet.calc.clusters import benjamini_hochberg, rate_outliers
from fleet.calc.clusters.causes import Candidate
from tests.support.simulate.baseline import expectations
from tests.support.simulate.promises import (
    any_by,
    causes_of,
    planted,
    planted_rows,
    planted_week,
)
from tests.support.simulate.scans import NEVER, scan, worsened
from tests.support.simulate.weeks import Checks, make_checks
from tests.support.simulate.world import Size, Truth, World, make_world

#: Of 200 clean fleets, so many with a pattern fail (decision 31): 1 in 40 by chance at 5 %.
TOO_MANY = 17


@pytest.fixture(scope="module")
def clean() -> tuple[World, Checks]:
    """Vehicles that differ more than most, seasons, missed rechecks, complaints, three years."""
    world = make_world(Size(fleets=200, vehicles=20, years=3.0, shape=1.5), Truth(), seed=5)
    return world, make_checks(world)


def test_in_clean_fleets_scans_over_the_years_open_next_to_nothing(
    clean: tuple[World, Checks],
) -> None:
    joints, groups = any_by(scan(*clean, every=17))
    worse = worsened(*clean, every=26)
    assert np.count_nonzero(joints | groups | worse) < TOO_MANY


def test_these_fleets_would_fool_a_plain_test(clean: tuple[World, Checks]) -> None:
    """Routes and yards held against the fleet's own expectation once, as plain Poisson counts."""
    world, checks = clean
    due, known = expectations(world, checks)
    fooled = np.zeros(world.size.fleets, dtype=bool)
    for label, members in (("yard", 5), ("route", 8)):
        cell = (world.vehicles.fleet[checks.vehicle] * members + getattr(checks, label))[known]
        size = world.size.fleets * members
        found = np.bincount(cell, checks.found[known], size).reshape(-1, members)
        expected = np.bincount(cell, due[known], size).reshape(-1, members) + 1e-9
        p = rate_outliers(found, expected).p
        fooled |= np.array([np.any(benjamini_hochberg(row) <= 0.05) for row in p])
    assert fooled.mean() > 0.15


@pytest.mark.parametrize(
    ("truth", "vehicles"), [(Truth(lot=2.5), 150), (Truth(tool=1.8), 400), (Truth(hole=60.0), 60)]
)
def test_a_planted_cause_is_found_and_it_alone(truth: Truth, vehicles: int) -> None:
    world = make_world(Size(fleets=2, vehicles=vehicles, years=5.0), truth, seed=9)
    checks = make_checks(world)
    assert np.all(planted_week(world, scan(world, checks, every=26)) < NEVER)
    for fleet in range(2):
        assert [cause.candidate for cause in causes_of(world, checks, fleet)] == [
            planted(world, fleet)
        ]


def test_the_expectation_of_a_clean_fleet_meets_its_finds(clean: tuple[World, Checks]) -> None:
    """From earlier months only, so it may lag; seasons and missed rechecks are in the finds."""
    due, known = expectations(*clean)
    assert known.mean() > 0.6
    assert clean[1].found[known].sum() == pytest.approx(due[known].sum(), rel=0.05)


def test_the_same_seed_makes_the_same_fleets_and_causes_make_more_finds() -> None:
    size = Size(fleets=3, vehicles=20, years=1.0)
    one, two = (make_checks(make_world(size, Truth(), seed=1)) for _ in range(2))
    assert np.array_equal(one.found, two.found)
    assert np.array_equal(one.upper, two.upper)
    rows = {}
    for factor in (1.0, 4.0):
        world = make_world(Size(fleets=3, vehicles=20, years=3.0), Truth(tool=factor), seed=1)
        checks = make_checks(world)
        mine = planted_rows(world, checks) if factor > 1 else checks.tool == 0
        rows[factor] = checks.found[mine].mean()
    assert rows[4.0] > 2 * rows[1.0]


def test_every_row_is_a_check_of_one_spell(clean: tuple[World, Checks]) -> None:
    """Decision 22: later checks of a spell begin where the one before ended.

    Finds by complaint count later than they were made, and stand among later rows.
    """
    _, checks = clean
    assert np.all((checks.lower >= 0) & (checks.lower < checks.upper))
    assert np.all(np.diff(checks.time) >= 0)
    order = np.lexsort((checks.upper, checks.time, checks.joint))
    same = np.diff(checks.joint[order]) == 0
    after_tight = same & ~checks.found[order][:-1] & (np.diff(checks.time[order]) > 0)
    goes_on = checks.lower[order][1:] == checks.upper[order][:-1]
    assert goes_on[after_tight].mean() > 0.97
    assert planted(make_world(Size(1, 5, 1.0), Truth(lot=2.0), 1)) == Candidate("lot", 1)
