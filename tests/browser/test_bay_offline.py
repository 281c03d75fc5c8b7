"""The tablet page with the network really off: nothing is lost, everything arrives once."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from fleet.records.models import Finding, Hold, LineEntry, MeterReading, TabletOperation
from tests.browser import bay_hands
from tests.browser.bay_hands import do, enroll, first_time, heading, open_by_pin, sent, talk
from tests.browser.conftest import PATIENCE_MS, Visit
from tests.operations.conftest import RETORQUE, House
from tests.support.chromium import QUIET
from tests.support.wire import Wire


@dataclass
class Tablet:
    """A browser with a profile that stays: killed and switched on again, it finds what it kept."""

    browser: Browser
    program: str
    profile: Path
    url: str

    def on(self) -> Page:
        context = self.browser.browser_type.launch_persistent_context(
            self.profile, executable_path=self.program, args=[*QUIET, "--no-sandbox"],
            base_url=self.url, locale="en-US",
        )  # fmt: skip
        context.set_default_timeout(PATIENCE_MS)
        return context.pages[0]

    def kill(self, page: Page) -> None:
        bay_hands.kill(page.context, self.profile)


@pytest.fixture
def tablet(browser: Browser, chromium: str, wire: Wire, tmp_path: Path) -> Iterator[Tablet]:
    tablet = Tablet(browser, chromium, tmp_path / "profile", wire.url)
    yield tablet
    bay_hands.kill(None, tablet.profile)


def kept_by_the_worker(page: Page) -> None:
    page.wait_for_function("() => navigator.serviceWorker.controller !== null")


def test_the_page_opens_with_no_network_and_shows_the_work(
    house: House, visit: Visit, wire: Wire
) -> None:
    house.ticket(("retorque", "track_bar_frame_end"))
    page = visit(base_url=wire.url)
    enroll(page, house)
    first_time(page, house.technician.person)
    kept_by_the_worker(page)
    wire.cut()
    page.reload()
    open_by_pin(page, house.technician.person)
    heading(page, "Work of")
    page.get_by_role("link", name=house.vehicle.unit_number).first.click()
    heading(page, house.vehicle.unit_number)
    page.locator("#joints summary").click()
    expect(page.get_by_role("link", name="Track bar, frame end").first).to_be_visible()
    expect(page.locator("#state")).to_contain_text("No network.")


def test_forty_findings_outlive_a_killed_browser_and_arrive_once(
    house: House, tablet: Tablet, wire: Wire
) -> None:
    page = tablet.on()
    enroll(page, house)
    first_time(page, house.technician.person)
    kept_by_the_worker(page)
    wire.cut()
    look = {"joint": house.joint("damper_frame_end").pk, "code": "no_play", "method": "look"}
    unit = house.vehicle.unit_number
    sheet = {"vehicle": unit, "kind": "routine", "at_wheel": "a helper", "findings": [look]}
    made = do(page, "record_inspection", *[sheet] * 40)
    tablet.kill(page)

    page = tablet.on()
    page.goto("/bay/")
    open_by_pin(page, house.technician.person)
    expect(page.locator("#state")).to_contain_text("40 entries wait to be sent.")
    assert set(bay_hands.statuses(page)) == set(made)
    assert Finding.objects.count() == 0
    wire.mend()
    talk(page)
    sent(page)
    talk(page)
    assert Finding.objects.count() == 40
    assert {str(uid) for uid in TabletOperation.objects.values_list("uid", flat=True)} == set(made)
    assert set(bay_hands.statuses(page).values()) == {"accepted"}


def test_two_tablets_on_one_line_overwrite_nothing(house: House, visit: Visit, wire: Wire) -> None:
    ticket = house.ticket(("retorque", "track_bar_frame_end"))
    line = {"id": house.line(ticket, "retorque").pk}
    first, second = visit(base_url=wire.url), visit(base_url=wire.url)
    for page, name, who in (
        (first, "Bay 1", house.technician.person), (second, "Bay 2", house.colleague.person),
    ):  # fmt: skip
        enroll(page, house, name)
        first_time(page, who)
        talk(page)
    wire.cut()
    do(first, "record_line", {"line": line, "typed": RETORQUE, "saw": None})
    late = {**RETORQUE, "degrees": "35"}
    do(second, "record_line", {"line": line, "typed": late, "saw": None})
    wire.mend()
    talk(first)
    sent(first)
    talk(second)
    second.locator("#returned").click()
    second.get_by_role("link", name="Line recorded").click()
    beside = second.locator(".bay-beside")
    expect(beside).to_contain_text(house.technician.person.name)
    expect(beside.get_by_role("row", name="degrees")).to_contain_text("20")
    expect(beside.get_by_role("row", name="degrees")).to_contain_text("35")
    second.get_by_role("button", name="Mine stands in its place").click()
    heading(second, "What came back")
    talk(second)
    sent(second)
    expect(second.locator("#returned")).to_have_count(0)
    kept = LineEntry.objects.order_by("pk")
    assert [entry.data["degrees"]["typed"] for entry in kept] == ["20", "35"]
    assert kept[1].replaces == kept[0]


def test_what_comes_back_is_corrected_with_what_was_typed(
    house: House, visit: Visit, wire: Wire
) -> None:
    page = visit(base_url=wire.url)
    enroll(page, house)
    first_time(page, house.technician.person)
    unit = house.vehicle.unit_number
    do(page, "record_meter", {"vehicle": unit, "reading": "48,020 furlongs"})
    page.locator("#returned").click()
    page.get_by_role("link", name="Meter reading").click()
    page.get_by_role("link", name="Correct it").click()
    reading = page.get_by_label("Miles")
    expect(reading).to_have_value("48,020 furlongs")
    reading.fill("48,020")
    page.get_by_role("button", name="Keep the reading").click()
    heading(page, unit)
    talk(page)
    sent(page)
    expect(page.locator("#returned")).to_have_count(0)
    assert MeterReading.objects.latest("pk").typed == "48,020"


def test_what_comes_back_can_be_left_with_a_reason(house: House, visit: Visit, wire: Wire) -> None:
    page = visit(base_url=wire.url)
    enroll(page, house)
    first_time(page, house.technician.person)
    [uid] = do(page, "record_meter", {"vehicle": house.vehicle.unit_number, "reading": "no idea"})
    page.locator("#returned").click()
    page.get_by_role("link", name="Meter reading").click()
    page.get_by_role("button", name="Leave it, with this reason").click()
    expect(page.locator(".field-error").filter(has_text="Say why")).to_be_visible()
    page.get_by_label("Why is it left?").fill("Read off the wrong truck")
    page.get_by_role("button", name="Leave it, with this reason").click()
    heading(page, "What came back")
    talk(page)
    sent(page)
    expect(page.locator("#returned")).to_have_count(0)
    row = TabletOperation.objects.get(uid=uid)
    assert (row.state, row.reason) == ("set_aside", "Read off the wrong truck")


def test_a_hold_placed_with_no_network_counts_when_it_comes(
    house: House, visit: Visit, wire: Wire
) -> None:
    page = visit(base_url=wire.url)
    enroll(page, house)
    first_time(page, house.technician.person)
    talk(page)
    wire.cut()
    bay_hands.to(page, "vehicle", house.vehicle.unit_number, "hold")
    page.get_by_role("button", name="Hold the vehicle").click()
    expect(page.locator(".field-error").filter(has_text="Say why")).to_be_visible()
    page.get_by_label("Why must it not go out?").fill("Clunk at the Pitman arm")
    page.get_by_role("button", name="Hold the vehicle").click()
    heading(page, house.vehicle.unit_number)
    expect(page.locator("#state")).to_contain_text("1 entry waits to be sent.")
    assert not Hold.objects.exists()
    wire.mend()
    talk(page)
    sent(page)
    assert Hold.objects.get(lifted_at=None).text == "Clunk at the Pitman arm"
    bay_hands.to(page, "vehicle", house.vehicle.unit_number)
    expect(page.locator(".hold")).to_contain_text("Clunk at the Pitman arm")
