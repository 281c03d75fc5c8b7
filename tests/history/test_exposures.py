"""Exposures: which checks say something of which event, on which clock."""

from datetime import timedelta
from typing import Any

import pytest

from fleet.operations import exposures
from fleet.records.models import Clock, Exposure, Joint, Person, Sight, TorqueTool
from tests import build, people
from tests.build import NOW

MILE = 1609


@pytest.fixture
def by(db: None) -> Person:
    return people.manager()


@pytest.fixture
def joint(by: Person) -> Joint:
    return build.joint(build.vehicle(build.yard()))


@pytest.fixture
def wrench(joint: Joint) -> TorqueTool:
    return build.tool(joint.vehicle.yard)


def look(on: Joint, by: Person, code: str, day: int, miles: int | None, **extra: Any) -> Any:
    use = None if miles is None else miles * MILE
    return build.finding(on, by, code, NOW + timedelta(days=day), use_si=use, **extra)


def turn(on: Joint, by: Person, tool: TorqueTool, day: int, miles: int) -> None:
    at = NOW + timedelta(days=day)
    found = look(on, by, "moved", day, miles)
    build.torque(on, by, tool, found, at=at, turned=True, use_si=miles * MILE)


def kept(joint: Joint) -> list[tuple[Any, ...]]:
    exposures.refresh([joint.vehicle_id])
    rows = Exposure.objects.filter(joint=joint).order_by("at")
    return [
        (row.clock, row.sight, row.lower_si // MILE, row.upper_si // MILE, row.loose)
        for row in rows
    ]


MOVED = (Clock.TIGHTNESS, Sight.MOVED)
PLAY = (Clock.TIGHTNESS, Sight.PLAY)


def test_nothing_is_known_before_the_first_recorded_turning(
    joint: Joint, by: Person, wrench: TorqueTool
) -> None:
    look(joint, by, "tight", 0, 1000)
    turn(joint, by, wrench, 10, 2000)
    assert kept(joint) == []
    look(joint, by, "tight", 20, 2500)
    assert kept(joint) == [(*MOVED, 0, 500, False)]


def test_one_more_tight_check_changes_only_where_the_next_begins(
    joint: Joint, by: Person, wrench: TorqueTool
) -> None:
    turn(joint, by, wrench, 0, 1000)
    look(joint, by, "tight", 10, 1400)
    look(joint, by, "moved", 30, 2200)
    assert kept(joint) == [(*MOVED, 0, 400, False), (*MOVED, 400, 1200, True)]
    look(joint, by, "tight", 20, 1900)
    assert kept(joint)[-1] == (*MOVED, 900, 1200, True)


def test_a_look_says_nothing_of_preload_and_a_wrench_nothing_of_play(
    joint: Joint, by: Person, wrench: TorqueTool
) -> None:
    turn(joint, by, wrench, 0, 1000)
    look(joint, by, "no_play", 10, 1400)
    look(joint, by, "tight", 20, 1600)
    look(joint, by, "no_play", 30, 1900)
    assert kept(joint) == [
        (*PLAY, 0, 400, False), (*MOVED, 0, 600, False), (*PLAY, 400, 900, False),
    ]  # fmt: skip


def test_a_click_that_turned_nothing_lets_the_clock_run_on(
    joint: Joint, by: Person, wrench: TorqueTool
) -> None:
    turn(joint, by, wrench, 0, 1000)
    at = NOW + timedelta(days=10)
    build.torque(joint, by, wrench, look(joint, by, "tight", 10, 1500), at=at, use_si=1500 * MILE)
    look(joint, by, "tight", 20, 2000)
    assert kept(joint)[-1] == (*MOVED, 500, 1000, False)


def test_what_is_found_after_it_was_found_loose_waits_for_the_next_turning(
    joint: Joint, by: Person, wrench: TorqueTool
) -> None:
    turn(joint, by, wrench, 0, 1000)
    look(joint, by, "moved", 10, 1500)
    look(joint, by, "moved", 11, 1510)
    turn(joint, by, wrench, 20, 1600)
    look(joint, by, "tight", 30, 1900)
    assert kept(joint) == [(*MOVED, 0, 500, True), (*MOVED, 0, 300, False)]


@pytest.mark.parametrize("code", ["not_reached", "not_fitted"])
def test_not_reached_is_no_information(
    joint: Joint, by: Person, wrench: TorqueTool, code: str
) -> None:
    turn(joint, by, wrench, 0, 1000)
    look(joint, by, code, 10, 1500, reason="mud")
    assert kept(joint) == []


def test_a_find_by_complaint_counts_where_the_next_check_was_due_and_not_before(
    joint: Joint, by: Person, wrench: TorqueTool
) -> None:
    """Decision 24: a complaint comes because it gave."""
    turn(joint, by, wrench, 0, 1000)
    look(joint, by, "moved", 10, 1300, why="complaint", due_use_si=1500 * MILE)
    assert kept(joint) == []
    build.meter(joint.vehicle, 1520, by, NOW + timedelta(days=25))
    assert kept(joint) == [(*MOVED, 0, 500, True)]
    assert Exposure.objects.get().at == NOW + timedelta(days=25)


def test_wear_runs_from_the_parts_fitting_and_counts_once_it_was_found_sound(
    by: Person, wrench: TorqueTool
) -> None:
    """Decision 23: nobody of ours was there when a part that came with the vehicle was fitted."""
    stud = build.joint(build.vehicle(wrench.yard), "tie_rod_end", "left")
    build.part(stud, by, NOW, number="TR-1", lot="A", use_si=1000 * MILE)
    look(stud, by, "no_play", 10, 3000)
    assert kept(stud) == []
    look(stud, by, "no_play", 20, 4000)
    look(stud, by, "play", 30, 6000)
    wear = (Clock.WEAR, Sight.PLAY)
    assert kept(stud) == [(*wear, 2000, 3000, False), (*wear, 3000, 5000, True)]


def test_without_a_meter_nobody_knows_how_long_it_held(
    joint: Joint, by: Person, wrench: TorqueTool
) -> None:
    turn(joint, by, wrench, 0, 1000)
    look(joint, by, "tight", 10, None)
    assert kept(joint) == []


def test_refreshing_again_writes_nothing(joint: Joint, by: Person, wrench: TorqueTool) -> None:
    turn(joint, by, wrench, 0, 1000)
    look(joint, by, "tight", 10, 1400)
    assert exposures.refresh([joint.vehicle_id]) == 1
    assert exposures.refresh([joint.vehicle_id]) == 0
