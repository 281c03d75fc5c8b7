"""One vehicle's steering from its records: bump steer at ride height, toe from visit to visit."""

from datetime import timedelta
from typing import Any

import pytest

from fleet.operations.actor import server_actor
from fleet.operations.reference import load_reference
from fleet.reads.geometry import bump_of
from fleet.reads.toe_visits import drifts
from fleet.reads.vehicle_file import toes_of
from fleet.records.models import Layout, Person, Ticket, ToeReading, Vehicle, Yard
from tests import build, people
from tests.build import NOW

SIXTEENTH = 0.0254 / 16
LINKS: dict[str, Any] = {
    "drag_link_typed": "37 in", "drag_link_m": 0.9398, "drag_link_degrees": 9.5,
    "track_bar_typed": "33 1/2 in", "track_bar_m": 0.8509, "track_bar_degrees": 16.0,
}  # fmt: skip


@pytest.fixture
def alder(db: None) -> Yard:
    return build.yard("Alder")


@pytest.fixture
def manager(alder: Yard) -> Person:
    return people.manager()


def test_a_drop_arm_with_a_steeper_bar_steers_over_bumps(alder: Yard) -> None:
    found = bump_of(build.vehicle(alder, "AB-1", lift_m=0.1, drop_arm=True, **LINKS))
    assert found is not None
    assert found.answer is not None
    assert found.answer.verdict.code == "steers_over_bumps"
    mismatch = found.answer.figures[0]
    assert mismatch.limit.endswith("(own)")
    # Two circles about the frame ends: the bar's end goes 8.3 mm further in a 75 mm bump.
    assert mismatch.amounts[0].value == pytest.approx(9.6, abs=0.1)


def test_links_alike_do_not_whichever_side_the_gear_is_on(alder: Yard) -> None:
    alike = {**LINKS, "track_bar_m": 0.9398, "track_bar_degrees": 9.5}
    for side in ("left", "right"):
        found = bump_of(build.vehicle(alder, lift_m=0.1, steering_side=side, **alike))
        assert found is not None
        assert found.answer is not None
        assert found.answer.verdict.code == "alike"


def test_what_was_not_measured_is_named(alder: Yard) -> None:
    found = bump_of(build.vehicle(alder, lift_m=0.1, drag_link_degrees=9.5, track_bar_m=0.9))
    assert found is not None
    assert found.answer is None
    assert found.missing == ("drag_link_typed", "track_bar_degrees")


def test_as_built_or_with_no_link_across_nothing_is_said(alder: Yard) -> None:
    load_reference(server_actor("command"), at=NOW)
    assert bump_of(build.vehicle(alder, **LINKS)) is None
    along = build.design("Along", linkage=Layout.objects.get(code="fore_aft"))
    assert bump_of(build.vehicle(alder, design=along, lift_m=0.1, **LINKS)) is None


def test_a_link_on_end_is_refused_in_words(alder: Yard) -> None:
    upright = {**LINKS, "drag_link_degrees": 90.0}
    found = bump_of(build.vehicle(alder, lift_m=0.1, **upright))
    assert found is not None
    assert found.answer is not None
    assert found.answer.refused


def read(truck: Vehicle, by: Person, days: int, *, left: bool, sixteenths: float,
         **extra: Any) -> ToeReading:  # fmt: skip
    toe = sixteenths * SIXTEENTH
    return build.toe(truck, by, NOW - timedelta(days=days), as_left=left, toe_m=toe, **extra)


def codes(truck: Vehicle) -> list[str]:
    return [one.answer.verdict.code for one in drifts(list(toes_of(truck)))]


def test_toe_that_moved_further_than_the_tape_can_make_is_said(
    alder: Yard, manager: Person
) -> None:
    truck = build.vehicle(alder)
    read(truck, manager, 90, left=True, sixteenths=1)
    read(truck, manager, 10, left=False, sixteenths=-3)
    (found,) = drifts(list(toes_of(truck)))
    assert found.answer.verdict.code == "towards_out"
    assert found.change == "1/4 in (6.4 mm) towards toe-out"
    assert "1/8 in" in found.doubt  # two steps of a sixteenth


def test_within_two_steps_of_the_tape_nothing_is_said_of_it(alder: Yard, manager: Person) -> None:
    truck = build.vehicle(alder)
    read(truck, manager, 90, left=True, sixteenths=1)
    read(truck, manager, 10, left=False, sixteenths=-1)
    assert codes(truck) == ["within_doubt"]


def test_readings_over_other_spans_are_brought_to_one(alder: Yard, manager: Person) -> None:
    truck = build.vehicle(alder)
    read(truck, manager, 90, left=True, sixteenths=4, span_m=0.4)
    read(truck, manager, 10, left=False, sixteenths=8, span_m=0.8)
    assert codes(truck) == ["within_doubt"]


def test_a_line_recorded_again_is_one_visit_as_it_stands_now(alder: Yard, manager: Person) -> None:
    truck = build.vehicle(alder)
    ticket = Ticket.objects.create(vehicle=truck, opened_by=manager, opened_at=NOW)
    line = build.line(ticket, action="set_toe")
    for sixteenths in (1, 9):
        entry = build.entry(line, manager, {})
        read(truck, manager, 90, left=False, sixteenths=0, line_entry=entry)
        read(truck, manager, 90, left=True, sixteenths=sixteenths, line_entry=entry)
    assert codes(truck) == []
    read(truck, manager, 5, left=False, sixteenths=9)
    assert codes(truck) == ["within_doubt"]


def test_as_found_twice_compares_nothing_the_second_time(alder: Yard, manager: Person) -> None:
    truck = build.vehicle(alder)
    read(truck, manager, 90, left=True, sixteenths=1)
    read(truck, manager, 20, left=False, sixteenths=8)
    read(truck, manager, 10, left=False, sixteenths=0)
    assert codes(truck) == ["towards_in"]
