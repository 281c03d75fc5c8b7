"""The front-end drawing in a browser: room for a finger, the walking order, what a mark says."""

from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from tests import people
from tests.browser.conftest import Visit
from tests.browser.hands import sign_in
from tests.web.rows import Fleet

# What it shows hangs on no rule of the database.
pytestmark = pytest.mark.sqlite

# Of each target that is shown: left, top, right, bottom.
TARGETS = """marks => marks.filter(mark => mark.checkVisibility()).map(mark => {
  const box = mark.getBoundingClientRect(); return [box.left, box.top, box.right, box.bottom] })"""


@pytest.fixture
def fleet(transactional_db: None, clock: Any) -> Fleet:
    return Fleet(people.manager(), 3)


def at_vehicle(visit: Visit, fleet: Fleet, width: int, end: str = "", **options: Any) -> Page:
    page = visit(viewport={"width": width, "height": 800}, **options)
    sign_in(page, "manager")
    page.goto(f"/vehicles/{fleet.vehicle.unit_number}/{end}")
    return page


def targets(page: Page, frame: str) -> list[list[float]]:
    found: list[list[float]] = page.locator(f"{frame} .marks .t").evaluate_all(TARGETS)
    return found


def too_small_or_over(boxes: list[list[float]], least: float) -> list[Any]:
    small = [box for box in boxes if box[2] - box[0] < least or box[3] - box[1] < least]
    over = [
        (one, two)
        for i, one in enumerate(boxes)
        for two in boxes[:i]
        if one[0] < two[2] and two[0] < one[2] and one[1] < two[3] and two[1] < one[3]
    ]
    return [*small, *over]


@pytest.mark.parametrize(
    ("width", "end", "least"), [(1280, "", 44), (820, "", 44), (1280, "inspect/", 60)]
)
def test_the_whole_picture_has_room_for_a_finger(
    fleet: Fleet, visit: Visit, width: int, end: str, least: float
) -> None:
    boxes = targets(at_vehicle(visit, fleet, width, end), ".front-all")
    assert len(boxes) == len(fleet.joints)
    assert too_small_or_over(boxes, least) == []


def test_a_tablets_sheet_has_four_enlargements_with_room_for_a_glove(
    fleet: Fleet, visit: Visit
) -> None:
    page = at_vehicle(visit, fleet, 820, "inspect/", has_touch=True)
    boxes = targets(page, ".front-part")
    assert len(boxes) == len(fleet.joints)
    assert targets(page, ".front-all") == []
    assert too_small_or_over(boxes, 60) == []


def test_a_phone_shows_the_whole_and_enlarges_a_corner_without_scripts(
    fleet: Fleet, visit: Visit
) -> None:
    page = at_vehicle(visit, fleet, 320, java_script_enabled=False)
    whole = page.locator(".front-all")
    expect(whole).to_be_visible()
    assert page.locator(".front-part:visible").count() == 0
    page.get_by_role("list", name="Enlarge").get_by_role("link", name="Left wheel").click()
    expect(whole).to_be_hidden()
    part = page.locator(".front-part:visible")
    expect(part).to_have_count(1)
    for target in part.locator(".marks .t").all():
        box = target.bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= 44
    part.get_by_role("link", name="Whole front end").click()
    expect(whole).to_be_visible()


def test_the_keyboard_walks_the_joints_in_the_order_of_the_sheet(
    fleet: Fleet, visit: Visit
) -> None:
    page = at_vehicle(visit, fleet, 1280)
    links = page.locator(".front-all .marks a")
    joints = sorted(fleet.joints, key=lambda joint: (joint.order, joint.pk))
    assert [address(link) for link in links.all()] == [
        f"/vehicles/{fleet.vehicle.unit_number}/joints/{joint.pk}/" for joint in joints
    ]
    links.first.focus()
    page.keyboard.press("Tab")
    expect(links.nth(1)).to_be_focused()
    said = page.locator("[data-front-said]")
    expect(said).to_contain_text(str(joints[1]))
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text(str(joints[1]))


def address(link: Locator) -> str | None:
    return link.get_attribute("href")


def test_a_mark_of_the_sheet_leads_to_the_joints_own_fields(fleet: Fleet, visit: Visit) -> None:
    page = at_vehicle(visit, fleet, 1280, "inspect/")
    link = page.locator(".front-all .marks a").last
    link.click()
    where = address(link)
    assert where is not None
    expect(page.locator(where)).to_be_in_viewport()


def test_a_mark_has_a_name_for_a_screen_reader(fleet: Fleet, visit: Visit) -> None:
    page = at_vehicle(visit, fleet, 1280)
    figure = page.get_by_role("figure", name="The front end from ahead and above")
    marks = figure.get_by_role("list", name="Joints").first
    assert marks.get_by_role("listitem").count() == len(fleet.joints)
    expect(marks.get_by_role("link", name="Pitman arm on sector shaft")).to_have_count(1)
