"""Tickets and their lines: what a line brings, what is dropped, what is cancelled."""

import pytest

from fleet.operations import repair
from fleet.records.models import (
    LineEntry,
    Ticket,
    TicketLine,
)
from tests.operations.conftest import RETORQUE, TRACK_BAR, House
from tests.operations.tables import refusal, undone, worked

FRAME = "track_bar_frame_end"
CLEANED = {"what": "washed"}


def cancel(house: House, ticket: Ticket, reason: str = "opened twice") -> Ticket:
    return repair.cancel_ticket(house.technician, ticket.pk, reason, at=house.now).row


def test_a_ticket_on_which_nothing_was_done_is_cancelled(house: House) -> None:
    ticket = house.ticket(("retorque", FRAME))
    assert refusal(lambda: cancel(house, ticket, " ")) == {("reason_missing", "reason")}
    assert cancel(house, ticket).state == "cancelled"
    assert ticket.lines.get().state == "dropped"
    assert house.ticket(("retorque", FRAME)).pk != ticket.pk


def test_a_ticket_that_holds_or_has_work_on_it_is_not(house: House) -> None:
    with undone():
        assert refusal(cancel, house, worked(house)) == {("work_done", "")}
    house.inspect(house.look(FRAME, "play", method="dry_steer"))
    assert refusal(lambda: cancel(house, Ticket.objects.get())) == {("ticket_holds", "")}


def drop(house: House, line: TicketLine, reason: str = "wrong joint") -> TicketLine:
    return repair.drop_line(house.technician, line.pk, reason, at=house.now).row


def test_a_line_is_dropped_with_a_reason_and_what_was_recorded_stays(house: House) -> None:
    ticket = worked(house)
    line = house.line(ticket, "retorque")
    assert refusal(lambda: drop(house, line, "")) == {("reason_missing", "reason")}
    assert refusal(lambda: drop(house, line, "x" * 201)) == {("too_long", "drop_reason")}
    drop(house, line)
    assert LineEntry.objects.filter(line=line).exists()
    assert refusal(lambda: drop(house, line)) == {("line_dropped", "")}
    assert refusal(lambda: house.record(line, RETORQUE)) == {("line_dropped", "")}


def test_a_dropped_wrench_is_no_sign_of_tightness(house: House) -> None:
    ticket = worked(house)
    assert house.joint().state.mark == "tight"
    drop(house, house.line(ticket, "retorque"))
    assert house.joint().state.mark == "unknown"


def test_what_a_line_brings_can_t_be_dropped_for_good(house: House) -> None:
    ticket = house.ticket(("replace_track_bar", FRAME))
    house.record(house.line(ticket, "replace_track_bar"), TRACK_BAR)
    drop(house, house.line(ticket, "set_toe"))
    assert ("line_missing", "") in refusal(lambda: house.close(ticket))


# What a line brings ----------------------------------------------------------------------------

BRINGS = [
    ("replace_rod_end", "tie_rod_end", "left", {"set_toe"}),
    ("replace_drag_link", "drag_link_frame_end", "", {"set_toe", "centre_wheel"}),
    ("replace_track_bar", FRAME, "", {"set_toe"}),
    ("replace_ball_joint", "ball_joint_upper", "left", {"set_toe", "full_alignment"}),
    ("replace_link", "link_lower_axle_end", "left", {"full_alignment"}),
    ("adjust_gear", "gear_lash", "", {"set_toe"}),
    # The stud of a Pitman arm or a clamp opens the steering whatever the work is called.
    ("replace_part", "pitman_arm", "", {"set_toe"}),
    ("replace_part", "tie_rod_clamps", "", {"set_toe"}),
    ("outside_shop", "tie_rod_end", "left", {"set_toe"}),
    ("replace_part", "steering_coupling", "", set()),
    ("retorque", "tie_rod_clamps", "", set()),
    ("retorque", "pitman_arm", "", set()),
    ("clean_protect", "pitman_arm", "", set()),
]


def test_what_each_work_brings_with_it(house: House, subtests: pytest.Subtests) -> None:
    for action, joint, side, brought in BRINGS:
        with subtests.test(action=action, joint=joint), undone():
            ticket = house.ticket()
            house.add_line(ticket, action, joint, side)
            assert {line.action for line in ticket.lines.all()} - {action} == brought


def test_an_adjusted_gear_asks_for_the_drag_link_back_on(house: House) -> None:
    """Last, after the linkage is sound, drag link off: somebody puts it on again."""
    ticket = house.ticket(("adjust_gear", "gear_lash"))
    codes = refusal(lambda: house.close(ticket))
    assert ("line_missing", "") in codes
    house.add_line(ticket, "retorque", "drag_link_frame_end")
    assert ("line_missing", "") not in refusal(lambda: house.close(ticket))
