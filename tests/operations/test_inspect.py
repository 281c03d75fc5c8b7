"""Recording an inspection: what a sheet is refused for, and that a refusal writes nothing."""

from datetime import date, timedelta
from typing import Any

import pytest

from fleet.operations import inspect, specs
from fleet.operations.looks import Look
from fleet.records.models import (
    Complaint,
    Finding,
    Hold,
    JointState,
    MeterReading,
    Recheck,
    Ticket,
    TicketLine,
    TorqueReading,
)
from tests import build, people
from tests.operations.conftest import (
    RETORQUE,
    TRACK_BAR,
    House,
    a_spec,
    a_tool,
)
from tests.operations.tables import refusal, row_counts, undone

FRAME = "track_bar_frame_end"
PULL = {"method": "wrench", "torque": "125 lbf·ft"}


def sheet(house: House, *looks: Look, **more: Any) -> Any:
    kind = more.pop("kind", "routine")
    given = inspect.Sheet(house.vehicle.pk, kind, looks, **{"at_wheel": "a helper", **more})
    return lambda: inspect.record_inspection(house.technician, given, at=house.now)


def pull(house: House, code: str = "tight", joint: str = FRAME, **typed: Any) -> Look:
    return house.look(joint, code, **{**PULL, "tool_id": house.tool.pk, **typed})


def test_a_sheet_is_refused_whole_with_each_problem_named(
    house: House, subtests: pytest.Subtests
) -> None:
    stranger = people.stranger(build.yard("Birch"))
    other = house.look("track_bar_axle_end", "play", method="dry_steer")
    old = a_tool(house.manager, house.yard, "TW-9", good_until=date(2026, 4, 1))
    small = a_tool(house.manager, house.yard, "TW-8")
    type(small).objects.filter(pk=small.pk).update(high_nm=100)
    at = "findings.0"
    cases: dict[str, tuple[Any, tuple[str, str]]] = {
        "no finding at all": (sheet(house), ("no_findings", "findings")),
        "kind not on the list": (sheet(house, other, kind="glance"), ("kind_unknown", "kind")),
        "joint of no vehicle": (
            sheet(house, Look(999_999, "play", method="dry_steer")),
            ("joint_not_on_vehicle", f"{at}.joint")),
        "joint twice": (sheet(house, other, other), ("joint_twice", "findings.1.joint")),
        "finding not on the list": (
            sheet(house, house.look(FRAME, "fine")), ("code_unknown", f"{at}.code")),
        "no method": (sheet(house, house.look(FRAME, "play")), ("method_missing", f"{at}.method")),
        "tight is never seen by a dry steer": (
            sheet(house, house.look(FRAME, "tight", method="dry_steer")),
            ("method_wrong", f"{at}.method")),
        "no play is never seen by a wrench": (
            sheet(house, pull(house, "no_play")), ("method_wrong", f"{at}.method")),
        "moved can't be seen where nothing turns": (
            sheet(house, house.look("frame_at_gear", "moved", method="witness_mark", degrees="5")),
            ("method_wrong", f"{at}.method")),
        "method nobody knows": (
            sheet(house, house.look(FRAME, "cracked", method="hunch")),
            ("method_wrong", f"{at}.method")),
        "not reached without a reason": (
            sheet(house, house.look(FRAME, "not_reached")), ("reason_missing", f"{at}.reason")),
        "moved without degrees": (
            sheet(house, pull(house, "moved")), ("degrees_missing", f"{at}.degrees")),
        "degrees that are none": (
            sheet(house, pull(house, "moved", degrees="a lot")),
            ("degrees_wrong", f"{at}.degrees")),
        "more than three turns": (
            sheet(house, pull(house, "moved", degrees="1081")),
            ("degrees_wrong", f"{at}.degrees")),
        "a torque of 1e400": (
            sheet(house, pull(house, torque="1e400")), ("exponent", f"{at}.torque")),
        "no torque": (sheet(house, pull(house, torque="")), ("torque_missing", f"{at}.torque")),
        "no tool": (sheet(house, pull(house, tool_id=None)), ("tool_missing", f"{at}.tool")),
        "tool that does not reach": (
            sheet(house, pull(house, tool_id=small.pk)), ("tool_range", f"{at}.tool")),
        "tool out of date on a hold joint": (
            sheet(house, pull(house, tool_id=old.pk)), ("tool_out_of_date", f"{at}.tool")),
        "below the low side of a hold joint": (
            sheet(house, pull(house, torque="110 lbf·ft")), ("torque_below", f"{at}.torque")),
        "a play in no unit": (
            sheet(house, house.look(FRAME, "play", method="dry_steer", play="a bit")),
            ("missing_number", f"{at}.play")),
        "a reason longer than its column": (
            sheet(house, house.look(FRAME, "not_reached", reason="x" * 201)),
            ("too_long", f"{at}.reason")),
        "dry steer alone": (sheet(house, other, at_wheel=""), ("at_wheel_missing", "at_wheel")),
        "dry steer with oneself": (
            sheet(house, other, at_wheel="", second_person_id=house.technician.person.pk),
            ("at_wheel_missing", "at_wheel")),
        "dry steer in the air": (
            sheet(house, other, on_wheels=False), ("not_on_wheels", "on_wheels")),
        "raised with the engine on": (
            sheet(house, pull(house), on_wheels=False, engine_on=True),
            ("engine_on_raised", "engine_on")),
        "second person of another yard": (
            sheet(house, other, second_person_id=stranger.pk),
            ("person_unknown", "second_person")),
        "complaint of another vehicle": (
            sheet(house, other, complaint_id=999_999), ("complaint_unknown", "complaint")),
        "a meter that runs backwards": (
            sheet(house, other, meter="47,000"), ("meter_backwards", "meter")),
        "tomorrow": (
            sheet(house, other, occurred_at=house.now + timedelta(days=1)),
            ("in_the_future", "occurred_at")),
    }  # fmt: skip
    before = row_counts()
    for name, (call, expected) in cases.items():
        with subtests.test(name):
            found = refusal(call)
            assert expected in found
            assert row_counts() == before


