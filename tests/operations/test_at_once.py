"""Two people at once, on two real connections: one is first, the other is told, nothing doubles.

A third holds the vehicle's row until both stand at it; then they go on one after the other.
"""

import threading
import time
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection, transaction

from fleet.operations import close_out, complain, holds, inspect, repair, yard_moves
from fleet.operations.actor import Actor
from fleet.operations.errors import Refused
from fleet.operations.looks import Look
from fleet.operations.once import Request
from fleet.records.models import (
    Finding,
    Hold,
    Inspection,
    Recheck,
    StoredRequest,
    Ticket,
    TicketLine,
    TrailEntry,
    Vehicle,
)
from tests.operations.conftest import SET_TOE, TRACK_BAR, House, make_house
from tests.operations.tables import row_counts

pytestmark = [pytest.mark.postgresql, pytest.mark.django_db(transaction=True)]

PATIENCE = 20.0


def race(house: House, *calls: Callable[[], Any]) -> list[Any]:
    """Let the calls go together at the house's truck."""

    def hold() -> None:
        Vehicle.objects.select_for_update().get(pk=house.vehicle.pk)

    return race_past(hold, *calls)


def race_past(
    hold: Callable[[], Any], *calls: Callable[[], Any], undone: bool = False
) -> list[Any]:
    """Let the calls go together, once what `hold` locks is free; each gives its Done, or the
    refusal it met. With `undone` what `hold` did is rolled back."""
    outcomes: list[Any] = [None] * len(calls)

    def run(place: int) -> None:
        try:
            outcomes[place] = calls[place]()
        except Refused as refused:
            outcomes[place] = refused
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=[place]) for place in range(len(calls))]
    with transaction.atomic():
        hold()
        for thread in threads:
            thread.start()
        until_waiting(len(threads))
        transaction.set_rollback(undone)
    for thread in threads:
        thread.join(PATIENCE)
    assert None not in outcomes
    return outcomes


def until_waiting(sessions: int) -> None:
    """Until so many sessions of this database stand at a lock."""
    deadline = time.monotonic() + PATIENCE
    with connection.cursor() as cursor:
        while time.monotonic() < deadline:
            cursor.execute("SELECT pg_stat_clear_snapshot()")
            cursor.execute(
                "SELECT count(DISTINCT l.pid) FROM pg_locks l JOIN pg_stat_activity a USING (pid) "
                "WHERE NOT l.granted AND a.datname = current_database()"
            )
            if cursor.fetchone()[0] >= sessions:
                return
            time.sleep(0.01)
    pytest.fail("the sessions never stood at the lock together")


def to_tested(house: House) -> Ticket:
    """Complaint, find, repair, second check, road test passed: only the close is left."""
    report = complain.Report(house.vehicle.pk, "axle_oscillation")
    complain.report_complaint(house.driver, report, at=house.now)
    house.inspect(house.look("track_bar_frame_end", "play", method="dry_steer"))
    ticket = Ticket.objects.get()
    house.record(house.line(ticket, "replace_track_bar"), TRACK_BAR)
    house.record(house.line(ticket, "set_toe"), SET_TOE)
    house.check(ticket)
    house.test_drive(ticket)
    ticket.refresh_from_db()
    return ticket


def close(house: House, ticket: Ticket, by: Actor) -> Callable[[], Any]:
    return lambda: close_out.close_ticket(by, ticket.pk, at=house.now)


def split(outcomes: list[Any]) -> tuple[list[Any], list[Refused]]:
    refused = [one for one in outcomes if isinstance(one, Refused)]
    return [one for one in outcomes if not isinstance(one, Refused)], refused


def test_two_people_close_one_ticket_one_wins_and_the_other_is_told_who(db: None) -> None:
    house = make_house()
    ticket = to_tested(house)
    owed_before = Recheck.objects.filter(state="owed").count()
    outcomes = race(
        house, close(house, ticket, house.technician), close(house, ticket, house.colleague)
    )
    won, told = split(outcomes)
    assert (len(won), len(told)) == (1, 1)
    closed = Ticket.objects.get()
    assert closed.closed_by in (house.technician.person, house.colleague.person)
    (problem,) = told[0].problems
    assert problem.code == "ticket_over"
    assert f"was closed by {closed.closed_by}" in problem.message
    assert not Hold.objects.filter(lifted_at=None).exists()
    verbs = list(TrailEntry.objects.values_list("verb", flat=True))
    assert verbs.count("close_ticket") == 1
    assert verbs.count("lift_hold") == Hold.objects.count() == 2
    # Both ends of the bar, the rack, and the look after an oscillation.
    assert Recheck.objects.filter(state="owed").count() == owed_before + 4


