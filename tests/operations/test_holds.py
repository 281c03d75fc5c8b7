"""Holds: placed in one tap, lifted only through a second check."""

from typing import Any

import pytest

from fleet.operations import actions, complain, holds, inspect
from fleet.operations.looks import Look
from fleet.reads.rules import rules
from fleet.records.models import Hold, Recheck, SecondCheck, Ticket
from tests import build
from tests.operations.conftest import RETORQUE, TRACK_BAR, House
from tests.operations.tables import refusal, row_counts

CHECK = holds.Check(dry_steer=True, note="Linkage looked over, nothing loose.")
FRAME = "track_bar_frame_end"


def place(house: House, text: str = "Looks bent", **more: Any) -> Hold:
    return holds.place_hold(house.driver, house.vehicle.pk, text, at=house.now, **more).row


def lift(house: House, hold: Hold, check: holds.Check = CHECK, by: Any = None) -> Hold:
    return holds.lift_hold(by or house.manager, hold.pk, check, at=house.now).row


def test_anybody_may_hold_a_truck_and_nobody_needs_to_agree(house: House) -> None:
    hold = place(house)
    assert (hold.reason, hold.placed_by) == ("person", house.driver.person)
    assert hold.lifted_at is None


@pytest.mark.parametrize("text", ["", "   "])
def test_a_hold_says_why(house: House, text: str) -> None:
    assert refusal(lambda: place(house, text)) == {("text_missing", "text")}


def test_a_hold_names_a_joint_of_this_vehicle_or_none(house: House) -> None:
    other = build.vehicle(house.yard, "B-2", design=house.design)
    before = row_counts()
    elsewhere = build.joint(other).pk
    assert refusal(place, house, joint_id=elsewhere) == {("joint_not_on_vehicle", "joint")}
    assert row_counts() == before


def test_a_manager_lifts_it_with_the_second_check_that_allows_it(house: House) -> None:
    hold = lift(house, place(house))
    check = SecondCheck.objects.get()
    assert (hold.lifted_by, hold.lifted_by_check) == (house.manager.person, check)
    assert (check.passed, check.dry_steer, check.note) == (True, True, CHECK.note)


def test_whoever_placed_it_does_not_lift_it(house: House) -> None:
    own = holds.place_hold(house.manager, house.vehicle.pk, "Bent", at=house.now).row
    assert refusal(lambda: lift(house, own)) == {("same_person", "")}


@pytest.mark.parametrize(
    ("check", "lacks"),
    [
        (holds.Check(dry_steer=False, note="looked"), ("dry_steer_missing", "dry_steer")),
        (holds.Check(dry_steer=True, note=" "), ("note_missing", "note")),
    ],
)
def test_lifting_says_what_was_checked(
    house: House, check: holds.Check, lacks: tuple[str, str]
) -> None:
    hold = place(house)
    before = row_counts()
    assert refusal(lambda: lift(house, hold, check)) == {lacks}
    assert row_counts() == before


def test_it_is_lifted_once(house: House) -> None:
    hold = place(house)
    lift(house, hold)
    assert refusal(lambda: lift(house, hold)) == {("lifted", "")}
    assert SecondCheck.objects.count() == 1


def test_what_a_ticket_carries_its_close_lifts(house: House) -> None:
    house.inspect(house.look(FRAME, "play", method="dry_steer"))
    found = refusal(lambda: lift(house, Hold.objects.get()))
    assert found == {("lifted_by_ticket", "")}


def test_a_complaint_is_never_lifted_without_a_ticket(house: House) -> None:
    report = complain.Report(house.vehicle.pk, "axle_oscillation")
    complain.report_complaint(house.driver, report, at=house.now)
    assert refusal(lambda: lift(house, Hold.objects.get())) == {("needs_ticket", "")}


def test_a_missed_recheck_is_done_before_its_hold_is_lifted(house: House) -> None:
    owed = Recheck.objects.get(kind="routine")
    hold = build.hold(house.vehicle, house.driver.person, reason="missed", recheck=owed)
    assert refusal(lambda: lift(house, hold)) == {("recheck_owed", "")}
    owed.state, owed.done_at = "done", house.now
    owed.save()
    assert lift(house, hold).lifted_at == house.now


