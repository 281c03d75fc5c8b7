"""A figure's name opens what it says: by key, by touch, without a script; and on paper."""

import re
from typing import Any

import pytest
from playwright.sync_api import expect

from tests import people
from tests.browser.conftest import Visit
from tests.browser.hands import sign_in
from tests.browser.test_accessible import WIDER, violations
from tests.web.rows import Fleet

# What it shows hangs on no rule of the database.
pytestmark = pytest.mark.sqlite

SIZES = "els => els.map(el => [getComputedStyle(el).display, el.getBoundingClientRect().width])"
# The smallest word in a picture, as it is seen, in CSS pixels.
SMALLEST = """() => Math.min(...[...document.querySelectorAll('.trace text')].filter(
  text => text.getClientRects().length).map(text => parseFloat(getComputedStyle(text).fontSize)
  * text.getScreenCTM().a))"""

# Words that reach out of their picture, by a unit or more.
OUTSIDE = """() => [...document.querySelectorAll('.trace text')].filter(text => {
  const own = text.getClientRects()[0], all = text.closest('svg').getBoundingClientRect();
  return own && (own.left < all.left - 1 || own.right > all.right + 1); }).map(
  text => text.textContent)"""


@pytest.fixture
def fleet(transactional_db: None, clock: Any) -> Fleet:
    return Fleet(people.manager(), 3)


def test_a_key_opens_it_and_a_key_closes_it(fleet: Fleet, visit: Visit) -> None:
    page = visit(viewport={"width": 1280, "height": 800}, java_script_enabled=False)
    page.goto("/accounts/login/")
    sign_in(page, "manager")
    page.goto("/due/")
    button = page.get_by_role("button", name="By its own use")
    told = page.locator("#explain-projected")
    expect(told).to_be_hidden()
    button.focus()
    page.keyboard.press("Enter")
    expect(told).to_be_visible()
    expect(told).to_contain_text("likely to reach the figure")
    page.keyboard.press("Escape")
    expect(told).to_be_hidden()


def test_a_finger_opens_it_on_a_phone_and_nothing_bars_anybody(fleet: Fleet, visit: Visit) -> None:
    page = visit(viewport={"width": 320, "height": 640}, has_touch=True)
    page.goto("/accounts/login/")
    sign_in(page, "manager")
    page.goto(f"/vehicles/{fleet.vehicle.unit_number}/")
    page.get_by_role("button", name="Interval used").tap()
    told = page.locator("#explain-interval_used")
    expect(told).to_be_visible()
    assert violations(page) == []
    assert page.evaluate(WIDER) <= 0
    told.get_by_role("button", name="Close").tap()
    expect(told).to_be_hidden()


@pytest.mark.parametrize(("width", "shown"), [(320, "narrow"), (820, "wide"), (1280, "wide")])
def test_one_drawing_of_two_is_shown_and_its_words_can_be_read(
    fleet: Fleet, visit: Visit, width: int, shown: str
) -> None:
    page = visit(viewport={"width": width, "height": 800})
    page.goto("/accounts/login/")
    sign_in(page, "manager")
    page.goto(f"/vehicles/{fleet.vehicle.unit_number}/")
    for size in ("narrow", "wide"):
        found = page.locator(f".trace--{size}").evaluate_all(SIZES)
        assert {display for display, _width in found} == {"block" if size == shown else "none"}
    assert page.evaluate(SMALLEST) >= 12
    assert page.evaluate(OUTSIDE) == []
    pictures = page.get_by_role("img", name="Toe over time")
    expect(pictures).to_have_count(1)
    expect(pictures).to_have_accessible_description(re.compile("^Toe was read"))


def test_paper_has_the_explanations_at_its_foot(fleet: Fleet, visit: Visit) -> None:
    page = visit(viewport={"width": 820, "height": 800})
    page.goto("/accounts/login/")
    sign_in(page, "manager")
    page.goto("/due/")
    page.emulate_media(media="print")
    told = page.locator("#explain-projected")
    expect(told).to_be_visible()
    expect(told.get_by_role("button", name="Close")).to_be_hidden()
