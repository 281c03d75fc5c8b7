"""Tape, wrench and meter figures: what must hold for every one of them."""

import copy
import math
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.calc.unit_errors import MESSAGES
from fleet.calc.units import (
    METER_UNITS,
    UnitError,
    convert,
    format_length,
    format_pressure,
    format_torque,
    parse_length,
    parse_meter,
    parse_pressure,
    parse_torque,
    use_from_si,
    use_si,
)

INCH = Fraction(254, 10_000)
sixty_fourths = st.integers(0, 200 * 64).map(lambda n: Fraction(n, 64))
meter_units = st.sampled_from(METER_UNITS)


def tape(inches: Fraction, join: str = " ") -> str:
    whole, part = divmod(inches, 1)
    if not part:
        return str(whole)
    return f"{whole}{join}{part}" if whole else str(part)


@given(sixty_fourths, st.sampled_from([" ", "-", "  ", " - ", "\u00a0"]))
def test_a_tape_reading_is_exact_to_a_64th(inches: Fraction, join: str) -> None:
    reading = parse_length(tape(inches, join))
    assert reading.magnitude == inches
    assert reading.si == float(inches * INCH)


@given(sixty_fourths, st.sampled_from(["in", "ft"]))
def test_what_is_written_on_a_tape_is_read_back(inches: Fraction, unit: str) -> None:
    si = float(inches * INCH)
    assert parse_length(format_length(si, unit, 64), unit).si == si


@given(st.integers(-640, 640))
def test_a_signed_toe_is_read_back(steps: int) -> None:
    si = float(Fraction(steps, 64) * INCH)
    assert parse_length(format_length(si, "in", 64), signed=True).si == si


@given(st.integers(0, 99_999))
def test_tenths_of_a_millimeter_are_read_back(tenths: int) -> None:
    si = float(Fraction(tenths, 10_000))
    assert parse_length(format_length(si, "mm"), "mm").si == si
    assert parse_length(format_length(si, "mm").replace(".", ","), "mm").si == si


@given(sixty_fourths, sixty_fourths)
def test_a_longer_tape_reading_is_a_longer_length(one: Fraction, other: Fraction) -> None:
    assert (one <= other) == (parse_length(tape(one)).si <= parse_length(tape(other)).si)


@given(st.floats(0, 100), st.sampled_from([1, 2, 4, 8, 16, 32, 64]))
def test_writing_rounds_to_the_nearest_mark(si: float, denominator: int) -> None:
    shown = parse_length(format_length(si, "in", denominator)).si
    assert abs(shown - si) <= 0.0254 / denominator / 2 + 1e-12


@given(st.integers(0, 20_000), st.sampled_from(["N·m", "lbf·ft", "lbf·in"]))
def test_a_torque_in_tenths_is_read_back(tenths: int, unit: str) -> None:
    reading = parse_torque(f"{tenths / 10} {unit}")
    assert parse_torque(format_torque(reading.si, unit)) == reading


@given(st.integers(0, 20_000), st.sampled_from(["psi", "kPa"]))
def test_a_pressure_in_tenths_is_read_back(tenths: int, unit: str) -> None:
    reading = parse_pressure(f"{tenths / 10} {unit}")
    assert parse_pressure(format_pressure(reading.si, unit)) == reading


@given(st.integers(0, 99_999_999), meter_units)
def test_a_meter_is_read_however_its_thousands_are_set_off(tenths: int, unit: str) -> None:
    exact = Fraction(tenths, 10)
    american = f"{tenths // 10:,}.{tenths % 10}"
    for text in (american, american.replace(",", " "), american.replace(",", "\u202f")):
        assert parse_meter(text, unit).magnitude == exact
    european = american.translate(str.maketrans(",.", ".,"))
    assert parse_meter(european, unit).magnitude == exact


@given(st.integers(0, 99_999_999), meter_units)
def test_a_meter_in_tenths_survives_whole_metres_and_seconds(tenths: int, unit: str) -> None:
    value = Decimal(tenths).scaleb(-1)
    assert use_from_si(use_si(value, unit), unit) == value


