"""Scuff gauge, angles and Ackermann against printed and computed figures."""

import pytest

from fleet.calc.alignment import (
    ackermann_outer_degrees,
    scuff_feet_per_mile,
    toe_at_span,
    toe_figures,
    toe_from_angle,
    turns_for_toe,
)
from tests.published.tables import rows

INCH = 0.0254
COLUMNS = {"1_16": 1 / 16, "1_8": 1 / 8, "3_16": 3 / 16, "1_4": 1 / 4}


@pytest.mark.parametrize("column", COLUMNS)
@pytest.mark.parametrize(
    "row",
    rows("toe_scuff_570_7.csv"),
    ids=lambda row: f"49 CFR 570.7(d) Table I, {row['wheel_in']} in (from memory, unverified)",
)
def test_scuff_gauge_reading_of_570_7d(row: dict[str, str], column: str) -> None:
    reading = scuff_feet_per_mile(COLUMNS[column] * INCH, float(row["tire_d_in"]) * INCH)
    assert reading == pytest.approx(float(row[f"ft_per_mi_{column}"]), abs=0.0501)


@pytest.mark.parametrize(
    "row",
    rows("ackermann_examples.csv"),
    ids=lambda row: f"textbook relation, inner {row['inner_deg']} (computed)",
)
def test_outer_wheel_of_an_ackermann_turn(row: dict[str, str]) -> None:
    outer = ackermann_outer_degrees(float(row["inner_deg"]), 1.73, 3.55)
    assert outer == pytest.approx(float(row["outer_deg"]), abs=0.0005)


@pytest.mark.parametrize(
    "row",
    rows("toe_examples.csv"),
    ids=lambda row: f"{row['case']} {row['which']}: {row['note']} ({row['read_or_memory']})",
)
def test_distance_of_a_published_angle(row: dict[str, str]) -> None:
    wheels = 2 if row["which"].startswith("per wheel") else 1
    distance = toe_from_angle(float(row["angle_deg"]) * wheels, float(row["D_mm"]) / 1000)
    # Source A is off its own formula by 0.001 mm, and the rest by the rounding of the angle.
    assert distance * 1000 / wheels == pytest.approx(float(row["distance_mm"]), rel=0.001)


def test_an_alignment_shops_page_has_an_eighth_on_26_in_as_0_138_degrees_a_wheel() -> None:
    figures = toe_figures(INCH / 8, 26 * INCH)
    assert figures.degrees_per_wheel == pytest.approx(0.138, abs=0.0005)
    assert figures.degrees == 2 * figures.degrees_per_wheel
    assert (figures.inches, figures.millimetres) == pytest.approx((0.125, 3.175))


def test_a_span_and_the_radius_of_a_tire_are_different_angles() -> None:
    """The slip of a forum's answer: with the radius the same distance is twice the angle."""
    whole, half = toe_figures(INCH / 8, 26 * INCH), toe_figures(INCH / 8, 13 * INCH)
    assert half.degrees == pytest.approx(2 * whole.degrees, rel=1e-4)


def test_the_convention_of_two_degrees_an_inch_holds_at_28_64_in_only() -> None:
    """A published convention (read); at the tread of a 31 in tire two degrees are more."""
    assert toe_from_angle(2, 28.64 * INCH) / INCH == pytest.approx(1.0, abs=0.001)
    assert toe_at_span(INCH, 28.64 * INCH, 31 * INCH) / INCH == pytest.approx(31 / 28.64)


def test_turns_of_a_sleeve_for_a_sixteenth_computed() -> None:
    """Arm 7 in, span 29 in, leads 1/18 in: 0.136 turn (computed; none was found published)."""
    given = INCH / 16, 29 * INCH, 7 * INCH, INCH / 18, INCH / 18
    assert turns_for_toe(*given, tie_rod_ahead_of_axle=False) == pytest.approx(0.136, abs=0.0005)
    assert turns_for_toe(*given, tie_rod_ahead_of_axle=True) == pytest.approx(-0.136, abs=0.0005)
