"""Room on the tablet: it is told before it runs out, and what finds none is not lost silently."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.bay_hands import enroll, first_time, heading, sent, talk, to
from tests.browser.conftest import Visit
from tests.operations.conftest import House

# What the page does by itself is the same on either database: once is enough.
pytestmark = pytest.mark.sqlite

LITTLE = 40_000_000


@pytest.fixture
def page(visit: Visit, house: House) -> Page:
    page = visit()
    enroll(page, house)
    first_time(page, house.technician.person)
    talk(page)
    return page


FULL = """full => {
  IDBObjectStore.prototype.plainAdd ??= IDBObjectStore.prototype.add;
  IDBObjectStore.prototype.add = !full ? IDBObjectStore.prototype.plainAdd
    : () => { throw new DOMException("no room", "QuotaExceededError"); };
}"""


def tell_room(page: Page, left: int) -> None:
    """What the browser says when it is asked: its debugger's quota does not reach that answer."""
    said = {"usage": 1_000_000, "quota": 1_000_000 + left}
    page.evaluate("said => { navigator.storage.estimate = async () => said; }", said)


def test_little_room_is_told_before_it_runs_out(page: Page) -> None:
    to(page)
    heading(page, "Work of")
    expect(page.get_by_text("MB are left on this tablet")).to_have_count(0)
    tell_room(page, LITTLE)
    to(page, "status")
    to(page)
    expect(page.get_by_text("Only 40 MB are left on this tablet")).to_be_visible()


def test_what_finds_no_room_is_said_and_still_stands_as_typed(page: Page, house: House) -> None:
    """The full disk is played: no browser can be filled up to the byte by a test."""
    to(page, "vehicle", house.vehicle.unit_number, "hold")
    reason = page.get_by_label("Why must it not go out?")
    reason.fill("Clunk at the Pitman arm")
    page.evaluate(FULL, True)
    page.get_by_role("button", name="Hold the vehicle").click()
    expect(page.locator(".field-error").first).to_contain_text("no room left")
    expect(reason).to_have_value("Clunk at the Pitman arm")
    page.evaluate(FULL, False)
    page.get_by_role("button", name="Hold the vehicle").click()
    heading(page, house.vehicle.unit_number)
    sent(page)
