"""From complete lines to a closed ticket, by hand: each refusal names what is missing."""

from typing import Any

import pytest
from django.utils.html import strip_tags

from fleet.records.models import Hold, Recheck, RoadRelease, Ticket
from tests.operations.conftest import SET_TOE, TRACK_BAR, House
from tests.web.conftest import Get, Send
from tests.web.test_ticket import form_of, page_of

CHECK = {"passed": "yes", "dry_steer": "on", "how": "in_person"}
OUT = {"driver": "A driver", "place": "yard loop"}


@pytest.fixture
def ticket(house: House) -> Ticket:
    """Play at the frame end holds the vehicle; its line is open."""
    house.inspect(house.look("track_bar_frame_end", "play", method="dry_steer"))
    return Ticket.objects.get()


def work(house: House, ticket: Ticket) -> None:
    house.record(house.line(ticket, "replace_track_bar"), TRACK_BAR)
    house.record(house.line(ticket, "set_toe"), SET_TOE)


def pointers(page: Any) -> list[str]:
    return [f"{pointer.label}: {pointer.text}" for pointer in page.context["form"].pointers]


def test_closing_with_nothing_recorded_names_each_line_and_figure(
    send: Send, house: House, ticket: Ticket
) -> None:
    page = send(house.technician.person, page_of(ticket, "close/"), 400, outcome="bar worn")
    said = pointers(page)
    assert "Replace track bar: Track bar, frame end: Torque as left is missing." in said
    assert "Set toe: As left, behind the tires is missing." in said
    line = house.line(ticket, "set_toe")
    assert f'href="{form_of(line)}#id_left_rear"' in page.text
    assert "bar worn" in page.text
    assert Ticket.objects.get().state == "open"


def test_who_did_a_line_does_not_make_the_second_check(
    send: Send, house: House, ticket: Ticket
) -> None:
    work(house, ticket)
    page = send(house.technician.person, page_of(ticket, "check/"), 400, **CHECK)
    assert "somebody else makes the second check" in page.text


def test_the_second_check_asks_for_the_dry_steer_beside_its_box(
    send: Send, house: House, ticket: Ticket
) -> None:
    work(house, ticket)
    page = send(
        house.colleague.person, page_of(ticket, "check/"), 400, passed="yes", how="in_person"
    )
    assert list(page.context["form"].errors) == ["dry_steer"]


def test_the_whole_way_out_lifts_the_hold_and_puts_the_rechecks_on_due(
    send: Send, get: Get, house: House, ticket: Ticket
) -> None:
    work(house, ticket)
    colleague = house.colleague.person
    send(colleague, page_of(ticket, "check/"), **CHECK)
    send(colleague, page_of(ticket, "release/"), **OUT, hours="2")
    text = get(colleague, page_of(ticket)).text
    assert "released for road test only" in text.lower()
    assert Hold.objects.get().lifted_at is None
    send(colleague, page_of(ticket, "road-test/"), passed="yes", top_speed="50 mph")
    send(colleague, page_of(ticket, "close/"), outcome="Bushing gone at the frame end.")
    assert Hold.objects.get().lifted_by == colleague
    assert "Bushing gone at the frame end." in get(colleague, page_of(ticket)).text
    due = get(colleague, "/due/").context["items"]
    assert house.joint("track_bar_axle_end") in [item.recheck.joint for item in due]


def test_a_release_wants_a_driver_a_place_and_a_short_time(
    send: Send, house: House, ticket: Ticket
) -> None:
    work(house, ticket)
    house.check(ticket)
    path = page_of(ticket, "release/")
    page = send(house.colleague.person, path, 400, driver="", place="")
    assert set(page.context["form"].errors) == {"driver", "place"}
    page = send(house.colleague.person, path, 400, **OUT, hours="two")
    assert page.context["form"].errors["hours"] == ["Type hours as a number, like 2 or 1.5."]
    page = send(house.colleague.person, path, 400, **OUT, hours="9")
    assert "4 hours" in page.context["form"].errors["hours"][0]
    assert not RoadRelease.objects.exists()


def test_a_failed_road_test_says_what_was_felt_and_opens_the_ticket_again(
    send: Send, house: House, ticket: Ticket
) -> None:
    work(house, ticket)
    house.check(ticket)
    send(house.colleague.person, page_of(ticket, "release/"), **OUT)
    path = page_of(ticket, "road-test/")
    page = send(house.colleague.person, path, 400, passed="no")
    assert page.context["form"].errors["note"] == ["Say what was felt, and at what speed."]
    send(house.colleague.person, path, passed="no", note="Shook at 40 mph")
    assert Ticket.objects.get().state == "open"


def test_a_ticket_closed_twice_by_one_click_is_closed_once_and_says_so_to_others(
    send: Send, house: House, ticket: Ticket
) -> None:
    work(house, ticket)
    house.check(ticket)
    house.test_drive(ticket)
    path = page_of(ticket, "close/")
    for _click in range(2):
        send(house.technician.person, path, outcome="done", request_key="one")
    made = Recheck.objects.count()
    page = send(house.colleague.person, path, 400, outcome="done")
    assert "was closed by Technician" in page.text
    assert Recheck.objects.count() == made


def test_a_ticket_that_holds_the_vehicle_is_not_cancelled(
    send: Send, house: House, ticket: Ticket
) -> None:
    page = send(house.technician.person, page_of(ticket, "cancel/"), 400, reason="a mistake")
    assert "only closing it lifts the hold" in page.text


def test_a_ticket_on_which_nothing_was_done_is_cancelled_with_a_reason(
    send: Send, house: House
) -> None:
    ticket = house.ticket(("retorque", "track_bar_axle_end"))
    page = send(house.technician.person, page_of(ticket, "cancel/"), 400, reason="")
    assert page.context["form"].errors["reason"] == ["Say why it is cancelled."]
    send(house.technician.person, page_of(ticket, "cancel/"), reason="opened on the wrong truck")
    assert Ticket.objects.get().state == "cancelled"


def test_what_cannot_be_undone_is_shown_before_it_is_asked(
    get: Get, house: House, ticket: Ticket
) -> None:
    work(house, ticket)
    text = get(house.technician.person, page_of(ticket, "close/")).text
    assert "A closed ticket never changes." in text
    assert "Lifts the hold: Track bar, frame end: play" in " ".join(strip_tags(text).split())
