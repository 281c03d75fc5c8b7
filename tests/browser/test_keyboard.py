"""The main path with the keyboard alone: no pointer is used."""

import re
from datetime import date, timedelta
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from fleet.records.models import Finding
from tests import people
from tests.browser import keys, test_story
from tests.browser.conftest import Visit
from tests.browser.hands import heading, sign_in
from tests.operations.conftest import a_tool, make_house

# What it shows hangs on no rule of the database.
pytestmark = pytest.mark.sqlite

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
    look(page, joint, "No play")
    keys.press(page, "Record the sheet")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Inspection, routine")
    found = Finding.objects.get(joint=house.joint())
    assert (found.code, found.method) == ("no_play", "dry_steer")


def test_the_main_story_needs_no_pointer(
    transactional_db: None, clock: Any, visit: Visit, monkeypatch: pytest.MonkeyPatch
) -> None:
    """From the complaint to the close, as test_story tells it, each step by Tab, arrows, Enter."""
    house = make_house()
    a_tool(house.manager, house.yard, "TW-9", good_until=date(2026, 10, 1))
    for name in ("fill_in", "follow", "press"):
        monkeypatch.setattr(test_story, name, getattr(keys, name))
    monkeypatch.setattr(test_story, "record", record)
    monkeypatch.setattr(test_story, "to_the_ticket", to_the_ticket)
    test_story.the_driver_reports_and_is_told_to_stop(sign_in(visit(), "driver"))
    clock.shift(timedelta(hours=1))
    technician = sign_in(visit(), "technician")
    the_inspection_finds_play(technician)
    test_story.each_refusal_to_close_names_what_is_missing(technician)
    test_story.the_second_check_is_not_ones_own(technician)
    test_story.the_colleague_checks_drives_and_closes(sign_in(visit(), "colleague"))


def the_inspection_finds_play(page: Page) -> None:
    test_story.to_the_truck(page)
    keys.follow(page, "Complaint: whole axle oscillating")
    keys.follow(page, "Inspect, in the order for this complaint")
    keys.fill_in(page, {"Who holds the wheel": "A helper", "The meter reads": "50,000"})
    look(page, page.get_by_role("group", name=FRAME_END), "Play")
    keys.press(page, "Record the sheet")
    test_story.held(page)


def to_the_ticket(page: Page) -> None:
    test_story.to_the_truck(page)
    keys.enter(page, page.get_by_role("link", name=re.compile(r"^[Tt]icket \d+")).first)
    heading(page, "Ticket")


def record(page: Page, line: str, typed: dict[str, Any]) -> None:
    here = page.get_by_role("article").filter(
        has=page.get_by_role("heading", name=line, exact=True)
    )
    keys.enter(page, here.get_by_role("link", name="Record it"))
    keys.fill_in(page, typed)
    keys.press(page, "Record the line")
    heading(page, "Ticket")


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


def look(page: Page, joint: Locator, found: str) -> None:
    keys.along(page, joint.get_by_label("Blank", exact=True), joint.get_by_label(found, exact=True))
    dry_steer = joint.get_by_label("Dry steer", exact=True)
    keys.along(page, dry_steer, dry_steer)


def type_into(page: Page, wanted: Locator, text: str) -> None:
    keys.tab_to(page, wanted)
    page.keyboard.type(text)


def open_link(page: Page, name: str) -> None:
    keys.follow(page, name)
    expect(page.get_by_role("heading", level=1)).to_be_visible()
