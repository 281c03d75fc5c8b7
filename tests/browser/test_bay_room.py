"""Room on the tablet: it is told before it runs out, and what finds none is not lost silently."""

from collections.abc import Iterator

import pytest
import time_machine
from playwright.sync_api import Page, expect

from tests.browser import bay_hands
from tests.browser.bay_hands import do, enroll, first_time, heading, sent, talk, to
from tests.browser.conftest import Visit
from tests.operations.conftest import House, make_house

LITTLE = 40_000_000
NONE = 1_000


@pytest.fixture
def house(transactional_db: None) -> Iterator[House]:
    house = bay_hands.with_password(make_house())
    with time_machine.travel(house.now, tick=True):
        yield house


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
TOO_LARGE = """async () => {
  const { app } = await import(document.querySelector('script[type="module"]').src);
  const reading = "9".repeat(5_000_000);
  return app.desk.do("record_meter", { vehicle: "none", reading })
    .then(() => "kept", error => error.constructor.name);
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


def test_what_the_browser_has_no_room_for_is_not_kept_by_halves(page: Page) -> None:
    said = {"origin": page.evaluate("location.origin"), "quotaSize": NONE}
    tools = page.context.new_cdp_session(page)
    tools.send("Storage.overrideQuotaForOrigin", said)
    assert page.evaluate(TOO_LARGE) == "NoRoom"
    assert bay_hands.statuses(page) == {}
    tools.send("Storage.overrideQuotaForOrigin", {"origin": said["origin"]})
    [uid] = do(page, "record_meter", {"vehicle": "none", "reading": "48,020"})
    assert list(bay_hands.statuses(page)) == [uid]


def test_what_finds_no_room_is_said_and_still_stands_as_typed(page: Page, house: House) -> None:
    """The full disk is played: a browser takes a few bytes more than it says."""
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
