"""A week planned by hand and by the planner: dragged, moved by keyboard alone, pinned, printed."""

import io
import re
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from fleet.operations.actor import server_actor
from fleet.operations.plan_solve import work_plans
from tests.browser import keys
from tests.browser.conftest import Visit
from tests.browser.hands import follow, press, shows, sign_in
from tests.browser.test_accessible import WIDER, violations
from tests.planned import FRIDAY, MONDAY, NOW, THURSDAY, Ground, visit_of

WEEK = "/plan/at/alder/?week="


@pytest.fixture
def ground(transactional_db: None, clock: Any) -> Ground:
    return Ground(bays=2)


def row(page: Page, unit: str) -> Any:
    return page.get_by_role("row", name=re.compile(unit)).first


def day(page: Page, named: str) -> Any:
    return page.get_by_role("region", name=re.compile(named))


def test_a_week_is_planned_moved_pinned_planned_again_and_printed(
    ground: Ground, visit: Visit
) -> None:
    trucks = [ground.truck(f"A-{n}", due_in=n + 1) for n in range(1, 4)]
    # So tall that nothing scrolls while it is dragged.
    page = sign_in(visit(viewport={"width": 1280, "height": 1800}), "scheduler")
    the_planner_is_asked_and_its_plan_put_in_place(page)
    first, second, third = (visit_of(truck) for truck in trucks)
    # NOW is a Wednesday; the week on screen runs from Sunday to Saturday.
    page.goto(f"{WEEK}{NOW.date()}")
    to = FRIDAY if first.day != FRIDAY else THURSDAY
    row(page, "A-1").drag_to(day(page, to.strftime("%A")))
    shows(page, "Moved. It can be undone.")
    assert visit_of(trucks[0]).day == to
    by_keyboard_alone(page, trucks[1])
    press(page, "Undo the move A-2")
    shows(page, "Put back.")
    assert visit_of(trucks[1]).day == second.day
    press(page, "Pin A-3")
    expect(row(page, "A-3")).to_contain_text("pinned")
    the_planner_is_asked_and_its_plan_put_in_place(page)
    # What was dragged and what was pinned is where it was put.
    assert (visit_of(trucks[0]).day, visit_of(trucks[2]).day) == (to, third.day)
    it_prints(page, visit_of(trucks[0]).people.all()[0].name)


def the_planner_is_asked_and_its_plan_put_in_place(page: Page) -> None:
    page.goto("/plan/")
    follow(page, "Plan again")
    press(page, "Plan again")
    shows(page, "It waits for the work process to take it up.")
    expect(page.get_by_role("button", name="Stop, keep the best")).to_be_visible()
    work_plans(server_actor(), at=timezone.now(), seconds=0.3)  # as the work process does
    # The page asks for itself and shows the proposal as soon as there is one.
    press(page, "Put it in place")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Plan: Alder")


def by_keyboard_alone(page: Page, truck: Any) -> None:
    stands = visit_of(truck).day
    keys.tab_to(page, row(page, truck.unit_number).get_by_role("link", name="Move"))
    page.keyboard.press("Enter")
    expect(page.get_by_role("status").last).to_contain_text(f"Picked up: {truck.unit_number}")
    back, forward = ("ArrowLeft", "ArrowRight")
    page.keyboard.press(back if stands == FRIDAY else forward)
    page.keyboard.press("Enter")
    shows(page, "Moved. It can be undone.")
    assert visit_of(truck).day != stands


def it_prints(page: Page, who: str) -> None:
    page.goto(f"{WEEK}{NOW.date()}")
    address = page.get_by_role("link", name="Day sheets to print").get_attribute("href")
    answer = page.request.get(page.url.split("/plan/")[0] + str(address))
    told = " ".join(sheet.extract_text() for sheet in PdfReader(io.BytesIO(answer.body())).pages)
    # A long name may be parted at the end of its line.
    told = told.replace("-\n", "")
    for words in ("Plan of Alder", "A-1", "damper", who, "Done, by"):
        assert words in told


def test_escape_leaves_a_visit_where_it_is(ground: Ground, visit: Visit) -> None:
    truck = ground.truck()
    ground.plan(truck)
    page = sign_in(visit(), "scheduler")
    page.goto(f"{WEEK}{NOW.date()}")
    row(page, "A-101").get_by_role("link", name="Move").click()
    page.keyboard.press("Escape")
    shows(page, "Left where it is.")
    expect(row(page, "A-101").get_by_role("link", name="Move")).to_be_focused()
    assert visit_of(truck).day == FRIDAY


def test_by_touch_it_is_picked_up_and_put_down_on_a_day(ground: Ground, visit: Visit) -> None:
    truck = ground.truck()
    ground.plan(truck)
    page = sign_in(visit(viewport={"width": 390, "height": 800}, has_touch=True), "scheduler")
    page.goto(f"{WEEK}{NOW.date()}")
    page.locator("[data-pick]").tap()
    page.get_by_role("button", name=re.compile("Put it here Thursday")).tap()
    shows(page, "Moved. It can be undone.")
    assert visit_of(truck).day == THURSDAY


def test_without_scripts_a_form_moves_it_and_chooses_bay_and_people(
    ground: Ground, visit: Visit
) -> None:
    truck = ground.truck()
    ground.plan(truck)
    page = sign_in(visit(java_script_enabled=False), "scheduler")
    page.goto(f"{WEEK}{NOW.date()}")
    page.get_by_role("link", name="Move A-101").click()
    page.get_by_label("Day", exact=True).fill(str(MONDAY))
    page.get_by_role("radio", name="2", exact=True).check()
    for who in ("Colleague", "Technician"):
        page.get_by_role("checkbox", name=who).set_checked(who == "Colleague")
    press(page, "Move it")
    shows(page, "Moved. It can be undone.")
    moved = visit_of(truck)
    named = [one.name for one in moved.people.all()]
    assert (moved.day, moved.bay, named) == (MONDAY, 2, ["Colleague"])


def test_yards_that_share_people_are_planned_and_put_in_place_on_a_small_phone(
    ground: Ground, visit: Visit
) -> None:
    birch = ground.other("Birch", ground.technician, ground.colleague)
    trucks = [ground.truck("A-1", due_in=0), ground.truck("B-1", due_in=0, at=birch)]
    # Nobody sets alignment on a rack: it counts as done a week after two weeks from its day.
    ground.truck("B-2", due_in=1, at=birch, kind="rack", methods=[])
    page = sign_in(visit(viewport={"width": 320, "height": 640}), "scheduler")
    page.goto("/plan/at/alder/ask/")
    expect(page.get_by_label("Birch: shares Colleague and Technician")).to_be_checked()
    assert violations(page) == []
    press(page, "Plan again")
    work_plans(server_actor(), at=timezone.now(), seconds=0.3)
    shows(page, "Weighed days late: 20.0")
    made_of = page.get_by_text("All other work: 20")
    expect(made_of).to_be_hidden()
    page.get_by_text("What it is made of").focus()
    page.locator("summary").press("Enter")
    expect(made_of).to_be_visible()
    assert violations(page) == []
    assert page.evaluate(WIDER) == 0
    press(page, "Put it in place")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Plan: Alder")
    assert {visit_of(truck).yard for truck in trucks} == {ground.yard, birch}
