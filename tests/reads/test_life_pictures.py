"""A joint's life and a vehicle's years as pictures: what stands in which lane, and what is said."""

from datetime import datetime, timedelta
from typing import Any

import pytest

from fleet.pictures.plots import SIZES, Life, draw_life
from fleet.reads.joint_life import joint_life
from fleet.reads.joint_picture import holds_at, joint_picture
from fleet.reads.joints import joints, with_state
from fleet.reads.timeline import looks_that_found, whole_timeline
from fleet.reads.vehicle_picture import vehicle_picture
from fleet.records.models import Joint, Person, Vehicle
from tests import build, people
from tests.build import NOW


@pytest.fixture
def manager(db: None) -> Person:
    return people.manager()


@pytest.fixture
def on(manager: Person) -> Joint:
    return build.joint(build.vehicle(build.yard(), "AB-1"))


def ago(days: int) -> datetime:
    return NOW - timedelta(days=days)


def picture(of: Joint, who: Person) -> Life | None:
    row = with_state(joints(who)).get(pk=of.pk)
    return joint_picture(joint_life(who, row, NOW), list(holds_at(row)), "us", NOW)


def lanes(life: Life | None) -> dict[str, Any]:
    assert life is not None
    return {lane.name: lane for lane in life.lanes}


def test_a_joint_of_which_nothing_is_known_has_no_picture(on: Joint, manager: Person) -> None:
    assert picture(on, manager) is None


def test_one_look_is_a_life_already(on: Joint, manager: Person) -> None:
    build.finding(on, manager, "no_play", ago(3))
    life = picture(on, manager)
    assert list(lanes(life)) == ["Found"]
    assert life is not None
    assert life.says == "Looked at once, never found loose, torqued 0 times, no recheck owed."
    assert all("Found" in draw_life(life, size) for size in SIZES)


def test_looks_carry_their_marks_and_only_the_last_asks_for_somebody(
    on: Joint, manager: Person
) -> None:
    for days, code in ((90, "tight"), (60, "moved"), (30, "cracked"), (5, "play")):
        build.finding(on, manager, code, ago(days))
    signs = lanes(picture(on, manager))["Found"].signs
    found = sorted((sign.at, sign.shape, sign.act) for sign in signs)
    assert [sign[1:] for sign in found] == [
        ("tight", False), ("moved", False), ("bad", False), ("play", True),
    ]  # fmt: skip


def test_torques_stand_at_their_figure_over_the_band_they_were_held_to(
    on: Joint, manager: Person
) -> None:
    spec = build.spec(manager, typed="120 lbf·ft", low_nm=155.0, high_nm=170.0)
    wrench = build.tool(on.vehicle.yard)
    for days, torque, turned in ((60, 160.0, True), (20, 100.0, False)):
        band = "inside" if torque > 155 else "below"
        said: dict[str, Any] = {"torque_nm": torque, "turned": turned, "band": band}
        build.torque(on, manager, wrench, at=ago(days), spec=spec, **said)
    gauge = lanes(picture(on, manager))["Torque"].gauge
    assert [round(one.value) for one in gauge.readings] == [118, 74]
    assert [one.solid for one in gauge.readings] == [True, False]
    assert [one.act for one in gauge.readings] == [False, True]
    [band] = gauge.stretches
    assert (round(band.low), round(band.high), band.end - band.begin) == (114, 125, 60)
    assert (gauge.low, gauge.high) == ("114.3 lbf·ft", "125.4 lbf·ft")


def test_holds_and_missed_rechecks_last_until_today(on: Joint, manager: Person) -> None:
    build.hold(on.vehicle, manager, ago(10), joint=on)
    build.recheck(on.vehicle, on, due_in=-7, state="missed", fell_due_at=ago(7))
    build.recheck(on.vehicle, on, due_in=30, ladder="routine")
    made = lanes(picture(on, manager))
    [hold], recheck = made["Held"].stays, made["Recheck"]
    assert (hold.act, hold.end - hold.begin) == (True, 10)
    assert [(stay.act, stay.end - stay.begin) for stay in recheck.stays] == [(True, 7)]
    assert [(sign.shape, sign.solid) for sign in recheck.signs] == [("diamond", False)] * 2


def test_a_recheck_that_was_done_late_shows_by_how_much(on: Joint, manager: Person) -> None:
    build.recheck(on.vehicle, on, due_in=-20, state="done", fell_due_at=ago(20), done_at=ago(12))
    recheck = lanes(picture(on, manager))["Recheck"]
    assert [(stay.act, stay.end - stay.begin) for stay in recheck.stays] == [(False, 8)]
    assert [sign.shape for sign in recheck.signs] == ["tick"]


def test_a_part_says_its_number_and_lot_and_the_ends_say_the_meter(
    on: Joint, manager: Person
) -> None:
    build.part(on, manager, ago(50), number="TB-17", lot="K-2231", use_si=16_093_440)
    build.meter(on.vehicle, 12_345, manager)
    on.vehicle.refresh_from_db()
    life = picture(on, manager)
    assert [text for _at, text in lanes(life)["Part fitted"].texts] == ["TB-17 K-2231"]
    assert life is not None
    assert life.ends == ("10,000 mi", "12,345 mi")


def years(of: Vehicle) -> Life | None:
    return vehicle_picture(of, whole_timeline(of), looks_that_found(of), NOW)


def test_a_vehicle_of_which_nothing_is_known_has_no_picture(on: Joint) -> None:
    assert years(on.vehicle) is None


def test_a_vehicles_years_stand_in_lanes_and_are_counted(on: Joint, manager: Person) -> None:
    truck = on.vehicle
    for days in (900, 400, 200):
        build.inspection(truck, manager, ago(days))
    build.finding(on, manager, "play", ago(100))
    build.complaint(truck, manager, ago(101))
    build.ticket(truck, manager, ago(100), state="closed", closed_at=ago(90), closed_by=manager)
    build.hold(truck, manager, ago(5))
    life = years(truck)
    made = lanes(life)
    assert list(made) == ["Looks", "Complaints", "Tickets", "Held"]
    assert sorted(sign.shape for sign in made["Looks"].signs) == ["moved", "tick", "tick", "tick"]
    assert [(stay.act, stay.end - stay.begin) for stay in made["Tickets"].stays] == [(False, 10)]
    assert [(stay.act, stay.end - stay.begin) for stay in made["Held"].stays] == [(True, 5)]
    assert life is not None
    assert life.says == ("4 looks since 2024, 1 found something, 1 complaint, 1 ticket, 1 hold.")


def test_the_pictures_ask_nothing_of_the_database(
    on: Joint, manager: Person, django_assert_num_queries: Any
) -> None:
    build.finding(on, manager, "play", ago(3))
    row = with_state(joints(manager)).get(pk=on.pk)
    life, holds = joint_life(manager, row, NOW), list(holds_at(row))
    whole, found = whole_timeline(row.vehicle), looks_that_found(row.vehicle)
    with django_assert_num_queries(0):
        assert joint_picture(life, holds, "us", NOW)
        assert vehicle_picture(row.vehicle, whole, found, NOW)
