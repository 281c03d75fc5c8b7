"""Marks of an axis: round, few, and reaching over all that is drawn."""

from datetime import date
from itertools import pairwise

import pytest
from django.utils.translation import override
from hypothesis import given
from hypothesis import strategies as st

from fleet.pictures.plots.ticks import date_ticks, day_of, nice_step, nice_ticks, number

SIXTEENTHS = (1 / 32, 1 / 16, 1 / 8, 1 / 4, 1 / 2, 1.0)
figures = st.floats(-1e6, 1e6, allow_nan=False).map(lambda value: round(value, 4))
days = st.dates(date(1990, 1, 1), date(2090, 1, 1))


@given(figures, figures, st.integers(3, 12))
def test_marks_cover_the_range_and_are_no_more_than_asked(a: float, b: float, most: int) -> None:
    low, high = min(a, b), max(a, b)
    ticks = nice_ticks(low, high, most)
    assert 2 <= len(ticks) <= most
    assert ticks[0] <= low + 1e-6 * abs(low)
    assert ticks[-1] >= high - 1e-6 * abs(high)


@given(figures, figures, st.integers(3, 12))
def test_steps_are_even_and_of_one_two_or_five(a: float, b: float, most: int) -> None:
    ticks = nice_ticks(min(a, b), max(a, b), most)
    step = ticks[1] - ticks[0]
    assert all(b - a == pytest.approx(step, rel=1e-6) for a, b in pairwise(ticks))
    leading = float(f"{step:.6e}".split("e")[0])
    assert min(abs(leading - nice) for nice in (1, 2, 5, 10)) < 1e-3


@given(st.floats(-0.5, 0.5), st.floats(0.001, 3), st.integers(3, 8))
def test_a_tape_is_marked_in_its_own_fractions(low: float, span: float, most: int) -> None:
    ticks = nice_ticks(low, low + span, most, SIXTEENTHS)
    step = ticks[1] - ticks[0]
    assert len(ticks) <= most
    assert any(step == pytest.approx(one) for one in (*SIXTEENTHS, 2.0, 4.0))


def test_known_ranges_have_known_marks() -> None:
    assert nice_ticks(0, 1.54, 5) == [0.0, 0.5, 1.0, 1.5, 2.0]
    assert nice_ticks(-1 / 16, 3 / 16, 7, SIXTEENTHS) == [-0.0625, 0, 0.0625, 0.125, 0.1875]
    assert nice_ticks(0, 0, 5) == [-1.0, -0.5, 0.0, 0.5, 1.0]


@pytest.mark.parametrize(("span", "most"), [(0.0, 5), (float("nan"), 5), (1.0, 1)])
def test_what_makes_no_axis_is_refused(span: float, most: int) -> None:
    with pytest.raises(ValueError, match=r"span|most"):
        nice_step(span, most)


@given(days, days, st.integers(2, 12))
def test_dates_are_marked_within_their_span_and_few(a: date, b: date, most: int) -> None:
    first, last = min(a, b), max(a, b)
    ticks = date_ticks(first, last, most)
    assert 1 <= len(ticks) <= most
    assert all(day_of(first) <= tick.at <= day_of(last) for tick in ticks)


@given(days, st.integers(70, 20_000), st.integers(4, 10))
def test_dates_are_first_days_of_months_and_say_their_year(a: date, span: int, most: int) -> None:
    ticks = date_ticks(a, date.fromordinal(a.toordinal() + span), most)
    assert all(date.fromordinal(int(tick.at)).day == 1 for tick in ticks)
    assert any(any(letter.isdigit() for letter in tick.text) for tick in ticks)


def test_years_quarters_and_months_by_the_length_of_the_span() -> None:
    def words(last: date) -> list[str]:
        return [tick.text for tick in date_ticks(date(2024, 1, 1), last, 6)]

    assert words(date(2024, 4, 20)) == ["2024", "Feb", "Mar", "Apr"]
    assert words(date(2025, 3, 20)) == ["2024", "Apr", "Jul", "Oct", "2025"]
    assert words(date(2026, 3, 20)) == ["2024", "Jul", "2025", "Jul", "2026"]
    assert words(date(2029, 3, 20)) == ["2024", "2025", "2026", "2027", "2028", "2029"]


def test_a_figure_has_no_more_decimals_than_it_needs() -> None:
    assert [number(value) for value in (0.0, -0.0, 0.1, -12.5, 1234567.0)] == [
        "0", "0", "0.1", "−12.5", "1,234,567",
    ]  # fmt: skip


def test_months_are_named_as_the_reader_writes_them() -> None:
    """Spanish months are lower case (the Academy's Ortografía, from memory, unverified)."""
    with override("es"):
        ticks = date_ticks(date(2024, 3, 9), date(2026, 6, 1), 4)
    assert [tick.text for tick in ticks] == ["jul", "2025", "jul", "2026"]
