"""After an oscillation: done only with dry steer and road test, speed in steps."""

from datetime import timedelta
from typing import Any

import pytest

from fleet.operations import complain, recheck_drive, repair
from fleet.operations.recheck_drive import Drive, speeds_of
from fleet.records.models import Hold, Recheck, RecheckDrive, Ticket
from tests.operations.conftest import RETORQUE, House
from tests.operations.tables import refusal, row_counts, undone

MPH = 0.44704  # metres a second, exactly (NIST SP 811)


def closed_after_oscillation(house: House) -> Recheck:
    """The driver's complaint, a retorque that answers it, and the close that makes the recheck."""
    report = complain.Report(house.vehicle.pk, "axle_oscillation", speed_typed="52 mph")
    felt = complain.report_complaint(house.driver, report, at=house.now).row
    new = repair.NewTicket(house.vehicle.pk, complaint_id=felt.pk)
    ticket: Ticket = repair.open_ticket(house.technician, new, at=house.now).row
    house.record(house.add_line(ticket, "retorque", "track_bar_frame_end"), RETORQUE)
    house.check(ticket)
    house.test_drive(ticket)
    house.close(ticket)
    owed = Recheck.objects.get(ladder="oscillation_closed")
    assert owed.road_test
    return owed


def drive(house: House, owed: Recheck, **changed: Any) -> RecheckDrive:
    typed = {"driver": "a helper", "place": "county road", "speeds": "20, 35, 45 mph",
             "passed": True, **changed}  # fmt: skip
    return recheck_drive.drive_recheck(house.technician, Drive(owed.pk, **typed), at=house.now).row


def dry_steered(house: House) -> Any:
    joints = [
        j for j in house.vehicle.joints.select_related("kind")
        if j.kind.holds and "dry_steer" in j.kind.play_methods
    ]  # fmt: skip
    looks = [house.look(j.kind.code, "no_play", j.side, method="dry_steer") for j in joints]
    return house.inspect(*looks, kind="recheck")


def state(owed: Recheck) -> str:
    owed.refresh_from_db()
    return owed.state


@pytest.mark.parametrize("driven_first", [False, True])
def test_done_only_with_both_in_either_order(house: House, driven_first: bool) -> None:
    owed = closed_after_oscillation(house)
    house.later(days=4)
    steps = [lambda: dry_steered(house), lambda: drive(house, owed)]
    first, second = reversed(steps) if driven_first else steps
    first()
    assert state(owed) == "owed"
    house.later(hours=1)
    second()
    assert state(owed) == "done"
    assert owed.done_at == house.now
    assert owed.driven_by == RecheckDrive.objects.get()
    assert owed.looked_by_finding == owed.done_by_finding is not None


def test_who_drove_where_and_in_which_steps_are_kept(house: House) -> None:
    owed = closed_after_oscillation(house)
    house.later(days=4)
    row = drive(house, owed)
    assert (row.driver, row.place, row.passed) == ("a helper", "county road", True)
    assert row.speeds_typed == "20, 35, 45 mph"
    assert row.speeds_m_s == pytest.approx([20 * MPH, 35 * MPH, 45 * MPH])


def test_one_that_does_not_pass_holds_at_once_and_leaves_it_owed(house: House) -> None:
    owed = closed_after_oscillation(house)
    house.later(hours=5)
    drive(house, owed, passed=False, note="Shook at 35, slowed down.", speeds="20 mph")
    assert state(owed) == "owed"
    hold = Hold.objects.get(vehicle=house.vehicle, lifted_at=None)
    assert hold.recheck == owed
    assert "Shook at 35" in hold.text
    house.later(days=4)
    assert refusal(drive, house, owed) == {("held", "")}


REFUSED: list[tuple[dict[str, Any], set[tuple[str, str]]]] = [
    ({"driver": " "}, {("driver_missing", "driver")}),
    ({"place": ""}, {("place_missing", "place")}),
    ({"speeds": "45 mph"}, {("no_steps", "speeds")}),
    ({"speeds": "45, 35 mph"}, {("no_steps", "speeds")}),
    ({"speeds": ""}, {("no_steps", "speeds")}),
    ({"speeds": "20, fast"}, {("speed_unit", "speeds")}),
    ({"passed": False}, {("note_missing", "note")}),
    ({"driver": "", "speeds": "45"}, {("driver_missing", "driver"), ("no_steps", "speeds")}),
]


def test_what_a_drive_is_refused_for(house: House, subtests: pytest.Subtests) -> None:
    owed = closed_after_oscillation(house)
    house.later(days=4)
    before = row_counts()
    for typed, named in REFUSED:
        with subtests.test(typed=typed):
            assert refusal(drive, house, owed, **typed) == named
            assert row_counts() == before


def test_before_half_its_days_it_counts_for_nothing(house: House) -> None:
    """100 mi, 7 days, 5 h (own): from the fourth day on."""
    owed = closed_after_oscillation(house)
    house.later(days=3)
    assert refusal(drive, house, owed) == {("before_half", "occurred_at")}
    house.later(days=1)
    drive(house, owed)


def test_a_drive_of_before_it_was_owed_is_none(house: House) -> None:
    owed = closed_after_oscillation(house)
    house.later(days=4)
    early = owed.started_at - timedelta(hours=2)
    named = refusal(drive, house, owed, occurred_at=early)
    assert ("before_it_was_owed", "occurred_at") in named


def test_a_recheck_that_asks_for_no_road_test_takes_none(house: House) -> None:
    routine = Recheck.objects.get(ladder="routine")
    assert refusal(drive, house, routine) == {("not_owed", "")}


def test_the_retorque_of_the_same_close_is_paid_as_ever(house: House) -> None:
    closed_after_oscillation(house)
    house.later(days=6)
    with undone():
        house.tight()
    assert not RecheckDrive.objects.exists()


@pytest.mark.parametrize(
    ("typed", "mph"),
    [
        ("20, 35, 45 mph", [20, 35, 45]),
        ("20; 35; 45", [20, 35, 45]),
        ("20 mph to 45 mph", [20, 45]),
        ("20 and 35.5 mph", [20, 35.5]),
    ],
)
def test_steps_are_read_as_they_are_written(house: House, typed: str, mph: list[float]) -> None:
    assert speeds_of(typed, house.vehicle, 2) == pytest.approx([m * MPH for m in mph])
    kmh = speeds_of("30, 50 km/h", house.vehicle, 2)
    assert kmh == pytest.approx([30 / 3.6, 50 / 3.6])