def test_everything_wrong_with_a_sheet_is_told_at_once(house: House) -> None:
    found = refusal(
        sheet(
            house, house.look(FRAME, "not_reached"), pull(house, torque="", joint="pitman_arm"),
            house.look("gear_lash", "play", method="dry_steer"), at_wheel="",
        )
    )  # fmt: skip
    assert found == {
        ("reason_missing", "findings.0.reason"),
        ("torque_missing", "findings.1.torque"),
        ("at_wheel_missing", "at_wheel"),
    }


@pytest.mark.parametrize("kind", ["unit_bearing", "gear_lash"])
def test_no_wrench_is_put_where_none_belongs(house: House, kind: str) -> None:
    side = "left" if kind == "unit_bearing" else ""
    look = house.look(kind, "tight", side, **PULL, tool_id=house.tool.pk)
    assert refusal(sheet(house, look)) == {("never_retorqued", "findings.0.method")}


def test_a_bolt_that_is_turned_on_by_an_angle_is_never_retorqued(house: House) -> None:
    by_angle = a_spec(house.design, "pitman_arm", angle_degrees=90.0)
    specs.set_spec(house.manager, by_angle, at=house.now)
    found = refusal(sheet(house, pull(house, joint="pitman_arm")))
    assert found == {("never_retorqued", "findings.0.method")}


def test_a_find_with_a_doubtful_tool_is_taken_but_is_no_evidence_of_tightness(
    house: House,
) -> None:
    old = a_tool(house.manager, house.yard, "TW-9", good_until=date(2026, 4, 1))
    sheet(house, pull(house, "moved", degrees="10", tool_id=old.pk), kind="retorque")()
    assert not TorqueReading.objects.get().tool_in_date


def test_a_finding_keeps_what_statistics_will_ask_of_it(house: House) -> None:
    """Method, turned, why, use, what was due next, rule and spec version."""
    house.repair(("retorque", FRAME, RETORQUE))
    owed = Recheck.objects.get(ladder="track_bar", joint=house.joint())
    house.later(days=6)
    finding = house.inspect(
        pull(house, "moved", degrees="12"), kind="retorque", meter="48,100"
    ).findings.get()
    assert (finding.method, finding.turned, finding.degrees) == ("wrench", True, 12.0)
    assert (finding.why, finding.use_si) == ("retorque", 77_409_446)  # 48,100 mi in metres
    assert (finding.due_recheck, finding.due_on) == (owed, owed.due_on)
    assert finding.due_use_si == owed.due_use_si
    assert finding.rule_version == 1
    assert finding.spec is not None
    assert finding.torque.spec == finding.spec
    assert finding.occurred_at == finding.received_at == house.now


def test_where_no_recheck_is_owed_at_the_joint_the_routine_was_due_next(house: House) -> None:
    finding = house.inspect(house.look("gear_lash", "no_play", method="dry_steer")).findings.get()
    assert finding.due_recheck == Recheck.objects.get(kind="routine")


