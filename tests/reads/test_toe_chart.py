"""Toe over time: each reading judged by what applied then, and said in one sentence."""

from datetime import date, datetime, timedelta
from typing import Any

import pytest

from fleet.operations.actor import Actor
from fleet.operations.alignment_specs import NewAlignment, Sides, set_alignment
from fleet.pictures.plots import SIZES, Band, Points, draw
from fleet.reads.toe_chart import ToeChart, toe_chart
from fleet.reads.toe_plot import toe_plot, toe_sentence
from fleet.records.models import Person, ToeReading, Vehicle
from tests import build, people
from tests.build import NOW

SIXTEENTH = 0.0254 / 16
TODAY = date(2026, 11, 25)


@pytest.fixture
def manager(db: None) -> Person:
    return people.manager()


@pytest.fixture
def truck(manager: Person) -> Vehicle:
    return build.vehicle(build.yard(), "AB-1")


def ago(days: int) -> datetime:
    return NOW - timedelta(days=days)


def chart(of: Vehicle) -> ToeChart:
    of.design.refresh_from_db()
    return toe_chart(of, list(ToeReading.objects.filter(vehicle=of).select_related("line_entry")))


def read(of: Vehicle, who: Person, days: int, sixteenths: float, **extra: Any) -> None:
    build.toe(of, who, ago(days), toe_m=sixteenths * SIXTEENTH, **extra)


def answers(of: Vehicle) -> list[str]:
    return [point.answer for point in chart(of).points]


def set_on_file(of: Vehicle, who: Person, days: int, low: str, high: str) -> None:
    new = NewAlignment(of.design_id, toe=Sides(low, high, "Bulletin 12, invented"))
    set_alignment(Actor(who), new, at=ago(days))


def test_a_reading_is_judged_by_the_file_of_its_day(truck: Vehicle, manager: Person) -> None:
    """0 to 1/8 in at first, from the 20th day before on 1/8 to 1/4 in."""
    for days in (40, 10):
        read(truck, manager, days, 1)
    set_on_file(truck, manager, 20, "1/8", "1/4")
    assert answers(truck) == ["in_spec", "below"]
    bands = [one for one in layers(truck) if isinstance(one, Band)]
    first, second = bands[0].stretches
    assert (first.low, first.high) == pytest.approx((0, 1 / 8), abs=1e-6)
    assert (second.low, second.high) == pytest.approx((1 / 8, 1 / 4), abs=1e-6)
    assert first.end == second.begin


def test_a_step_that_left_toe_as_it_was_makes_no_new_band(truck: Vehicle, manager: Person) -> None:
    read(truck, manager, 40, 1)
    for days in (30, 20):
        set_on_file(truck, manager, days, "0", "3/16")
    assert len(chart(truck).stood) == 2


def test_what_was_typed_on_the_line_stands_above_the_file(truck: Vehicle, manager: Person) -> None:
    line = build.line(build.ticket(truck, manager), action="set_toe")
    typed = {
        "toe_spec_low": {"typed": "1/8", "si": 0.003175},
        "toe_spec_high": {"typed": "1/4", "si": 0.00635},
    }
    read(truck, manager, 5, 1, line_entry=build.entry(line, manager, typed))
    assert answers(truck) == ["below"]
    assert chart(truck).points[0].own_spec


def rack(of: Vehicle, who: Person, days: int, toe: float) -> None:
    angles = {"toe_total": toe, "toe_spec_low": 0.0, "toe_spec_high": 0.25}
    data = {name: {"typed": str(value), "value": value} for name, value in angles.items()}
    line = build.line(
        build.ticket(of, who, state="closed", closed_at=ago(days), closed_by=who),
        action="full_alignment",
    )
    build.entry(line, who, data, ago(days))


def test_a_rack_is_drawn_as_the_width_its_angle_makes(truck: Vehicle, manager: Person) -> None:
    """Two degrees in all are an inch over 28.65 in (published pair, tests/published)."""
    read(truck, manager, 30, 1, span_m=28.65 * 0.0254)
    rack(truck, manager, 10, 0.5)
    point = chart(truck).points[-1]
    assert point.on_rack
    assert point.toe_m == pytest.approx(0.25 * 0.0254, rel=0.01)
    assert point.answer == "above"


def test_a_rack_without_any_span_is_told_and_not_drawn(truck: Vehicle, manager: Person) -> None:
    rack(truck, manager, 10, 0.5)
    told = chart(truck)
    assert (told.points, told.not_drawn) == ([], 1)
    assert toe_plot(told, "us", TODAY) is None


def test_no_reading_makes_no_picture(truck: Vehicle) -> None:
    assert toe_plot(chart(truck), "us", TODAY) is None


def test_one_reading_without_a_specification_is_drawn_and_said(manager: Person) -> None:
    bare = build.design("No figures", toe_low_m=None, toe_high_m=None, toe_typed="")
    truck = build.vehicle(build.yard(), "AB-2", design=bare)
    read(truck, manager, 5, -1)
    picture = toe_plot(chart(truck), "us", TODAY)
    assert picture is not None
    assert picture.says == (
        "Toe was read once, 1/16 in toe-out; there was no specification to hold it against."
    )
    assert all("1/16" in draw(picture, size) for size in SIZES)


@pytest.mark.parametrize(("units", "last"), [("us", "3/16 in toe-in"), ("metric", "4.8 mm toe-in")])
def test_the_sentence_says_how_often_and_how_it_stands(
    truck: Vehicle, manager: Person, units: str, last: str
) -> None:
    for days, sixteenths in ((90, -1), (60, 1), (30, 2), (5, 3)):
        read(truck, manager, days, sixteenths)
    assert toe_sentence(chart(truck), units) == (
        f"Toe was out of its band at 2 of 4 readings; the last one, {last}, "
        "is outside, towards toe-in."
    )


def layers(of: Vehicle) -> Any:
    picture = toe_plot(chart(of), "us", TODAY)
    assert picture is not None
    return picture.layers


def test_the_shape_tells_tape_from_rack_and_found_from_left(
    truck: Vehicle, manager: Person
) -> None:
    read(truck, manager, 30, 1, as_left=False, span_m=0.7)
    read(truck, manager, 30, 2, span_m=0.7)
    rack(truck, manager, 10, 0.1)
    shapes = {one.name: (one.shape, one.solid) for one in layers(truck) if isinstance(one, Points)}
    assert shapes == {
        "as found": ("circle", False),
        "as left": ("circle", True),
        "on a rack": ("square", True),
    }


def test_only_a_last_reading_outside_asks_for_somebody(truck: Vehicle, manager: Person) -> None:
    read(truck, manager, 30, 5)
    read(truck, manager, 20, 1)
    assert not any(one.act for one in layers(truck) if isinstance(one, Points))
    read(truck, manager, 10, 5)
    assert [len(one.points) for one in layers(truck) if isinstance(one, Points) and one.act] == [1]
