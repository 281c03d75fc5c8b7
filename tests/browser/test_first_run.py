"""A new fleet by hand: from an empty database to a first vehicle with joints that are due."""

import re
from datetime import timedelta
from io import StringIO
from typing import Any

import pytest
from django.core.management import call_command
from django.utils import timezone
from playwright.sync_api import Page, expect

from fleet.operations.actor import server_actor
from fleet.operations.reference import load_reference
from fleet.records.models import Person, Vehicle
from tests import people
from tests.browser.conftest import Visit
from tests.browser.hands import field, fill_in, follow, heading, press, shows, signed_in
from tests.browser.test_accessible import WIDER, violations

TECHNICIAN = "technician: inspects, repairs, makes second checks"


@pytest.fixture
def empty(transactional_db: None, clock: Any) -> None:
    """Migrated, its reference data loaded, and nobody on file."""
    load_reference(server_actor("command"), at=timezone.now())


def test_from_an_empty_database_to_a_first_vehicle(
    empty: None, visit: Visit, live_server: Any
) -> None:
    page = visit()
    the_first_manager_comes_by_a_command(page, live_server.url)
    the_fleet_is_named(page)
    a_yard_is_put_on_file(page)
    link = somebody_is_taken_on(page)
    they_choose_their_own_password(visit(), link)
    a_design_gets_its_first_figure(page)
    a_tool_is_put_on_file(page)
    the_rules_are_looked_over(page)
    the_first_vehicle_has_joints(page)
    its_first_look_is_due(page)
    set_up(page)
    shows(page, "6 of 8 steps are done.")


def the_first_manager_comes_by_a_command(page: Page, address: str) -> None:
    page.goto("/")
    shows(page, "Nobody is on file yet", "first_manager")
    told = StringIO()
    call_command("first_manager", "boss", name="A boss", address=address, stdout=told)
    choose_password(page, links_in(told.getvalue())[0])
    sign_in_as(page, "boss")
    shows(page, "Nothing is here yet", "Next: The fleet.")


def links_in(text: str) -> list[str]:
    return re.findall(r"http\S+/welcome/\S+", text)


def choose_password(page: Page, link: str) -> None:
    """With the keyboard alone, as on a tablet with a stand."""
    page.goto(link)
    field(page, "New password").focus()
    page.keyboard.type(people.PASSWORD)
    page.keyboard.press("Tab")
    page.keyboard.type(people.PASSWORD)
    page.keyboard.press("Enter")
    heading(page, "Sign in")


def sign_in_as(page: Page, name: str) -> None:
    fill_in(page, {"Sign-in name": name, "Password": people.PASSWORD})
    page.keyboard.press("Enter")
    signed_in(page)


def set_up(page: Page) -> None:
    page.get_by_role("contentinfo").get_by_role("link", name="Set up").click()
    heading(page, "Set up")


def the_fleet_is_named(page: Page) -> None:
    follow(page, "Name the fleet")
    fill_in(page, {"Name of the fleet": "Test Range", "Time zone": "America/Denver"})
    press(page, "Keep")
    heading(page, "Set up: Test Range")
    shows(page, "1 of 8 steps are done.")


def a_yard_is_put_on_file(page: Page) -> None:
    follow(page, "Put a yard on file")
    expect(field(page, "Time zone")).to_have_value("America/Denver")
    fill_in(page, {"Name": "Alder", "On-call number": "555-0100", "Time zone": "Denver"})
    press(page, "Put the yard on file")
    expect(page.get_by_role("alert")).to_contain_text("Type a time zone like America/Denver.")
    expect(field(page, "On-call number")).to_have_value("555-0100")
    fill_in(page, {"Time zone": "America/Denver"})
    press(page, "Put the yard on file")
    shows(page, "Alder", "Mon, Tue, Wed, Thu, Fri", "1 person, 0 trained")


def somebody_is_taken_on(page: Page) -> str:
    set_up(page)
    follow(page, "Take somebody on")
    fill_in(page, {
        "Name": "A hand", "Sign-in name": "hand", "Role": TECHNICIAN, "Yards": "Alder",
        "Trained to check": True,
    })  # fmt: skip
    press(page, "Take them on")
    heading(page, "A hand")
    link = page.get_by_role("link", name="/welcome/").inner_text()
    page.reload()
    shows(page, "No password is chosen yet")
    expect(page.get_by_role("link", name="/welcome/")).to_have_count(0)
    follow(page, "People")
    shows(page, "With one trained person alone nobody can witness the check")
    return link


def they_choose_their_own_password(page: Page, link: str) -> None:
    choose_password(page, link)
    sign_in_as(page, "hand")
    page.goto(link)
    heading(page, "This link works no more")


