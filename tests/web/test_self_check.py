"""A self re-check: allowed by a manager on the ticket, seen by whom it is for, kept on file."""

from datetime import timedelta

import pytest
import time_machine

from fleet.records.models import SecondCheck, SelfCheckLeave, Ticket
from tests import build, people
from tests.build import NOW
from tests.operations.conftest import SET_TOE, House
from tests.operations.tables import worked
from tests.web.conftest import Get, Send
from tests.web.test_ticket import page_of

CHECK = {"passed": "yes", "dry_steer": "on", "how": "self", "note": "Witness marks, by mirror"}


@pytest.fixture
def ticket(house: House) -> Ticket:
    """A retorque was recorded an hour ago."""
    house.later(hours=-1)
    made = worked(house)
    house.later(hours=1)
    return made


def allow(send: Send, house: House, ticket: Ticket, status: int = 302, **typed: str) -> None:
    given = {"person": str(house.technician.person.pk), "reason": "Alone until Thursday", **typed}
    send(house.manager.person, page_of(ticket, "leave/"), status, **given)


def test_without_leave_it_is_refused_with_what_to_do(
    send: Send, get: Get, house: House, ticket: Ticket
) -> None:
    who = house.technician.person
    assert "You have no leave for a self re-check" in get(who, page_of(ticket, "check/")).text
    page = send(who, page_of(ticket, "check/"), 400, **CHECK)
    assert page.context["form"].errors["how"] == [
        "A manager has to allow you a self re-check on this ticket first: ask for it."
    ]


def test_with_leave_it_is_made_and_named_with_who_allowed_it_when_and_why(
    send: Send, get: Get, house: House, ticket: Ticket
) -> None:
    allow(send, house, ticket)
    who = house.technician.person
    for rest in ("", "check/"):
        text = get(who, page_of(ticket, rest)).text
        assert "You may check this work again yourself until Nov 26, 2026, 12:00" in text
        assert "Allowed by Manager: Alone until Thursday" in text
    send(who, page_of(ticket, "check/"), **CHECK)
    assert SecondCheck.objects.get().leave == SelfCheckLeave.objects.get()
    text = get(who, page_of(ticket)).text
    assert "self re-check after a pause, allowed beforehand" in text
    assert text.count("Allowed by Manager, Nov 25, 2026, 12:00: Alone until Thursday") == 2

    house.test_drive(ticket)
    house.close(ticket)
    text = get(who, "/vehicles/A-101/").text
    assert "Self re-check by Technician." in text
    assert "Allowed by Manager, Nov 25, 2026, 12:00: Alone until Thursday" in text


def test_a_colleague_does_not_see_it_as_his(
    send: Send, get: Get, house: House, ticket: Ticket
) -> None:
    allow(send, house, ticket)
    text = get(house.colleague.person, page_of(ticket, "check/")).text
    assert "You have no leave for a self re-check" in text


def test_the_manager_chooses_among_those_who_work_here_and_says_why(
    send: Send, get: Get, house: House, ticket: Ticket
) -> None:
    people.stranger(build.yard("Birch"))
    manager, path = house.manager.person, page_of(ticket, "leave/")
    page = get(manager, path)
    named = [label for _pk, label in page.context["form"].fields["person"].choices]
    assert named == ["choose", "Colleague", "Technician"]
    page = send(manager, path, 400)
    assert set(page.context["form"].errors) == {"person", "reason"}


def test_it_lapses_by_itself(send: Send, get: Get, house: House, ticket: Ticket) -> None:
    allow(send, house, ticket)
    with time_machine.travel(NOW + timedelta(hours=24), tick=False):
        page = send(house.technician.person, page_of(ticket, "check/"), 400, **CHECK)
        assert "ask a manager for a new one" in page.context["form"].errors["how"][0]
        assert "take it back" not in get(house.manager.person, page_of(ticket)).text


def test_a_manager_takes_it_back(send: Send, get: Get, house: House, ticket: Ticket) -> None:
    allow(send, house, ticket)
    leave, manager = SelfCheckLeave.objects.get(), house.manager.person
    path = page_of(ticket, f"leave/{leave.pk}/end/")
    assert path in get(manager, page_of(ticket)).text
    send(manager, path, 400, reason="")
    send(manager, path, reason="Colleague is back")
    text = get(manager, page_of(ticket)).text
    assert "Taken back by Manager, Nov 25, 2026, 12:00: Colleague is back" in text
    send(house.technician.person, page_of(ticket, "check/"), 400, **CHECK)


def test_where_it_is_barred_leave_is_not_offered_and_refused_at_once(
    send: Send, get: Get, house: House, ticket: Ticket
) -> None:
    house.add_line(ticket, "set_toe", None)
    house.record(house.line(ticket, "set_toe"), SET_TOE)
    manager = house.manager.person
    assert page_of(ticket, "leave/") not in get(manager, page_of(ticket)).text
    typed = {"person": str(house.technician.person.pk), "reason": "Alone"}
    page = send(manager, page_of(ticket, "leave/"), 400, **typed)
    assert "Never by oneself after oscillation, a crack or opened steering." in page.text
    text = get(house.technician.person, page_of(ticket, "check/")).text
    assert "No self re-check here" in text
    assert not SelfCheckLeave.objects.exists()


def test_the_leave_of_another_ticket_is_not_found_here(
    get: Get, house: House, ticket: Ticket
) -> None:
    other = build.ticket(build.vehicle(house.yard, "B-2"), house.technician.person)
    leave = build.leave(other, house.technician.person, house.manager.person)
    get(house.manager.person, page_of(ticket, f"leave/{leave.pk}/end/"), 404)


def test_lifting_a_hold_has_no_self_re_check(send: Send, house: House) -> None:
    held = build.hold(house.vehicle, house.driver.person, reason="person")
    page = send(house.manager.person, f"/holds/{held.pk}/lift/", 400, **CHECK)
    assert list(page.context["form"].errors) == ["how"]
