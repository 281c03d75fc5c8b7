"""Work at the tablet: an inspection by taps, and a ticket closed out with the network off."""

import re
from collections.abc import Iterator
from typing import Any

import pytest
import time_machine
from django.utils import timezone
from playwright.sync_api import Locator, Page, expect

from fleet.operations import specs
from fleet.operations.read_over import Heard, take_read_over
from fleet.records.models import (
    Finding,
    Hold,
    Inspection,
    LineEntry,
    Person,
    SecondCheck,
    Ticket,
    TorqueReading,
)
from tests.browser.bay_hands import (
    OTHER_PIN,
    PIN,
    Wire,
    enroll,
    first_time,
    heading,
    open_by_pin,
    sent,
    talk,
    to,
    type_pin,
    with_password,
)
from tests.browser.conftest import Visit
from tests.browser.hands import press
from tests.browser.test_accessible import WIDER, violations
from tests.operations.conftest import RETORQUE, SET_TOE, START, House, a_spec, make_house

FRAME, DAMPER = "Track bar, frame end", "Steering damper, linkage end"
SMALL = """least => [...document.querySelectorAll(
  'main button, main a, main summary, main select, main label:has(input)')]
  .filter(one => one.checkVisibility() && !one.closest('svg'))
  .map(one => [one.textContent.trim().slice(0, 40), one.getBoundingClientRect().height])
  .filter(([, height]) => height < least)"""


@pytest.fixture
def house(transactional_db: None) -> Iterator[House]:
    house = with_password(make_house())
    with time_machine.travel(house.now, tick=True):
        yield house


@pytest.fixture
def wire(live_server: Any) -> Iterator[Wire]:
    wire = Wire(live_server.url)
    yield wire
    wire.close()


def tablet(house: House, visit: Visit, wire: Wire, *others: Person, **options: Any) -> Page:
    """A tablet with all that it needs on it; then the network goes."""
    page = visit(**{"base_url": wire.url, "viewport": {"width": 820, "height": 1180}, **options})
    enroll(page, house)
    for person in others:
        first_time(page, person, OTHER_PIN)
        press(page, "Lock")
        to(page, "sign-in")
        heading(page, "First time on this tablet")
    first_time(page, house.technician.person)
    expect(page.locator("#state")).to_contain_text("The server last answered")
    page.wait_for_function("navigator.serviceWorker.controller !== null")
    wire.cut()
    return page


def sheet(page: Page, house: House) -> None:
    to(page, "vehicle", house.vehicle.unit_number, "sheet")
    heading(page, "Inspection")


def row(page: Page, joint: str) -> Locator:
    named = page.get_by_role("heading", name=re.compile(f"^{re.escape(joint)}"))
    return page.locator(".look").filter(has=named).first


def tap(part: Page | Locator, name: str | re.Pattern[str]) -> None:
    part.get_by_role("button", name=name, exact=isinstance(name, str)).click()


def said(page: Page, joint: str) -> Locator:
    return row(page, joint).locator(".look-said")


def conditions(page: Page) -> None:
    page.get_by_label("Who holds the wheel").fill("a helper")
    page.get_by_role("group", name="Where it stands").get_by_text("On its wheels").click()


def test_one_tap_for_no_play_two_for_the_rest_and_a_hold_is_said_at_once(
    house: House, visit: Visit, wire: Wire
) -> None:
    page = tablet(house, visit, wire)
    sheet(page, house)
    conditions(page)
    tap(page, "Begin with the joints")
    tap(row(page, DAMPER), "No play (dry steer)")
    expect(said(page, DAMPER)).to_contain_text("Recorded so, it is noted.")
    tap(row(page, FRAME), "Something else")
    tap(row(page, FRAME), "Play")
    expect(said(page, FRAME)).to_contain_text(
        "it holds the vehicle. Track bar, frame end: any play"
    )
    tap(row(page, FRAME), "3/16")
    expect(said(page, FRAME)).to_contain_text("3/16 in (4.8 mm)")
    expect(page.locator(".sheet-state")).to_contain_text("2 of")
    press(page, "Record the sheet")
    heading(page, house.vehicle.unit_number)
    expect(page.get_by_role("main")).to_contain_text("Held. It must not go out.")
    assert Inspection.objects.count() == 0
    wire.mend()
    talk(page)
    sent(page)
    made = {one.joint.kind.code: one for one in Finding.objects.select_related("joint__kind")}
    assert {kind: one.code for kind, one in made.items()} == {
        "damper_link_end": "no_play", "track_bar_frame_end": "play",
    }  # fmt: skip
    assert made["track_bar_frame_end"].play_typed == "3/16 in"
    assert Inspection.objects.get().at_wheel == "a helper"
    assert Hold.objects.get().finding == made["track_bar_frame_end"]


def test_tight_is_one_tap_once_the_wrench_and_its_figure_were_confirmed(
    house: House, visit: Visit, wire: Wire
) -> None:
    page = tablet(house, visit, wire)
    sheet(page, house)
    page.get_by_label("Torque tool").first.select_option("TW-1")
    wrench = page.get_by_label(re.compile("^Wrench set to, for 115"))
    wrench.fill("100")
    tap(page, "Confirm")
    expect(page.get_by_text("Below the low side of 115")).to_be_visible()
    tap(row(page, FRAME), "Tight")
    expect(said(page, FRAME)).to_contain_text("Give the figure the wrench was set to.")
    tap(page, "Undo")
    wrench.fill("125")
    tap(page, "Confirm")
    tap(row(page, FRAME), "Tight at 125 (TW-1)")
    expect(said(page, FRAME)).to_contain_text("125 lbf·ft (169.5 N·m) within the figure")
    press(page, "Record the sheet")
    heading(page, house.vehicle.unit_number)
    wire.mend()
    talk(page)
    sent(page)
    torque = TorqueReading.objects.get(finding=Finding.objects.get())
    assert (torque.typed, torque.tool.code, torque.band) == ("125", "TW-1", "inside")


