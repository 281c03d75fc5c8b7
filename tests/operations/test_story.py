"""The main job end to end: one truck from complaint to a held recheck."""

from datetime import date

import pytest

from fleet.operations import close_out, complain, patterns, repair
from fleet.operations.errors import Refused
from fleet.operations.work import Work
from fleet.records.models import Hold, Pattern, Recheck, Ticket
from tests.operations.conftest import RETORQUE, SET_TOE, TRACK_BAR, House, a_tool


def test_a_truck_from_complaint_to_a_repeat(house: House) -> None:
    ticket = held_and_opened(house)
    refused_until_it_is_complete(house, ticket)
    checked_driven_and_closed(house, ticket)
    moved_and_moved_again(house)


def held_and_opened(house: House) -> Ticket:
    """The driver's complaint holds it; the play that is found opens the ticket."""
    report = complain.Report(house.vehicle.pk, "axle_oscillation", speed_typed="52 mph")
    complaint = complain.report_complaint(house.driver, report, at=house.now).row
    assert complaint.held
    assert Hold.objects.get(vehicle=house.vehicle, lifted_at=None).complaint == complaint

    house.later(hours=2)
    house.inspect(
        house.look("track_bar_frame_end", "play", method="dry_steer"),
        kind="complaint", complaint_id=complaint.pk,
    )  # fmt: skip
    ticket = Ticket.objects.get(vehicle=house.vehicle)
    assert ticket.complaint == complaint
    assert {line.action for line in ticket.lines.all()} == {"replace_track_bar", "set_toe"}
    return ticket


def refused_until_it_is_complete(house: House, ticket: Ticket) -> None:
    line = house.line(ticket, "replace_track_bar")
    old = a_tool(house.manager, house.yard, "TW-9", good_until=date(2026, 4, 1))
    house.record(line, TRACK_BAR, torque="")
    assert lacking(house, ticket) >= {("missing", "torque"), ("missing", "found_rear")}
    house.record(line, TRACK_BAR, tool=old.code)
    assert ("tool_out_of_date", "tool") in lacking(house, ticket)
    house.record(line, TRACK_BAR)
    assert {field for _code, field in lacking(house, ticket)} >= {"left_rear", "toe_span"}
    house.record(house.line(ticket, "set_toe"), SET_TOE)
    assert lacking(house, ticket) == {("second_check_missing", "")}


def checked_driven_and_closed(house: House, ticket: Ticket) -> None:
    """Only somebody else's check and a road test let it close, and the close lifts the hold."""
    with pytest.raises(Refused, match="You did a line"):
        house.check(ticket, by=house.technician)
    house.check(ticket)
    house.test_drive(ticket)
    assert Hold.objects.filter(vehicle=house.vehicle, lifted_at=None).exists()
    house.close(ticket)
    assert not Hold.objects.filter(vehicle=house.vehicle, lifted_at=None).exists()

    ladders = set(Recheck.objects.filter(state="owed").values_list("ladder", flat=True))
    assert ladders == {"track_bar", "steering_opened", "oscillation_closed", "routine", "annual"}


def moved_and_moved_again(house: House) -> None:
    """The first retorque that moves halves the interval; the second holds, and is a pattern."""
    owed = Recheck.objects.get(ladder="track_bar", joint=house.joint())
    assert owed.due_on == date(2026, 9, 8)

    house.later(days=5)
    house.moved()
    owed.refresh_from_db()
    assert owed.state == "done"
    again = Recheck.objects.get(ladder="track_bar", joint=house.joint(), state="owed")
    assert again.due_on == date(2026, 9, 10)

    house.later(days=3)
    house.moved()
    patterns.scan(Work(house.manager, house.now))
    pattern = Pattern.objects.get()
    assert pattern.joint == house.joint()
    assert len(pattern.evidence["findings"]) == 2
    assert Hold.objects.get(vehicle=house.vehicle, lifted_at=None).joint == house.joint()


def lacking(house: House, ticket: Ticket) -> set[tuple[str, str]]:
    """Try to close, and give back what the refusal names."""
    with pytest.raises(Refused) as refusal:
        close_out.close_ticket(house.technician, ticket.pk, at=house.now)
    assert all(str(problem.message) for problem in refusal.value.problems)
    return {(problem.code, problem.field) for problem in refusal.value.problems}


def test_the_second_moved_running_needs_its_cause_looked_for(house: House) -> None:
    house.moved()
    house.later(days=3)
    house.moved()
    ticket = Ticket.objects.get(vehicle=house.vehicle)
    line = house.line(ticket, "retorque")
    house.record(line, RETORQUE)
    assert ("cause_missing", "cause_looked_for") in lacking(house, ticket)
    house.record(line, RETORQUE, cause_looked_for=True)
    house.check(ticket)
    house.test_drive(ticket)
    assert house.close(ticket).state == "closed"


def test_a_shops_pull_is_no_way_round_looking_for_the_cause(house: House) -> None:
    house.moved()
    house.later(days=3)
    house.moved()
    ticket = Ticket.objects.get(vehicle=house.vehicle)
    repair.drop_line(house.technician, house.line(ticket, "retorque").pk, "a shop did it",
                     at=house.now)  # fmt: skip
    line = house.add_line(ticket, "outside_shop", "track_bar_frame_end")
    shop = {"what": "pulled to its figure", "done_by": "an outside shop", "sheet": "77",
            "own_check": "look"}  # fmt: skip
    house.record(line, shop)
    assert ("cause_missing", "cause_looked_for") in lacking(house, ticket)
    house.record(line, shop, cause_looked_for=True)
    assert lacking(house, ticket) == {("second_check_missing", "")}


def test_a_closed_ticket_does_not_close_again(house: House) -> None:
    ticket = house.repair(("retorque", "track_bar_frame_end", RETORQUE))
    with pytest.raises(Refused, match="was closed by"):
        house.close(ticket)
    line = ticket.lines.get()
    with pytest.raises(Refused, match="was closed by"):
        repair.record_line(house.technician, repair.Entry(line.pk, RETORQUE), at=house.now)