@given(st.integers(0, 10**9), st.integers(0, 10**9), meter_units)
def test_more_on_the_meter_is_more_use(one: int, other: int, unit: str) -> None:
    assert (one <= other) == (use_si(one, unit) <= use_si(other, unit))


@given(st.text(max_size=80))
def test_any_text_is_read_or_refused_with_its_place(text: str) -> None:
    for parse in (parse_length, parse_torque, parse_pressure):
        try:
            reading = parse(text)
        except UnitError as error:
            assert_says_what_is_wrong(error, text)
        else:
            assert math.isfinite(reading.si)
            assert reading.si >= 0


figure_like = st.text("0123456789 ,./-'\"½⅓infem·Nbkg+", max_size=16)


@given(figure_like, st.sampled_from(METER_UNITS))
def test_any_figure_like_text_is_read_or_refused_with_its_place(text: str, unit: str) -> None:
    for parse in (parse_length, parse_torque, parse_pressure, lambda one: parse_meter(one, unit)):
        try:
            assert parse(text).si >= 0
        except UnitError as error:
            assert_says_what_is_wrong(error, text)


def assert_says_what_is_wrong(error: UnitError, text: str) -> None:
    assert error.code in MESSAGES
    assert error.text == text
    assert 0 <= error.position <= len(text)
    assert error.hint
    assert MESSAGES[error.code] in str(error)
    assert error.hint in str(error)


def test_a_refusal_names_the_place_in_plain_words() -> None:
    with pytest.raises(UnitError) as caught:
        parse_length("46 5/0 in")
    assert str(caught.value) == (
        'Can\'t read "46 5/0 in" at "0 in" (character 6): the lower number of a fraction '
        "can't be zero. Type it like: 46 5/16 in"
    )


def test_an_ambiguous_comma_offers_both_ways_to_write_it() -> None:
    with pytest.raises(UnitError) as caught:
        parse_length("1,176 mm")
    assert caught.value.hint == "1176 or 1.176"


def test_a_hint_can_itself_be_typed() -> None:
    for parse, unit in ((parse_length, "mm"), (parse_torque, "lbf·ft"), (parse_pressure, "bar")):
        with pytest.raises(UnitError) as caught:
            parse("?", unit)
        assert parse(caught.value.hint).unit == unit


def test_a_refusal_can_be_copied_and_so_pickled() -> None:
    with pytest.raises(UnitError) as caught:
        parse_torque("1e400")
    again = copy.copy(caught.value)
    assert (again.code, again.position, str(again)) == ("exponent", 1, str(caught.value))


@pytest.mark.parametrize("unit", ["N·m", "furlong", ""])
def test_a_default_unit_of_another_kind_is_the_callers_mistake(unit: str) -> None:
    with pytest.raises(ValueError, match="no unit of length"):
        parse_length("46", unit)
    with pytest.raises(ValueError, match="no unit of length"):
        format_length(1.0, unit)


def test_conversion_keeps_to_one_dimension_and_to_finite_numbers() -> None:
    assert convert(Fraction(1, 2), "ft-lb", "in-lb") == 6
    with pytest.raises(ValueError, match="is a length, N·m a torque"):
        convert(1, "mi", "N·m")
    with pytest.raises(ValueError, match="unit not known: 'ell'"):
        convert(1, "mi", "ell")
    for value in (math.inf, math.nan):
        with pytest.raises(ValueError, match="not a finite number"):
            convert(value, "mi", "km")
        with pytest.raises(ValueError, match="not a finite number"):
            format_torque(value, "N·m")


@pytest.mark.parametrize("value", [math.inf, math.nan, Decimal("Infinity"), Decimal("NaN")])
def test_use_is_finite(value: float | Decimal) -> None:
    with pytest.raises(ValueError, match=r"finite|NaN|integer"):
        use_si(value, "mi")


def test_a_meter_counts_in_miles_kilometers_or_hours() -> None:
    with pytest.raises(ValueError, match="a meter counts in mi, km, h"):
        parse_meter("12", "in")
