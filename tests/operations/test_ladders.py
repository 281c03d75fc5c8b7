"""Rechecks that a close makes: the fleet's ladders, each row in miles, days and hours.

All are (own) in the range of common practice unless a source stands beside the row.
"""

from datetime import timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from fleet.operations import aftermath
from fleet.operations.closing import Job
from fleet.operations.work import Work
from fleet.reads.rules import rules
from fleet.records.models import Joint, Recheck, Ticket, Vehicle, VehicleUse
from tests import build
from tests.operations.conftest import SET_TOE, TRACK_BAR, House
from tests.operations.tables import heavy_truck, undone

FRAME, AXLE = "track_bar_frame_end", "track_bar_axle_end"
WEEK, MONTH = (100, 7, 5), (500, 30, 20)
ENDS = {("track_bar", FRAME): WEEK, ("track_bar", AXLE): WEEK}
CLAMPS = {("clamps", "drag_link_clamps"): MONTH, ("clamps", "tie_rod_clamps"): MONTH}
RACK = {("steering_opened", ""): (300, 14, 12)}
HOLE = {
    ("hole_repaired_track_bar", FRAME): WEEK,
    ("hole_repaired_track_bar", AXLE): WEEK,
    ("hole_repaired_track_bar", "track_bar_frame_bracket"): WEEK,
}
# BS AU 50 Part 2 Section 7a:1995 (30 min, or 25 to 50 mi), as quoted by a tire firm and the trade
# press; 3 days: own.
NUTS = {("wheel_nuts", "wheel_nuts"): (50, 3, 2)}
# TM 5-3820-256-24-3 section 3-15.4 (1,000 mi); 500 mi first: a manufacturer's manual.
U_BOLTS = {("u_bolts", "u_bolts"): (500, 30, 20)}

AFTER: list[tuple[str, str, dict[str, Any], dict[tuple[str, str], tuple[int, int, int]]]] = [
    ("replace_track_bar", FRAME, {}, ENDS),
    ("retorque", AXLE, {}, ENDS),
    ("replace_rod_end", "tie_rod_end", {}, {("rod_end", "tie_rod_end"): MONTH, **CLAMPS, **RACK}),
    ("replace_tie_rod", "tie_rod_at_drag_link", {},
     {("rod_end", "tie_rod_at_drag_link"): MONTH, **CLAMPS, **RACK}),
    ("replace_drag_link", "drag_link_frame_end", {},
     {("rod_end", "drag_link_frame_end"): MONTH, **CLAMPS, **RACK}),
    ("set_toe", "", {}, RACK),
    ("centre_wheel", "", {}, RACK),
    ("repair_hole", AXLE, {}, {("hole_repaired", AXLE): WEEK, **HOLE}),
    ("repair_hole", "track_bar_axle_bracket", {},
     {("hole_repaired", "track_bar_axle_bracket"): WEEK, **HOLE}),
    ("repair_hole", "frame_at_gear", {},
     {("hole_repaired", "frame_at_gear"): WEEK, ("hole_repaired_gear", "gear_to_frame"): WEEK}),
    ("replace_u_bolts", "u_bolts", {}, U_BOLTS),
    ("retorque", "u_bolts", {}, U_BOLTS),
    ("replace_link", "link_lower_axle_end", {}, {("link_bolts", "link_lower_axle_end"): MONTH}),
    ("retorque", "gear_to_frame", {}, {("gear_to_frame", "gear_to_frame"): WEEK}),
    ("retorque", "pitman_arm", {}, {("pitman_nut", "pitman_arm"): MONTH}),
    ("replace_part", "pitman_arm", {}, {("pitman_nut", "pitman_arm"): MONTH, **RACK}),
    ("unit_hub", "unit_bearing", {}, {("hub", "hub_bolts"): MONTH}),
    ("adjustable_hub", "adjustable_bearing", {},
     {("hub_end_play", "adjustable_bearing"): MONTH}),
    ("replace_ball_joint", "ball_joint_lower", {},
     {("ball_joint", "ball_joint_lower"): MONTH, **RACK}),
    ("tyre_or_wheel", "wheel_tyre", {"wheel_off": {"value": "yes"}}, NUTS),
    ("tyre_or_wheel", "wheel_tyre", {"wheel_off": {"value": "no"}}, {}),
    ("retorque", "wheel_nuts", {}, NUTS),
    ("unit_hub", "unit_bearing", {"wheel_off": {"value": "yes"}},
     {("hub", "hub_bolts"): MONTH, **NUTS}),
    ("replace_damper", "damper_link_end", {}, {}),
    ("grease", "", {}, {}),
    ("clean_protect", FRAME, {}, {}),
    ("full_alignment", "", {}, {}),
]  # fmt: skip


