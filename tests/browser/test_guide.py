"""The guide can't go stale: its story is walked by its labels, and each picture has its moment."""

from datetime import timedelta
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from fleet.web.guide_text import CHAPTERS, SECTIONS
from tests import build, held, people, stand_outs
from tests.browser.conftest import Visit
from tests.browser.hands import sign_in
from tests.browser.test_accessible import WIDER, violations
from tests.build import NOW
from tests.guide.walk import Cast, Walk
from tests.operations.conftest import House, make_house

# What it shows hangs on no rule of the database.
pytestmark = pytest.mark.sqlite

CAST = Cast(
    "driver", "technician", "colleague", "manager", people.PASSWORD, "A-101", "TW-1", "125 lbf·ft"
)


@pytest.fixture
def house(transactional_db: None, clock: Any) -> House:
    """The small fleet, a second truck whose track bar keeps coming loose, a tool that stands out
    over six more, and an interval that is proposed."""
    house = make_house()
    joint = build.joint(build.vehicle(house.yard, "B-7"))
    by = house.technician.person
    found = [
        build.finding(joint, by, "moved", NOW - timedelta(days=days), degrees=15)
        for days in (60, 30, 2)
    ]
    build.pattern(joint, found)
    seen = stand_outs.six_trucks(by, house.yard, build.yard("Cold Spring"))
    stand_outs.of_tool(seen, house.yard)
    held.proposal()
    return house


def test_the_guides_story_is_walked_by_its_labels(house: House, visit: Visit) -> None:
    seen: list[str] = []

    def shoot(_page: Page, key: str, top: Locator) -> None:
        expect(top.first).to_be_visible()
        seen.append(key)

    Walk(CAST, visit, shoot).tell()
    assert sorted(seen) == sorted(SECTIONS)


@pytest.mark.parametrize(
    ("width", "scheme"), [(320, "light"), (320, "dark"), (1280, "light"), (1280, "dark")]
)
def test_the_guide_bars_nobody(house: House, visit: Visit, width: int, scheme: str) -> None:
    page = sign_in(visit(viewport={"width": width, "height": 800}, color_scheme=scheme), "driver")
    for address in ("/guide/", *(f"/guide/{key}/" for key in CHAPTERS)):
        page.goto(address)
        assert (address, violations(page), page.evaluate(WIDER) > 0) == (address, [], False)
    pictures = page.get_by_role("img").filter(visible=True)
    for picture in pictures.all():
        picture.scroll_into_view_if_needed()
    loaded = "() => [...document.images].every(each => each.complete && each.naturalWidth > 0)"
    page.wait_for_function(loaded)
    shown = page.evaluate("() => document.images[0].currentSrc")
    assert f"-{scheme}" in shown
