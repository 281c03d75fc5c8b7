"""The Reckoner in a real browser: answers as one types, with and without scripts, one-handed."""

import re
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from tests import people
from tests.browser.conftest import Visit
from tests.browser.hands import sign_in
from tests.reads.reckoned import record_text, road_test

# What it shows hangs on no rule of the database.
pytestmark = pytest.mark.sqlite

PHONE = {"viewport": {"width": 390, "height": 800}, "has_touch": True}


def open_reckoner(page: Page) -> Page:
    people.manager()
    sign_in(page, "manager")
    page.goto("/reckoner/")
    return page


def as_found(page: Page) -> Locator:
    return page.locator("#toe").get_by_role("group", name="As found")


def type_reading(page: Page, label: str, text: str) -> None:
    as_found(page).get_by_label(label, exact=True).press_sequentially(text)


def test_a_tape_reading_typed_on_a_phone_shows_the_right_toe(
    transactional_db: None, clock: Any, visit: Visit
) -> None:
    page = open_reckoner(visit(**PHONE))
    type_reading(page, "Behind, 1", "46 5/16")
    read = page.locator("#toe-found_rear_1-read")
    expect(read).to_have_text("46 5/16 in = 1,176.3 mm")
    type_reading(page, "In front, 1", "46 1/4")
    page.get_by_role("region", name="Toe from two tape readings").get_by_label(
        "Span of the marks on one tire"
    ).press_sequentially("29")
    said = page.locator("#toe-said")
    expect(said).to_contain_text("As found: 1/16 in (1.6 mm) toe-in")
    # In sight while the last field is typed, without scrolling.
    expect(said).to_be_in_viewport()
    figures = page.locator("#toe-answer").get_by_role("row", name=re.compile("^As found, toe-in"))
    for figure in ("1/16 in", "1.6 mm", "0.12 ° both wheels"):
        expect(figures).to_contain_text(figure)
    # The answer has an address: read again, it says the same.
    expect(page).to_have_url(re.compile(r"found_rear_1=46\+5%2F16.*#toe$"))
    page.reload()
    expect(page.locator("#toe-said")).to_contain_text("1/16 in (1.6 mm) toe-in")


def test_a_slip_is_told_beside_its_field_and_the_answer_goes(
    transactional_db: None, clock: Any, visit: Visit
) -> None:
    page = open_reckoner(visit())
    type_reading(page, "Behind, 1", "46 5/16")
    type_reading(page, "In front, 1", "46 1/4")
    expect(page.locator("#toe-answer table")).to_be_visible()
    front = page.locator("#toe-found_front_1")
    front.fill("461/4")
    expect(page.locator("#toe-found_front_1-error")).to_contain_text("leave a space")
    expect(front).to_have_attribute("aria-invalid", "true")
    expect(front).to_have_value("461/4")
    expect(page.locator("#toe-answer table")).to_have_count(0)
    front.fill("46 1/4")
    expect(page.locator("#toe-answer table")).to_be_visible()
    expect(front).not_to_have_attribute("aria-invalid", "true")


def test_without_scripts_the_button_brings_the_answer(
    transactional_db: None, clock: Any, visit: Visit
) -> None:
    page = open_reckoner(visit(java_script_enabled=False))
    as_found(page).get_by_label("Behind, 1", exact=True).fill("46 5/16")
    as_found(page).get_by_label("In front, 1", exact=True).fill("46 1/4")
    page.locator("#toe").get_by_role("button", name="Reckon").click()
    expect(page.locator("#toe-said")).to_contain_text("1/16 in (1.6 mm) toe-in")
    expect(page.locator("#toe-found_rear_1")).to_have_value("46 5/16")


def test_a_server_that_does_not_answer_leaves_no_old_figure_standing(
    transactional_db: None, clock: Any, visit: Visit
) -> None:
    page = open_reckoner(visit())
    page.locator("#vin-vin").fill("1J9RP1A36A1644345")
    expect(page.locator("#vin-answer table")).to_be_visible()
    page.route("**/reckoner/**", lambda route: route.abort())
    page.locator("#vin-vin").fill("1J9RP1A36A1644346")
    expect(page.locator("#vin-said")).to_contain_text("The server did not answer")
    expect(page.locator("#vin-answer table")).to_have_count(0)


def test_a_record_is_drawn_and_says_what_it_points_to(
    transactional_db: None, clock: Any, visit: Visit
) -> None:
    page = open_reckoner(visit())
    text = record_text(road_test("axle"))
    page.locator("#vibration-record").set_input_files(
        {"name": "road.csv", "mimeType": "text/csv", "buffer": text.encode()}
    )
    page.locator("#vibration-circumference").fill("2400 mm")
    page.locator("#vibration").get_by_role("button", name="Reckon").click()
    expect(page.locator("#vibration-said")).to_contain_text("axle oscillation", timeout=20_000)
    expect(page.locator("#vibration-answer .trace--wide")).to_have_count(2)
    expect(page.locator("#vibration-answer")).to_contain_text("Never a clearance to drive")


def test_the_answered_section_is_printed_alone(
    transactional_db: None, clock: Any, visit: Visit
) -> None:
    page = open_reckoner(visit())
    page.goto("/reckoner/?calculator=vin&vin=1J9RP1A36A1644345")
    page.emulate_media(media="print")
    expect(page.locator("#vin")).to_be_visible()
    expect(page.locator("#toe")).to_be_hidden()
    page.goto("/reckoner/?calculator=toe&found_rear_1=46+5/16&found_front_1=46+1/4")
    expect(page.locator("#toe-found_rear_1")).to_be_visible()
    expect(page.locator("#toe-found_rear_2")).to_be_hidden()
    expect(page.locator("#toe-answer")).to_contain_text("1/16")
