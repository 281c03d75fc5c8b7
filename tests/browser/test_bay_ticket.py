"""A ticket at the tablet: recorded, checked and closed with the network off; a claim until then."""

from django.utils import timezone
from playwright.sync_api import Page, expect

from fleet.operations.read_over import Heard, take_read_over
from fleet.records.models import Hold, LineEntry, SecondCheck, Ticket
from tests.browser.bay_hands import (
    OTHER_PIN,
    PIN,
    heading,
    to,
    type_pin,
)
from tests.browser.bay_taps import FRAME, arrives, put, record, signed, step, tablet
from tests.browser.conftest import Visit
from tests.browser.hands import press
from tests.operations.conftest import RETORQUE, SET_TOE, House
from tests.support.wire import Wire


def done_and_checked(house: House, page: Page, ticket: Ticket) -> None:
    """Its line recorded, and the second check refused to who did it, then made by another."""
    to(page, "vehicle", house.vehicle.unit_number, "ticket", str(ticket.pk))
    heading(page, f"Ticket #{ticket.pk}")
    record(page, f"Retorque: {FRAME}", {**RETORQUE, "torque": "125", "degrees": "40"})
    step(page, "Make the second check")
    heading(page, "Second check")
    page.get_by_role("group", name="Who checks").get_by_text("Technician (did a line)").click()
    page.get_by_role("group", name="Result").get_by_text("Passed", exact=True).click()
    page.get_by_text("Dry steer made on the floor").click()
    press(page, "Sign the second check")
    expect(page.get_by_role("alert")).to_contain_text("somebody else makes the second check")
    page.get_by_role("group", name="Who checks").get_by_text("Colleague").click()
    signed(page, "Sign the second check", OTHER_PIN)


def test_a_whole_close_out_offline_is_a_claim_until_the_server_accepts_it(
    house: House, visit: Visit, wire: Wire
) -> None:
    house.moved(degrees="40")
    ticket = Ticket.objects.get()
    other = house.colleague.person
    page = tablet(house, visit, wire, other)
    done_and_checked(house, page, ticket)
    step(page, "Release it for the road test")
    page.get_by_label("Driver").fill("a helper")
    page.get_by_label("Where it is driven").fill("yard loop")
    signed(page, "Sign the release")
    step(page, "Record the road test")
    page.get_by_role("group", name="Result").get_by_text("Passed", exact=True).click()
    signed(page, "Sign the road test")
    step(page, "Close the ticket")
    page.get_by_label("What it was").fill("Bolt below its figure")
    signed(page, "Sign the close")
    expect(page.get_by_role("main")).to_contain_text("It stays held until the server has accepted")
    to(page, "vehicle", house.vehicle.unit_number)
    expect(page.get_by_role("main")).to_contain_text("Held. It must not go out.")
    assert not LineEntry.objects.exists()
    wire.mend()
    arrives(page)
    ticket.refresh_from_db()
    assert (ticket.state, ticket.outcome) == ("closed", "Bolt below its figure")
    assert SecondCheck.objects.get().by == other
    assert not Hold.objects.filter(lifted_at=None).exists()
    to(page, "vehicle", house.vehicle.unit_number)
    expect(page.get_by_role("main")).not_to_contain_text("Held. It must not go out.")


def test_what_moved_twice_running_asks_for_its_cause_with_no_network(
    house: House, visit: Visit, wire: Wire
) -> None:
    house.moved(degrees="40")
    house.later(days=2)
    house.moved(degrees="40")
    page = tablet(house, visit, wire)
    to(page, "vehicle", house.vehicle.unit_number, "ticket", str(Ticket.objects.get().pk))
    asked = page.get_by_text("look for the cause first (hole, shank, sleeve, class, faces, tool)")
    record(page, f"Retorque: {FRAME}", {**RETORQUE, "torque": "125", "degrees": "40"})
    expect(asked.first).to_be_visible()
    expect(page.get_by_role("link", name="Make the second check")).not_to_be_visible()
    page.get_by_role("link", name="Record it again").click()
    heading(page, "Retorque")
    put(page, {"cause_looked_for": True, "cause_found": "sleeve short"})
    expect(asked).not_to_be_visible()
    press(page, "Keep the figures")
    heading(page, "Ticket")
    expect(page.get_by_role("link", name="Make the second check")).to_be_visible()
    expect(asked).not_to_be_visible()


def test_toe_is_worked_out_as_the_tape_is_typed(house: House, visit: Visit, wire: Wire) -> None:
    ticket = house.ticket(("set_toe", None))
    page = tablet(house, visit, wire)
    to(page, "vehicle", house.vehicle.unit_number, "ticket", str(ticket.pk))
    page.get_by_role("link", name="Record it").click()
    put(page, {**SET_TOE, "left_front": "46 1/16"})
    told = page.locator(".line-told")
    expect(told).to_contain_text("Toe as left: 3/16 in (4.8 mm) toe-in.")
    expect(told).to_contain_text("out of its specification")
    put(page, {"left_front": "46 3/16"})
    expect(told).to_contain_text("Toe as left: 1/16 in (1.6 mm) toe-in.")
    expect(told).not_to_contain_text("out of its specification")
    expect(page.get_by_role("main")).to_contain_text("Nothing is missing.")


def test_a_code_read_over_lets_it_out_until_the_record_comes(
    house: House, visit: Visit, wire: Wire
) -> None:
    house.moved(degrees="40")
    page = tablet(house, visit, wire, house.colleague.person)
    done_and_checked(house, page, Ticket.objects.get())
    step(page, "No network here? Read it over")
    heading(page, "Read-over release")
    press(page, "Give both PINs and make the code")
    type_pin(page, PIN)
    expect(page.get_by_role("dialog")).to_contain_text(house.colleague.person.name)
    type_pin(page, OTHER_PIN)
    code = page.locator(".read-code").inner_text()
    worker, checker = house.technician.person.pk, house.colleague.person.pk
    heard = Heard(house.vehicle.pk, worker, checker, code)
    reply = take_read_over(house.manager, heard, at=timezone.now()).row.reply
    page.get_by_label("The reply").fill("111111")
    press(page, "Check the reply")
    expect(page.get_by_role("main")).to_contain_text("have the six digits read again")
    page.get_by_label("The reply").fill(f"{reply[:3]} {reply[3:]}")
    press(page, "Check the reply")
    expect(page.get_by_role("main")).to_contain_text("Out by a read-over release until")
    to(page, "vehicle", house.vehicle.unit_number)
    heading(page, house.vehicle.unit_number)
    expect(page.get_by_role("main")).to_contain_text("Out by a read-over release until")
    expect(page.get_by_role("main")).not_to_contain_text("Held. It must not go out.")


def test_what_is_drawn_anew_waits_for_a_finger_that_is_down(
    house: House, visit: Visit, wire: Wire
) -> None:
    house.moved(degrees="40")
    page = tablet(house, visit, wire)
    to(page, "vehicle", house.vehicle.unit_number, "ticket", str(Ticket.objects.get().pk))
    link = page.get_by_role("link", name="Record it")
    link.hover()
    page.mouse.down()
    wire.mend()
    with page.expect_response(lambda answer: "/api/v1/" in answer.url):
        page.evaluate("window.dispatchEvent(new Event('online'))")
    # A page is drawn anew 120 ms after what it shows has changed.
    page.evaluate("new Promise((go) => setTimeout(go, 360))")
    page.mouse.up()
    heading(page, f"Retorque: {FRAME}")
