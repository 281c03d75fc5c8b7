"""The main path with the keyboard alone: no pointer is used."""

import re
from typing import Any

from playwright.sync_api import Locator, Page, expect

from fleet.records.models import Finding
from tests import people
from tests.browser.conftest import Visit
from tests.operations.conftest import make_house

MOST_TABS = 400
FRAME_END = re.compile("^Track bar, frame end")


def test_sign_in_open_a_vehicle_and_record_one_joint(
    transactional_db: None, clock: Any, visit: Visit
) -> None:
    house = make_house()
    page = visit()
    page.goto("/")
    type_into(page, page.get_by_label("Sign-in name"), "technician")
    type_into(page, page.get_by_label("Password"), people.PASSWORD)
    page.keyboard.press("Enter")
    for link in ("Vehicles", "A-101", "Inspect"):
        open_link(page, link)
    type_into(page, page.get_by_label("Who holds the wheel"), "A helper")
    joint = page.get_by_role("group", name=FRAME_END)
    choose(page, joint, "Blank", "No play")
    choose(page, joint, "Dry steer", "Dry steer")
    tab_to(page, page.get_by_role("button", name="Record the sheet"))
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Inspection, routine")
    found = Finding.objects.get(joint=house.joint())
    assert (found.code, found.method) == ("no_play", "dry_steer")


def test_the_first_tab_leads_past_the_screens_to_the_page(
    transactional_db: None, clock: Any, visit: Visit
) -> None:
    make_house()
    page = visit()
    page.goto("/")
    type_into(page, page.get_by_label("Sign-in name"), "technician")
    type_into(page, page.get_by_label("Password"), people.PASSWORD)
    page.keyboard.press("Enter")
    expect(page.get_by_role("button", name="Sign out")).to_be_visible()
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name="Skip to the page")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.get_by_role("main")).to_be_focused()


def tab_to(page: Page, wanted: Locator) -> None:
    """Go on from where the focus is, as a hand on the Tab key does."""
    expect(wanted).to_be_visible()
    target = wanted.element_handle()
    for _tab in range(MOST_TABS):
        page.keyboard.press("Tab")
        if page.evaluate("target => document.activeElement === target", target):
            return
    raise AssertionError(f"{wanted} is not reached with Tab")


def type_into(page: Page, wanted: Locator, text: str) -> None:
    tab_to(page, wanted)
    page.keyboard.type(text)


def open_link(page: Page, name: str) -> None:
    tab_to(page, page.get_by_role("link", name=name, exact=True).first)
    page.keyboard.press("Enter")
    page.wait_for_load_state()
    expect(page.get_by_role("heading", level=1)).to_be_visible()


def choose(page: Page, part: Locator, first: str, wanted: str) -> None:
    """Tab to where a choice begins, then along it with the arrow keys and the space bar."""
    tab_to(page, part.get_by_label(first, exact=True))
    if first != wanted:
        page.keyboard.press("ArrowRight")
    page.keyboard.press("Space")
    expect(part.get_by_label(wanted, exact=True)).to_be_checked()
