"""What must hold of any lives: units, order, counts and entries do not change what is said."""

from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from fleet.calc.life import (
    LifeError,
    Spells,
    WeibullFit,
    fit_spells,
    quantile_bound,
    turnbull,
)

USES = st.integers(1, 40).map(float)


@st.composite
def spells(draw: st.DrawFn, *, most: int = 12) -> Spells:
    """Of every kind, on few uses, so that ends meet often."""
    rows = draw(st.lists(st.tuples(USES, USES, st.integers(0, 4), USES), min_size=3, max_size=most))
    made = []
    for one, other, kind, late in rows:
        low, high = min(one, other), max(one, other)
        bounds = [(one, one), (0.0, high), (low, np.inf), (low, high + 1), (low, high + 1)][kind]
        made.append((*bounds, min(late, bounds[0]) if kind == 4 else 0.0))
    lower, upper, entry = np.transpose(made)
    return Spells(lower, upper, entry, draw(st.one_of(st.none(), counts(len(made)))))


def counts(rows: int) -> st.SearchStrategy[list[int]]:
    return st.lists(st.integers(1, 3), min_size=rows, max_size=rows)


def fitted(made: Spells) -> WeibullFit:
    """Cases without a clear best life are left to the tests of errors."""
    try:
        fit = fit_spells(made)
    except LifeError:
        assume(False)
        raise
    assume(0.05 < fit.shape < 50)
    return fit


def same(one: WeibullFit, other: WeibullFit, scale: float = 1.0) -> None:
    assert other.shape == pytest.approx(one.shape, rel=1e-5)
    assert other.scale == pytest.approx(one.scale * scale, rel=1e-5)
    assert other.covariance == pytest.approx(one.covariance, rel=1e-3, abs=1e-8)
    assert other.events == one.events


def changed(made: Spells, order: Any = slice(None), times: float = 1.0, **other: Any) -> Spells:
    given_: dict[str, Any] = {
        name: None if (a := getattr(made, name)) is None else a[order] * factor
        for name, factor in [("lower", times), ("upper", times), ("entry", times), ("count", 1)]
    }
    return Spells(**(given_ | other))


@given(spells(), st.floats(1e-4, 1e6))
@settings(max_examples=30)
def test_another_unit_changes_the_scale_alone(made: Spells, times: float) -> None:
    fit, other = fitted(made), fitted(changed(made, times=times))
    same(fit, other, times)
    exact = made.weight[made.lower == made.upper].sum()
    assert other.loglik == pytest.approx(fit.loglik - exact * np.log(times), rel=1e-6, abs=1e-6)


@given(spells(), st.randoms(use_true_random=False))
@settings(max_examples=30)
def test_order_does_not_matter(made: Spells, random: Any) -> None:
    order = list(range(made.lower.size))
    random.shuffle(order)
    same(fitted(made), fitted(changed(made, order)))


@given(spells())
@settings(max_examples=30)
def test_a_count_is_so_many_rows(made: Spells) -> None:
    rows = np.repeat(np.arange(made.lower.size), made.weight.astype(int))
    same(fitted(made), fitted(changed(made, rows, count=None)))


@given(spells())
@settings(max_examples=15)
def test_entry_at_0_is_none(made: Spells) -> None:
    none = changed(made, entry=None)
    same(fitted(none), fitted(changed(made, entry=np.zeros_like(made.lower))))


@given(spells(), st.sampled_from([0.01, 0.1, 0.5]), st.floats(0.0, 20.0))
@settings(max_examples=25)
def test_bounds_lie_about_the_best_and_move_out_with_confidence(
    made: Spells, share: float, age: float
) -> None:
    fit = fitted(changed(made, entry=None))
    made = changed(made, entry=None)
    hazard = fit.cumulative_hazard(age) - np.log1p(-share)
    best = fit.scale * hazard ** (1 / fit.shape) - age
    assume(best > 1e-9 * (age + 1))
    near, far = (quantile_bound(made, share, level, age=age) for level in (0.6, 0.95))
    above, beyond = (quantile_bound(made, share, level, "upper", age=age) for level in (0.6, 0.95))
    assert far <= near <= best * (1 + 1e-6)
    assert best * (1 - 1e-6) <= above <= beyond


@given(spells(), st.floats(1e-3, 1e3), st.randoms(use_true_random=False))
@settings(max_examples=30)
def test_the_estimate_without_a_formula_is_the_best_and_keeps_its_masses(
    made: Spells, times: float, random: Any
) -> None:
    try:
        found = turnbull(made.lower, made.upper, made.count, made.entry)
    except LifeError as error:
        assert error.code == "nobody_at_risk"  # noqa: PT017 - the one that may come
        return
    assert found.gap < 1e-8
    assert found.mass.sum() == pytest.approx(1.0)
    order = np.repeat(np.arange(made.lower.size), made.weight.astype(int))
    random.shuffle(order)
    other = changed(made, order, times, count=None)
    again = turnbull(other.lower, other.upper, entry=other.entry)
    assert again.loglik == pytest.approx(found.loglik, abs=1e-6)