def a_design_gets_its_first_figure(page: Page) -> None:
    set_up(page)
    shows(page, "No torque figure comes with the program")
    follow(page, "Put a design on file")
    fill_in(page, {
        "Name of the design": "Foothill 3/4", "Make": "Foothill",
        "How the axle is located": "Four links, coils and track bar",
        "Steering linkage": "Tie rod from knuckle to knuckle, drag link to the far one",
        "Knuckles": "Ball-joint knuckles", "Hubs": "Unit hubs",
    })  # fmt: skip
    press(page, "Put the design on file")
    shows(page, "On file. Its torque figures come next.")
    page.get_by_role("link", name=re.compile("^Type it ?: Track bar, frame end")).click()
    fill_in(page, {
        "Whose figure": "factory", "Figure, or its low side": "125 lbf·ft", "Threads": "dry",
        "Where the figure stands": "service information, invented",
    })  # fmt: skip
    press(page, "Put the figure on file")
    heading(page, "Foothill 3/4")
    row = page.get_by_role("row").filter(has_text="Track bar, frame end")
    expect(row).to_contain_text("125 lbf·ft")


def a_tool_is_put_on_file(page: Page) -> None:
    set_up(page)
    follow(page, "Put a tool on file")
    fill_in(page, {
        "Code on the tool": "TW-1", "Description": "1/2 in click", "Kind": "set",
        "Range from": "30 lbf·ft", "Range to": "250 lbf·ft",
    })  # fmt: skip
    press(page, "Put it on file")
    follow(page, "Calibration")
    today = timezone.localdate().isoformat()
    fill_in(page, {"Result": "Passed", "Certificate": "C-1", "Calibrated on": today})
    press(page, "Record the calibration")
    shows(page, "good through")


def the_rules_are_looked_over(page: Page) -> None:
    set_up(page)
    follow(page, "Look the rules over")
    shows(page, "Track bar: retorque or look at both ends", "own", "49 CFR 396.17")
    press(page, "We have looked them over")
    shows(page, "Looked over by A boss.")


def the_first_vehicle_has_joints(page: Page) -> None:
    follow(page, "Take one vehicle in")
    fill_in(page, {
        "Unit number": "A-1", "Design": "Foothill 3/4", "Duty": "gravel", "Meter counts": "miles",
        "The meter reads": "12,000",
    })  # fmt: skip
    press(page, "Take it into the fleet")
    heading(page, "A-1")
    shows(page, "Track bar, frame end", "Upper ball joint")
    assert Vehicle.objects.get().joints.count() > 20


def its_first_look_is_due(page: Page) -> None:
    set_up(page)
    shows(page, "1 vehicle was never looked at; 0 of them due within 30 days.")
    follow(page, "Make first looks due")
    day = timezone.localdate() + timedelta(days=1)
    fill_in(page, {"From which day on": day.isoformat()})
    press(page, "Make them due")
    heading(page, "Due")
    row = page.get_by_role("row").filter(has_text="A-1").first
    expect(row).to_contain_text("Nov 26")


SCREENS = [
    "/", "/set-up/", "/set-up/fleet/", "/set-up/rules/", "/set-up/first-looks/", "/set-up/yards/",
    "/set-up/yards/new/", "/specs/designs/new/", "/people/", "/people/new/",
]  # fmt: skip


@pytest.mark.parametrize(
    ("width", "scheme"), [(320, "light"), (320, "dark"), (1280, "light"), (1280, "dark")]
)
def test_no_page_of_setting_up_bars_anybody(
    empty: None, visit: Visit, width: int, scheme: str
) -> None:
    page = visit(viewport={"width": width, "height": 800}, color_scheme=scheme)
    page.goto("/accounts/login/")
    wrong = {"sign in, nobody on file": seen_wrong(page)}
    told = StringIO()
    call_command("first_manager", "boss", name="A boss", stdout=told)
    page.goto("/welcome/" + links_in(told.getvalue())[0].split("/welcome/")[1])
    wrong["one-time link"] = seen_wrong(page)
    choose_password(page, page.url)
    sign_in_as(page, "boss")
    own = f"/people/{Person.objects.get(username='boss').pk}/"
    for address in [*SCREENS, own, f"{own}change/", f"{own}leave/"]:
        page.goto(address)
        wrong[address] = seen_wrong(page)
    assert {name: found for name, found in wrong.items() if found} == {}


def seen_wrong(page: Page) -> Any:
    wider = page.evaluate(WIDER)
    return violations(page) + ([f"{wider} px too wide"] if wider > 0 else [])
