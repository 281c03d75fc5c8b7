"""The way out of a ticket: second check, release, road test, close."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest

from fleet.operations import close_out, repair
from fleet.records.models import (
    Hold,
    RoadRelease,
    RoadTest,
    Ticket,
)
from tests.operations.conftest import RETORQUE, SET_TOE, TRACK_BAR, House
from tests.operations.tables import refusal, row_counts, state_of, undone, worked

FRAME = "track_bar_frame_end"
CLEANED = {"what": "washed"}


def test_the_steps_follow_one_another(house: House) -> None:
    ticket = worked(house)
    assert refusal(lambda: house.test_drive(ticket)) == {("not_checked", "")}
    assert refusal(lambda: house.close(ticket)) == {("second_check_missing", "")}
    house.check(ticket)
    assert state_of(ticket) == "checked"
    assert refusal(lambda: house.close(ticket)) == {("road_test_missing", "")}
    assert refusal(drive, house, ticket) == {("not_released", "")}
    house.test_drive(ticket)
    assert state_of(ticket) == "tested"
    closed = house.close(ticket, outcome="tightened")
    assert (closed.state, closed.closed_by) == ("closed", house.technician.person)
    assert set(ticket.lines.values_list("state", flat=True)) == {"closed"}


def test_work_that_touches_no_hold_joint_and_opens_nothing_closes_at_once(house: House) -> None:
    ticket = worked(house, joint="sway_bar_mounts")
    assert house.close(ticket).state == "closed"


def test_a_ticket_without_a_line_does_not_close(house: House) -> None:
    ticket = house.ticket()
    assert refusal(lambda: house.close(ticket)) == {("no_lines", "")}


# Release and road test -------------------------------------------------------------------------


def release(house: House, ticket: Ticket, **changed: Any) -> RoadRelease:
    out = close_out.Release(**{"driver": "a helper", "place": "yard loop", **changed})
    return close_out.release(house.colleague, ticket.pk, out, at=house.now).row


def drive(house: House, ticket: Ticket, passed: bool = True, **more: Any) -> RoadTest:
    sheet = close_out.TestSheet(passed, **more)
    return close_out.road_test(house.colleague, ticket.pk, sheet, at=house.now).row


RELEASES: list[tuple[dict[str, Any], set[tuple[str, str]]]] = [
    ({"driver": " "}, {("driver_missing", "driver")}),
    ({"place": ""}, {("place_missing", "place")}),
    ({"hours": 0.0}, {("hours_wrong", "hours")}),
    ({"hours": 4.1}, {("hours_wrong", "hours")}),
    ({"hours": float("nan")}, {("hours_wrong", "hours")}),
    ({"driver": "x" * 121}, {("too_long", "driver")}),
]


def test_a_release_names_its_driver_place_and_time(house: House, subtests: pytest.Subtests) -> None:
    ticket = worked(house)
    house.check(ticket)
    before = row_counts()
    for changed, named in RELEASES:
        with subtests.test(changed=changed):
            assert refusal(release, house, ticket, **changed) == named
            assert row_counts() == before
    row = release(house, ticket, hours=1.5)
    assert row.until - row.occurred_at == timedelta(minutes=90)
    assert state_of(ticket) == "released"


def test_a_release_runs_out(house: House) -> None:
    ticket = worked(house)
    house.check(ticket)
    released = house.now
    release(house, ticket, hours=1)
    house.later(minutes=61)
    assert refusal(lambda: drive(house, ticket)) == {("outside_release", "occurred_at")}
    with undone():
        # Driven in time, written down after.
        drive(house, ticket, occurred_at=released + timedelta(minutes=30))
        assert state_of(ticket) == "tested"
    release(house, ticket)
    drive(house, ticket)
    assert state_of(ticket) == "tested"


def test_the_hold_stays_while_it_is_out(house: House) -> None:
    house.inspect(house.look(FRAME, "play", method="dry_steer"))
    ticket = Ticket.objects.get()
    house.record(house.line(ticket, "replace_track_bar"), TRACK_BAR)
    house.record(house.line(ticket, "set_toe"), SET_TOE)
    house.check(ticket)
    release(house, ticket)
    assert Hold.objects.filter(lifted_at=None).exists()
    drive(house, ticket)
    assert Hold.objects.filter(lifted_at=None).exists()
    house.close(ticket)
    assert not Hold.objects.filter(lifted_at=None).exists()


def test_a_failed_road_test_opens_the_ticket_again_and_says_what_was_felt(house: House) -> None:
    ticket = worked(house)
    house.check(ticket)
    release(house, ticket)
    assert refusal(lambda: drive(house, ticket, passed=False)) == {("note_missing", "note")}
    drive(house, ticket, passed=False, note="pulls left at 40")
    assert state_of(ticket) == "open"
    assert refusal(lambda: house.close(ticket)) == {("second_check_missing", "")}


def test_the_top_speed_is_read_in_its_unit(house: House) -> None:
    ticket = worked(house)
    house.check(ticket)
    release(house, ticket)
    named = refusal(lambda: drive(house, ticket, top_speed="brisk"))
    assert {field for _code, field in named} == {"top_speed"}
    assert drive(house, ticket, top_speed="45 mph").top_speed_m_s == pytest.approx(20.1168)


# What undoes a check ---------------------------------------------------------------------------


def to_tested(house: House) -> Ticket:
    ticket = worked(house)
    house.check(ticket)
    house.test_drive(ticket)
    return ticket


def test_new_work_after_the_check_undoes_it(house: House, subtests: pytest.Subtests) -> None:
    ticket = to_tested(house)
    line = house.line(ticket, "retorque")
    extra: dict[str, Callable[[], Any]] = {
        "a new line": lambda: house.add_line(ticket, "grease", None),
        "the line recorded again": lambda: house.record(line, RETORQUE),
        "a line dropped": lambda: repair.drop_line(
            house.technician, line.pk, "wrong joint", at=house.now),
        "a hold found": lambda: house.inspect(house.look("pitman_arm", "cracked", method="look")),
        "play found at the same joint": lambda: house.inspect(
            house.look(FRAME, "play", method="dry_steer")),
    }  # fmt: skip
    for name, work in extra.items():
        with subtests.test(name), undone():
            work()
            assert state_of(ticket) == "open"