def test_a_look_without_turning_says_nothing_of_turning(house: House) -> None:
    finding = house.inspect(house.look(FRAME, "no_play", method="dry_steer")).findings.get()
    assert finding.turned is None
    assert not TorqueReading.objects.exists()


def test_a_click_without_turning_is_a_torque_that_did_not_turn(house: House) -> None:
    house.tight()
    reading = TorqueReading.objects.get()
    assert (reading.turned, reading.band) == (False, "inside")
    assert JointState.objects.get(joint=house.joint()).last_turned_at is None


def test_the_meter_on_the_sheet_is_a_reading_of_its_own(house: House) -> None:
    inspection = house.inspect(house.look(FRAME, "no_play", method="feel"), meter="48,250.5")
    assert inspection.reading == MeterReading.objects.latest("id")
    assert inspection.use_si == inspection.reading.use_si


def test_what_a_tablet_kept_is_dated_when_it_happened(house: House) -> None:
    happened = house.now - timedelta(hours=5)
    finding = house.inspect(
        house.look(FRAME, "no_play", method="feel"), occurred_at=happened
    ).findings.get()
    assert (finding.occurred_at, finding.received_at) == (happened, house.now)


def test_a_clock_a_little_ahead_counts_as_now(house: House) -> None:
    ahead = house.now + timedelta(minutes=2)
    inspection = house.inspect(house.look(FRAME, "no_play", method="feel"), occurred_at=ahead)
    assert inspection.occurred_at == house.now


def test_a_late_finding_holds_now(house: House) -> None:
    """It counts unless a line on that joint with a later date has closed."""
    happened = house.now
    house.later(days=2)
    house.inspect(house.look(FRAME, "play", method="dry_steer"), occurred_at=happened)
    assert Hold.objects.get(lifted_at=None).joint == house.joint()


def test_a_late_finding_on_a_joint_repaired_since_stays_a_note(house: House) -> None:
    happened = house.now
    house.later(days=1)
    house.repair(("replace_track_bar", FRAME, TRACK_BAR))
    house.later(hours=3)
    finding = house.inspect(
        house.look(FRAME, "play", method="dry_steer", play="1/8 in"), occurred_at=happened
    ).findings.get()
    assert (finding.response, finding.answer) == ("note", "no_limit")
    assert not Hold.objects.filter(lifted_at=None).exists()
    assert not Ticket.objects.exclude(state="closed").exists()


def test_a_cleaning_since_makes_no_late_finding_a_note(house: House) -> None:
    happened = house.now
    house.later(days=1)
    house.repair(("clean_protect", FRAME, {"what": "washed"}))
    house.inspect(house.look(FRAME, "cracked", method="look"), occurred_at=happened)
    assert Hold.objects.filter(lifted_at=None).exists()


def test_a_finding_opens_its_line_once(house: House) -> None:
    house.inspect(house.look("pitman_arm", "moved", method="witness_mark", degrees="40"))
    house.later(hours=1)
    house.inspect(house.look("pitman_arm", "moved", method="witness_mark", degrees="50"))
    line = TicketLine.objects.get()
    assert (line.action, line.from_finding) == ("retorque", Finding.objects.earliest("id"))
    assert Hold.objects.filter(lifted_at=None).count() == 1


def test_a_worse_finding_is_not_served_by_a_line_that_does_not_answer_it(house: House) -> None:
    house.inspect(house.look("pitman_arm", "moved", method="witness_mark", degrees="40"))
    house.later(hours=1)
    house.inspect(house.look("pitman_arm", "cracked", method="look"))
    assert {line.action for line in Ticket.objects.get().lines.all()} == {
        "retorque", "replace_part", "set_toe",
    }  # fmt: skip


def test_a_complaint_named_on_a_sheet_joins_the_open_ticket(house: House) -> None:
    house.ticket(("retorque", FRAME))
    felt = Complaint.objects.create(
        vehicle=house.vehicle, kind="clunk", by=house.driver.person, occurred_at=house.now
    )
    house.inspect(house.look("damper_link_end", "worn_out"), kind="complaint",
                  complaint_id=felt.pk)  # fmt: skip
    assert Ticket.objects.get().complaint == felt


def test_a_case_undone_leaves_no_trace(house: House) -> None:
    """The tables of cases in these tests lean on it."""
    before = row_counts()
    with undone():
        house.repair(("replace_track_bar", FRAME, TRACK_BAR))
    assert row_counts() == before