def closed(house: House, vehicle: Vehicle, *work: tuple[str, str, dict[str, Any]]) -> Ticket:
    """What follows a close of these lines, without the steps before it."""
    ticket = build.ticket(vehicle, house.technician.person, house.now)
    for action, kind, data in work:
        line = build.line(ticket, place(vehicle, kind), action=action)
        build.entry(line, house.technician.person, data, house.now)
    aftermath.after_close(Work(house.technician, house.now), Job.of(ticket))
    Ticket.objects.filter(pk=ticket.pk).update(
        state="closed", closed_at=house.now, closed_by=house.technician.person
    )
    return ticket


def place(vehicle: Vehicle, kind: str) -> Joint | None:
    return vehicle.joints.filter(kind__code=kind).first() if kind else None


def made(ticket: Ticket) -> dict[tuple[str, str], Recheck]:
    rows = Recheck.objects.filter(vehicle=ticket.vehicle, state="owed").exclude(
        ladder__in=["routine", "annual"]
    )
    return {(row.ladder, row.joint.kind.code if row.joint else ""): row for row in rows}


def length_si(unit: str, miles: float, hours: float) -> int:
    return round(hours * 3600) if unit == "h" else round(miles * 1609.344)


@pytest.mark.parametrize("unit", ["mi", "km", "h"])
def test_each_close_makes_its_rechecks_by_the_table(
    house: House, subtests: pytest.Subtests, unit: str
) -> None:
    heavy = heavy_truck(house)
    Vehicle.objects.update(meter_unit=unit)
    for vehicle in (house.vehicle, heavy):
        VehicleUse.objects.update_or_create(vehicle=vehicle, defaults={"last_use_si": 9_000_000})
    today = house.now.astimezone(ZoneInfo(house.yard.time_zone)).date()
    # A kilometre meter differs in nothing but what it shows: a few rows tell.
    for action, kind, data, expected in AFTER[:4] if unit == "km" else AFTER:
        has = kind in ("", *house.vehicle.joints.values_list("kind__code", flat=True))
        vehicle = Vehicle.objects.get(pk=house.vehicle.pk if has else heavy.pk)
        with subtests.test(action=action, kind=kind, data=data), undone():
            found = made(closed(house, vehicle, (action, kind, data)))
            assert set(found) == set(expected)
            for key, (miles, days, hours) in expected.items():
                owed = found[key]
                assert owed.due_on == today + timedelta(days=days)
                assert owed.start_use_si == 9_000_000
                assert owed.due_use_si == 9_000_000 + length_si(unit, miles, hours)
                assert owed.made_by_line is not None or key == ("steering_opened", "")


KINDS = {
    "track_bar": "retorque", "rod_end": "look", "clamps": "retorque", "steering_opened": "rack",
    "hole_repaired": "cracks", "hole_repaired_track_bar": "retorque", "wheel_nuts": "wheel_nuts",
    "u_bolts": "retorque", "ball_joint": "look", "oscillation_closed": "dry_steer",
}  # fmt: skip


def test_what_kind_of_look_each_ladder_asks_for(house: House) -> None:
    table = rules("ladder")
    assert {key: table[key].data["kind"] for key in KINDS} == KINDS


RUNGS = {
    "track_bar": [WEEK, MONTH],
    "hole_repaired": [WEEK, MONTH, (1500, 90, 60)],
    "hole_repaired_track_bar": [WEEK, MONTH, (1500, 90, 60)],
    "gear_to_frame": [WEEK, MONTH],
    "u_bolts": [(500, 30, 20), (1000, 60, 40)],
    "rod_end": [MONTH],
    "steering_opened": [(300, 14, 12)],
    "oscillation_closed": [WEEK],
    "nothing_found": [WEEK],
    "wheel_nuts": [(50, 3, 2)],
    "link_bolts": [MONTH],
    "pitman_nut": [MONTH],
    "hub": [MONTH],
    "ball_joint": [MONTH],
}


def test_the_rungs_of_each_ladder(house: House, subtests: pytest.Subtests) -> None:
    table = rules("ladder")
    for key, expected in RUNGS.items():
        with subtests.test(key):
            steps = table[key].data["rungs"]
            assert [(s["miles"], s["days"], s["hours"]) for s in steps] == expected