def test_two_findings_at_one_joint_are_one_hold(house: House) -> None:
    for _time in range(2):
        house.inspect(house.look(FRAME, "play", method="dry_steer"))
        house.later(hours=1)
    assert Hold.objects.count() == 1


def test_two_people_may_each_hold_it(house: House) -> None:
    place(house, "Looks bent")
    place(house, "Looks bent to me too")
    assert Hold.objects.count() == 2


def test_a_person_s_hold_is_not_lifted_by_a_ticket_that_knows_nothing_of_it(house: House) -> None:
    ticket = house.ticket(("retorque", FRAME))
    place(house, "Smells of gear oil")
    house.record(house.line(ticket, "retorque"), RETORQUE)
    house.check(ticket)
    house.test_drive(ticket)
    house.close(ticket)
    assert Hold.objects.get(lifted_at=None).reason == "person"


def test_a_person_s_hold_on_a_joint_asks_the_open_ticket_for_work_on_it(house: House) -> None:
    ticket = house.ticket(("retorque", FRAME))
    house.record(house.line(ticket, "retorque"), RETORQUE)
    house.check(ticket)
    house.later(minutes=1)
    place(house, "Moves by hand", joint_id=house.joint("pitman_arm").pk)
    ticket.refresh_from_db()
    assert ticket.state == "open"
    assert ("held_joint", "") in refusal(lambda: house.check(ticket))


def test_work_done_before_the_find_does_not_answer_it(house: House) -> None:
    """A line that was complete when the joint was found loose again has to be done again."""
    ticket = house.ticket(("replace_track_bar", FRAME))
    house.record(house.line(ticket, "replace_track_bar"), TRACK_BAR)
    house.later(hours=1)
    house.inspect(house.look(FRAME, "play", method="dry_steer"))
    assert ("held_joint", "") in refusal(lambda: house.close(ticket))
    house.later(hours=1)
    house.record(house.line(ticket, "replace_track_bar"), TRACK_BAR)
    assert ("held_joint", "") not in refusal(lambda: house.close(ticket))


ANSWERS = [
    # found, work on the joint, whether it answers
    ("play", "retorque", True),
    ("play", "clean_protect", False),
    ("play", "replace_track_bar", True),
    ("worn_out", "retorque", False),
    ("worn_out", "replace_track_bar", True),
    ("cracked", "retorque", False),
    ("cracked", "repair_hole", True),
    ("bent", "outside_shop", True),
    ("broken_or_missing", "retorque", False),
]


def test_a_hold_is_answered_by_work_that_mends_what_was_found(
    house: House, subtests: pytest.Subtests
) -> None:
    table = rules("action")
    for code, action, expected in ANSWERS:
        with subtests.test(code=code, action=action):
            assert actions.answers(table[action], code) is expected
    # A missing nut is mended by a new one at its figure.
    assert actions.answers(table["retorque"], "broken_or_missing", new_fastener=True)


def test_a_held_joint_without_work_keeps_the_ticket_open(house: House) -> None:
    house.inspect(house.look(FRAME, "cracked", method="look"))
    ticket = Ticket.objects.get()
    house.add_line(ticket, "clean_protect", FRAME)
    house.record(house.line(ticket, "clean_protect"), {"what": "washed it"})
    assert ("held_joint", "") in refusal(lambda: house.close(ticket))


def test_a_truck_is_held_while_any_hold_is_open(house: House) -> None:
    look = Look(house.joint(FRAME).pk, "play", "dry_steer")
    sheet = inspect.Sheet(house.vehicle.pk, "routine", (look,), at_wheel="a helper")
    inspect.record_inspection(house.technician, sheet, at=house.now)
    hold = place(house, "And it leaks")
    lift(house, hold)
    assert Hold.objects.filter(vehicle=house.vehicle, lifted_at=None).count() == 1