def test_not_reached_wants_a_reason_and_an_unfinished_sheet_is_kept(
    house: House, visit: Visit, wire: Wire
) -> None:
    page = tablet(house, visit, wire)
    sheet(page, house)
    conditions(page)
    tap(row(page, FRAME), "Something else")
    tap(row(page, FRAME), "Not reached")
    press(page, "Record the sheet")
    expect(page.get_by_role("alert")).to_contain_text("Say why it was not reached.")
    page.reload()
    open_by_pin(page, house.technician.person)
    heading(page, "Inspection")
    expect(page.get_by_label("Who holds the wheel")).to_have_value("a helper")
    tap(row(page, FRAME), "Change it")
    tap(row(page, FRAME), "packed with mud or ice")
    press(page, "Record the sheet")
    heading(page, house.vehicle.unit_number)
    wire.mend()
    talk(page)
    sent(page)
    assert Finding.objects.get().reason == "packed with mud or ice"


def test_what_was_tapped_can_be_taken_back(house: House, visit: Visit, wire: Wire) -> None:
    page = tablet(house, visit, wire)
    sheet(page, house)
    conditions(page)
    tap(row(page, DAMPER), "No play (dry steer)")
    tap(page, "Undo")
    expect(said(page, DAMPER)).to_be_empty()
    expect(page.locator(".sheet-state")).to_contain_text("0 of")
    press(page, "Record the sheet")
    expect(page.get_by_role("alert")).to_contain_text("Record at least one joint.")


def put(page: Page, typed: dict[str, Any]) -> None:
    """Into a line's fields, by their names in the rules."""
    for name, value in typed.items():
        box = page.locator(f"[data-field='{name}']")
        if value is True:
            box.get_by_role("checkbox").check()
        elif box.get_by_role("radio").count():
            box.locator(f"input[value='{value}']").check()
        elif box.locator("select").count():
            box.locator("select").select_option(value)
        else:
            box.locator("input").fill(value)


def record(page: Page, line: str, typed: dict[str, Any]) -> None:
    part = page.locator("article.line").filter(has=page.get_by_role("heading", name=line))
    part.get_by_role("link", name="Record it").click()
    heading(page, line)
    put(page, typed)
    expect(page.get_by_role("main")).to_contain_text("Nothing is missing.")
    press(page, "Keep the figures")
    heading(page, "Ticket")


def signed(page: Page, button: str, pin: str = PIN) -> None:
    press(page, button)
    expect(page.get_by_role("dialog")).to_be_visible()
    type_pin(page, pin)
    heading(page, "Ticket")


def step(page: Page, name: str) -> None:
    page.get_by_role("link", name=name).click()


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
    talk(page)
    sent(page)
    ticket.refresh_from_db()
    assert (ticket.state, ticket.outcome) == ("closed", "Bolt below its figure")
    assert SecondCheck.objects.get().by == other
    assert not Hold.objects.filter(lifted_at=None).exists()
    to(page, "vehicle", house.vehicle.unit_number)
    expect(page.get_by_role("main")).not_to_contain_text("Held. It must not go out.")


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


@pytest.mark.parametrize(("width", "scheme"), [(320, "dark"), (390, "light"), (1280, "light")])
def test_sheet_and_line_bar_nobody_and_leave_room_for_a_glove(
    house: House, visit: Visit, wire: Wire, width: int, scheme: str
) -> None:
    specs.set_spec(house.manager, a_spec(house.design, "damper_link_end"), at=START)
    ticket = house.ticket(("retorque", "track_bar_frame_end"), ("set_toe", None))
    page = tablet(house, visit, wire, viewport={"width": width, "height": 800}, color_scheme=scheme)
    sheet(page, house)
    tap(row(page, FRAME), "Something else")
    tap(row(page, FRAME), "Play")
    page.get_by_label("Torque tool").first.select_option("TW-1")
    wrong = {"sheet": looked_at(page)}
    on_ticket = ("vehicle", house.vehicle.unit_number, "ticket", str(ticket.pk))
    to(page, *on_ticket)
    heading(page, "Ticket")
    wrong["ticket"] = looked_at(page)
    page.get_by_role("link", name="Record it").first.click()
    heading(page, "Retorque")
    wrong["line"] = looked_at(page)
    to(page, *on_ticket, "check")
    heading(page, "Second check")
    wrong["check"] = looked_at(page)
    to(page, "vehicle", house.vehicle.unit_number, "drawing")
    heading(page, "Front end")
    wrong["drawing"] = looked_at(page)
    assert {name: found for name, found in wrong.items() if found} == {}


def looked_at(page: Page) -> list[Any]:
    wider = page.evaluate(WIDER)
    return [*violations(page), *page.evaluate(SMALL, 59.5), *([wider] if wider > 0 else [])]


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
