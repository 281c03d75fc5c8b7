"""Readings in order, and the quick way to read plain figures."""

from datetime import UTC, datetime, timedelta
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.calc.meter_plain import plain_meter
from fleet.calc.meter_series import MOST_A_DAY_SI, MeterPoint, place_readings
from fleet.calc.units import UnitError, parse_meter, use_si

START = datetime(2026, 11, 1, 12, tzinfo=UTC)
DAY = 1000.0


def at(day: float, shown: int, **more: object) -> MeterPoint:
    return MeterPoint(START + timedelta(days=day), shown, **more)  # type: ignore[arg-type]


def on_file(day: float, use: int, **more: object) -> MeterPoint:
    return at(day, use, use=use, **more)


def problems(on_file_: list[MeterPoint], *new: MeterPoint) -> list[str]:
    return [placed.problem for placed in place_readings(on_file_, new, DAY)]


def test_a_late_reading_must_lie_between_its_neighbours() -> None:
    known = [on_file(0, 100), on_file(10, 500)]
    assert problems(known, at(5, 100)) == [""]
    assert problems(known, at(5, 500)) == [""]
    assert problems(known, at(5, 99)) == ["backwards"]
    assert problems(known, at(5, 501)) == ["backwards"]


def test_the_reading_it_clashes_with_is_named() -> None:
    known = [on_file(0, 100, key=7), on_file(10, 500, key=8)]
    clashes = place_readings(known, [at(5, 501), at(6, 99)], DAY)
    assert [clash.against.key if clash.against else None for clash in clashes] == [8, 7]


def test_a_day_has_so_many_miles_the_first_day_in_full() -> None:
    assert problems([on_file(0, 0)], at(0.01, 1000), at(2, 3000)) == ["", "too_fast"]
    assert problems([on_file(0, 0)], at(3, 3001)) == ["too_fast"]


def test_a_slip_does_not_drag_the_next_ones_with_it() -> None:
    assert problems([on_file(0, 0)], at(1, 900_000), at(2, 50), at(3, 60)) == ["too_fast", "", ""]


def test_a_reason_lets_it_stand_but_never_below_zero() -> None:
    known = [on_file(0, 100), on_file(1, 200, new_meter=True)]
    assert problems(known[:1], at(1, 90, accepted=True)) == [""]
    # The new meter began at 200 where the old stood at 200: it can't show less than nothing.
    gone = [MeterPoint(START, 300, use=200, new_meter=True)]
    assert problems(gone, at(1, 50, accepted=True)) == ["backwards"]
    assert problems([], at(0, -1, accepted=True)) == ["below_zero"]


def test_use_runs_on_over_a_replaced_meter() -> None:
    placed = place_readings(
        [on_file(0, 700)], [at(1, 0, new_meter=True), at(2, 40), at(3, 90)], DAY
    )
    assert [one.use for one in placed] == [700, 740, 790]


def test_at_one_moment_those_on_file_come_first() -> None:
    assert problems([on_file(0, 100)], at(0, 100)) == [""]
    assert problems([on_file(0, 100)], at(0, 99)) == ["backwards"]


def test_no_truck_is_driven_so_far_in_a_day() -> None:
    """Own setting: over three times what a driver may drive in the 11 hours of
    49 CFR 395.3(a)(3) at 75 mph (from memory, unverified)."""
    assert MOST_A_DAY_SI["mi"] / 1609.344 > 11 * 75
    assert MOST_A_DAY_SI["km"] == pytest.approx(MOST_A_DAY_SI["mi"], rel=0.01)
    assert MOST_A_DAY_SI["h"] == 86_400


FIGURES = st.one_of(
    st.from_regex(r"[0-9]{0,9}(,[0-9]{3})?(\.[0-9]{0,2})?", fullmatch=True),
    st.integers(0, 9_999_999).map(lambda n: f"{n:,}"),
    st.text("0123456789.,٣", max_size=9),
)


@given(text=FIGURES, unit=st.sampled_from(["mi", "km", "h"]))
def test_the_quick_way_reads_the_same_as_the_full_one(text: str, unit: str) -> None:
    quick = plain_meter(text, unit)
    if quick is None:
        return
    try:
        full = parse_meter(text, unit)
    except UnitError:
        pytest.fail(f"{text!r} is no figure, but was read as {quick}")
    assert Fraction(quick[0]) == full.magnitude
    assert quick[1] == use_si(full.magnitude, unit)