def test_wheel_nuts_are_not_looked_at_before_half_an_hour(house: House) -> None:
    data = {"wheel_off": {"value": "yes"}}
    nuts = made(closed(house, house.vehicle, ("tyre_or_wheel", "wheel_tyre", data)))
    owed = nuts["wheel_nuts", "wheel_nuts"]
    assert owed.not_before == house.now + timedelta(minutes=30)
    assert owed.joint is not None
    assert owed.joint.side == "left"
    assert owed.hold_at_twice


def test_a_wheel_off_at_a_joint_of_both_sides_asks_for_both_wheels_nuts(house: House) -> None:
    data = {"wheel_off": {"value": "yes"}}
    closed(house, house.vehicle, ("replace_track_bar", FRAME, data))
    nuts = Recheck.objects.filter(ladder="wheel_nuts")
    assert {row.joint.side for row in nuts if row.joint} == {"left", "right"}


def test_two_lines_that_start_the_same_ladder_make_it_once(house: House) -> None:
    closed(house, house.vehicle, ("replace_track_bar", FRAME, {}), ("replace_track_bar", AXLE, {}))
    assert Recheck.objects.filter(ladder="track_bar").count() == 2  # an end each


def test_which_rechecks_hold_at_twice_their_interval(house: House) -> None:
    """Track-bar ends and wheel nuts (own)."""
    closed(house, house.vehicle, ("retorque", FRAME, {}), ("retorque", "wheel_nuts", {}),
           ("retorque", "pitman_arm", {}), ("set_toe", "", {}))  # fmt: skip
    held = Recheck.objects.filter(hold_at_twice=True).values_list("ladder", flat=True)
    assert set(held) == {"track_bar", "wheel_nuts"}


def test_new_work_takes_the_place_of_what_its_ladder_still_owed(house: House) -> None:
    closed(house, house.vehicle, ("retorque", FRAME, {}))
    house.later(days=3)
    closed(house, house.vehicle, ("replace_track_bar", FRAME, {}))
    rows = Recheck.objects.filter(ladder="track_bar", joint=house.joint()).order_by("id")
    assert [row.state for row in rows] == ["dropped", "owed"]


def test_a_part_that_was_replaced_owes_no_look_at_its_old_play(house: House) -> None:
    house.inspect(house.look("tie_rod_end", "play", "left", method="dry_steer", play="1/8 in"))
    ticket = Ticket.objects.get()
    end = house.joint("tie_rod_end", "left")
    build.entry(ticket.lines.get(joint=end), house.technician.person, {}, house.now)
    aftermath.after_close(Work(house.technician, house.now), Job.of(ticket))
    owed = Recheck.objects.filter(joint=end, state="owed")
    assert set(owed.values_list("ladder", flat=True)) == {"rod_end"}
    assert Recheck.objects.get(ladder="inside_line").state == "dropped"
    assert end.state.due_recheck == owed.get()


def test_the_rack_pays_what_opened_steering_owed(house: House) -> None:
    closed(house, house.vehicle, ("set_toe", "", {}))
    house.later(days=5)
    ticket = closed(house, house.vehicle, ("full_alignment", "", {}), ("set_toe", "", {}))
    rack = Recheck.objects.get(kind="rack")
    assert (rack.state, rack.done_by_line) == ("done", ticket.lines.get(action="full_alignment"))


def test_a_close_makes_its_rechecks_and_lifts_its_holds_in_one_step(house: House) -> None:
    house.inspect(house.look(FRAME, "play", method="dry_steer"))
    ticket = Ticket.objects.get()
    house.record(house.line(ticket, "replace_track_bar"), TRACK_BAR)
    house.record(house.line(ticket, "set_toe"), SET_TOE)
    house.check(ticket)
    house.test_drive(ticket)
    house.close(ticket)
    assert set(made(ticket)) == {*ENDS, *RACK}
    assert ticket.holds.get().lifted_by_check == ticket.second_checks.get()


def test_a_vehicle_whose_meter_was_never_read_owes_by_date(house: House) -> None:
    heavy = heavy_truck(house)
    closed(house, heavy, ("retorque", FRAME, {}))
    owed = Recheck.objects.get(ladder="track_bar", joint=place(heavy, FRAME))
    assert (owed.start_use_si, owed.due_use_si) == (None, None)
    assert owed.falls_on == owed.due_on


def test_due_dates_are_counted_at_the_yard(house: House) -> None:
    """An evening in Denver is the next day in UTC."""
    house.now = house.now.replace(day=2, hour=4)  # the evening of 1 September at the yard
    closed(house, house.vehicle, ("retorque", FRAME, {}))
    owed = Recheck.objects.get(ladder="track_bar", joint=house.joint())
    assert owed.due_on is not None
    assert owed.due_on.isoformat() == "2026-09-08"