def test_a_line_added_during_a_close_does_not_slip_through(db: None) -> None:
    house = make_house()
    ticket = to_tested(house)
    added, closed = race(
        house,
        lambda: repair.add_line(house.colleague, ticket.pk, "grease", None, at=house.now),
        close(house, ticket, house.technician),
    )
    ticket.refresh_from_db()
    if isinstance(added, Refused):
        assert ticket.state == "closed"
        assert added.problems[0].code == "ticket_over"
    else:
        assert ticket.state == "open"
        assert isinstance(closed, Refused)
    loose = TicketLine.objects.filter(ticket__state="closed").exclude(state="closed")
    assert not loose.exists()


def test_a_complaint_during_a_close_still_holds_the_truck(db: None) -> None:
    house = make_house()
    ticket = to_tested(house)
    report = complain.Report(house.vehicle.pk, "stiff_or_binding")
    reported, _closed = race(
        house,
        lambda: complain.report_complaint(house.driver, report, at=house.now),
        close(house, ticket, house.technician),
    )
    hold = Hold.objects.get(lifted_at=None, complaint=reported.row)
    assert hold.ticket is None or hold.ticket.state == "open"


def test_a_hold_placed_during_a_lift_stands(db: None) -> None:
    house = make_house()
    first = holds.place_hold(house.driver, house.vehicle.pk, "Bent", at=house.now).row
    check = holds.Check(dry_steer=True, note="Looked over.")
    lifted, placed = race(
        house,
        lambda: holds.lift_hold(house.manager, first.pk, check, at=house.now),
        lambda: holds.place_hold(house.technician, house.vehicle.pk, "Leaks", at=house.now),
    )
    assert lifted.row.lifted_at is not None
    assert list(Hold.objects.filter(lifted_at=None)) == [placed.row]


def test_two_lifts_of_one_hold_make_one_check(db: None) -> None:
    house = make_house()
    first = holds.place_hold(house.driver, house.vehicle.pk, "Bent", at=house.now).row
    check = holds.Check(dry_steer=True, note="Looked over.")
    lift = lambda: holds.lift_hold(house.manager, first.pk, check, at=house.now)  # noqa: E731
    won, told = split(race(house, lift, lift))
    assert (len(won), told[0].problems[0].code) == (1, "lifted")


def test_of_two_who_let_it_be_moved_to_the_yard_one_decides(db: None) -> None:
    house = make_house()
    holds.place_hold(house.driver, house.vehicle.pk, "Bent", at=house.now)
    leave = yard_moves.Leave(house.vehicle.pk, "County road 7", "20 mph")

    def decide(by: Actor) -> Callable[[], Any]:
        return lambda: yard_moves.decide_move(by, leave, at=house.now)

    won, told = split(race(house, decide(house.technician), decide(house.colleague)))
    assert (len(won), told[0].problems[0].code) == (1, "move_stands")


def test_one_request_key_on_two_connections_is_done_once(db: None) -> None:
    house = make_house()
    look = Look(house.joint().pk, "play", "dry_steer")
    sheet = inspect.Sheet(house.vehicle.pk, "routine", (look,), at_wheel="a helper")
    request = Request("k-1", "a" * 64)
    call = lambda: inspect.record_inspection(  # noqa: E731
        house.technician, sheet, at=house.now, request=request
    )
    outcomes = race(house, call, call)
    assert sorted(done.replayed for done in outcomes) == [False, True]
    assert outcomes[0].row == outcomes[1].row
    counts = row_counts()
    made = [Inspection, Finding, Hold, Ticket, StoredRequest]
    assert {counts[model.__name__] for model in made} == {1}


def test_a_key_whose_first_request_was_refused_is_free_for_the_second(db: None) -> None:
    house = make_house()
    ticket = to_tested(house)
    ahead = house.now + timedelta(minutes=1)
    request = Request("k-1", "a" * 64)
    close_twice = lambda: close_out.close_ticket(  # noqa: E731
        house.technician, ticket.pk, at=ahead, expected_version=ticket.version, request=request
    )
    outcomes = race(house, close_twice, close_twice)
    assert sorted(done.replayed for done in outcomes) == [False, True]
    assert Ticket.objects.get().state == "closed"
