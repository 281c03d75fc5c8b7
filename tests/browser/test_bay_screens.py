"""Every view of the tablet page under axe, in both themes, from a small phone to a desk."""

from collections.abc import Iterator
from typing import Any

import pytest
import time_machine
from playwright.sync_api import Page

from fleet.records.models import Person
from tests.browser.bay_hands import do, enroll, first_time, heading, talk, to, type_pin
from tests.browser.conftest import Visit
from tests.browser.test_accessible import WIDER, violations
from tests.operations.conftest import House, make_house
from tests.shop_people import with_password

# What the page does by itself is the same on either database: once is enough.
pytestmark = pytest.mark.sqlite

WIDTHS = (320, 820, 1280)
THEMES = ("light", "dark")
# px; what is inside a line of text is as high as the line (WCAG 2.2, 2.5.8).
TARGET = 59.5
SMALL = """least => [...document.querySelectorAll("a, button, summary, input, select, textarea")]
  .map(one => [one, one.getBoundingClientRect()])
  .filter(([one, box]) => box.width && box.height < least)
  .map(([one, box]) => `${one.textContent.trim() || one.id}: ${Math.round(box.height)}`)"""


@pytest.fixture
def house(transactional_db: None) -> Iterator[House]:
    house = with_password(make_house())
    with time_machine.travel(house.now, tick=True):
        house.ticket(("retorque", "track_bar_frame_end"))
        house.inspect(house.look("track_bar_axle_end", "play", method="dry_steer"))
        yield house


class Look:
    """Each view in every width and theme; what is wrong with it, by name."""

    def __init__(self, page: Page) -> None:
        self.page, self.wrong = page, dict[str, Any]()

    def __call__(self, name: str) -> None:
        for width in WIDTHS:
            self.page.set_viewport_size({"width": width, "height": 900})
            for theme in THEMES:
                self.page.emulate_media(color_scheme=theme)  # type: ignore[arg-type]
                found = violations(self.page)
                if found:
                    self.wrong[f"{name}, {width}, {theme}"] = found
            beyond = self.page.evaluate(WIDER)
            if beyond > 0:
                self.wrong[f"{name}, {width}, wider than the screen"] = beyond
        small = self.page.evaluate(SMALL, TARGET)
        if small:
            self.wrong[f"{name}, small targets"] = small


def test_no_view_bars_anybody(house: House, visit: Visit) -> None:
    page = visit()
    look = Look(page)
    page.goto("/bay/")
    heading(page, "Make this a tablet")
    look("enrolment")
    enroll(page, house)
    look("first time")
    _choose_a_pin(page, house.technician.person, look)
    talk(page)
    places = {
        "today's work": [""],
        "vehicle": ["vehicle", house.vehicle.unit_number],
        "hold": ["vehicle", house.vehicle.unit_number, "hold"],
        "meter": ["vehicle", house.vehicle.unit_number, "meter"],
        "new ticket": ["vehicle", house.vehicle.unit_number, "open"],
        "no such vehicle": ["vehicle", "nowhere"],
        "settings": ["settings"],
    }
    for name, place in places.items():
        _open(page, *place)
        page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
        look(name)
    _what_came_back(page, house, look)
    page.get_by_role("button", name="Lock").first.click()
    heading(page, "Who is at the tablet?")
    look("people")
    page.get_by_role("link", name=house.technician.person.name).click()
    heading(page, "PIN of")
    look("PIN")
    type_pin(page, "915372")
    page.get_by_text("4 tries are left").wait_for()
    look("wrong PIN")
    assert look.wrong == {}


def _choose_a_pin(page: Page, person: Person, look: Look) -> None:
    first_time(page, person)
    look("first work")


def _open(page: Page, *place: str) -> None:
    before = page.locator("h1").first.element_handle()
    to(page, *place)
    page.wait_for_function("old => !old.isConnected", arg=before)


def _what_came_back(page: Page, house: House, look: Look) -> None:
    do(page, "record_meter", {"vehicle": house.vehicle.unit_number, "reading": "no idea"})
    talk(page)
    look("entries")
    page.locator("#returned").click()
    heading(page, "What came back")
    look("what came back")
    page.get_by_role("link", name="Meter reading").click()
    page.get_by_role("button", name="Leave it").wait_for()
    look("one that came back")
