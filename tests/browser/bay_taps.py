"""What people do at a tablet that has all it needs, with the network gone: tap, type, sign."""

import re
from typing import Any

from playwright.sync_api import Locator, Page, expect

from fleet.records.models import Person
from tests.browser.bay_hands import (
    OTHER_PIN,
    PIN,
    enroll,
    first_time,
    heading,
    to,
    type_pin,
)
from tests.browser.conftest import PATIENCE_MS, Visit
from tests.browser.hands import press
from tests.operations.conftest import House
from tests.support.wire import Wire

FRAME, DAMPER = "Track bar, frame end", "Steering damper, linkage end"


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


def arrives(page: Page) -> None:
    """The network is back, and what waited goes by itself: a busy server only takes longer."""
    page.evaluate("window.dispatchEvent(new Event('online'))")
    state = page.locator("#state")
    expect(state).to_contain_text("Nothing waits to be sent.", timeout=3 * PATIENCE_MS)
