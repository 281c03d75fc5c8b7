"""The main job by hand: one truck from complaint to a held recheck, through real pages."""

import re
from datetime import date, timedelta
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from fleet.operations import meters
from fleet.operations.actor import server_actor
from fleet.operations.deliver import deliver
from tests.browser.conftest import Visit
from tests.browser.hands import fill_in, follow, heading, press, shows, sign_in
from tests.operations.conftest import START, House, a_tool, make_house

FRAME_END = re.compile("^Track bar, frame end")
# Figures invented, as the tape and the wrench would say them.
BAR = {
    "Part number": "TB-114", "Lot": "L7", "As found": "Play",
    "Threaded rod with adjuster": "No", "Torque tool": "TW-1",
    "Thread condition": "Dry", "Kind of end": "Rubber bushing",
    "Hole": "Looked at, sound", "Bolt shank": "Looked at, sound", "Sleeve": "Looked at, sound",
    "Bracket": "Looked at, sound", "Tightened at ride height, weight on wheels": True,
    "Axle centered: frame to wheel, left": "12 1/4",
    "Axle centered: frame to wheel, right": "12 1/4", "Wheel center looked at": True,
    "Full lock both ways without bind": True, "Hoses and lines clear": True,
}  # fmt: skip
TOE = {
    "Same tread mark": True, "As found, behind the tires": "46 5/16",
    "As found, in front of the tires": "46 1/8", "Gear on its center first": True,
    "Then the steering wheel centered": True, "As left, behind the tires": "46 1/4",
    "As left, in front of the tires": "46 3/16", "Toe set, then wheel center": True,
    "Rolled ahead last": True, "Height of the readings above the floor": "15",
    "Span on one tire between the two readings": "29", "At ride height": True,
    "Judged by": "Specification",
}  # fmt: skip


@pytest.fixture
def house(transactional_db: None, clock: Any) -> House:
    """One four-link truck, a wrench in date, and one whose calibration has run out."""
    house = make_house()
    a_tool(house.manager, house.yard, "TW-9", good_until=date(2026, 10, 1))
    # With the reading at the start and the sheet's own: three are what a rate of use needs.
    earlier = meters.Reading(house.vehicle.pk, "49,000", occurred_at=START + timedelta(days=42))
    meters.record_meter(house.technician, earlier, at=timezone.now())
    return house


def test_one_truck_from_complaint_to_a_repeat(house: House, visit: Visit, clock: Any) -> None:
    the_driver_reports_and_is_told_to_stop(sign_in(visit(), "driver"))
    clock.shift(timedelta(hours=1))
    technician = sign_in(visit(), "technician")
    the_inspection_opens_a_line_and_holds(technician)
    each_refusal_to_close_names_what_is_missing(technician)
    the_second_check_is_not_ones_own(technician)
    colleague = sign_in(visit(), "colleague")
    the_colleague_checks_drives_and_closes(colleague)
    due_says_what_is_owed_and_when(colleague)
    clock.shift(timedelta(days=5))
    the_retorque_finds_it_moved(technician)
    clock.shift(timedelta(days=3))
    the_retorque_finds_it_moved(technician)
    deliver(server_actor(), at=timezone.now())  # as the work process does
    patterns_tells_of_the_repeat(technician)


def the_driver_reports_and_is_told_to_stop(page: Page) -> None:
    follow(page, "Report a complaint")
    fill_in(page, {
        "What was felt": "whole axle oscillating", "At what speed": "52 mph",
        "How it began": "After a bump", "In your own words": "Shook until I nearly stood still.",
    })  # fmt: skip
    press(page, "Report it")
    shows(page, "Stop. Do not drive on. Call", "A-101 is held.")
    expect(page.get_by_role("link", name="555-0100")).to_have_attribute("href", "tel:555-0100")
    follow(page, "A-101")
    held(page)


def held(page: Page) -> None:
    expect(page.get_by_role("alert")).to_contain_text("HELD. A-101 must not go out.")


def to_the_truck(page: Page) -> None:
    follow(page, "Vehicles")
    follow(page, "A-101")
    heading(page, "A-101")


def to_the_ticket(page: Page) -> None:
    to_the_truck(page)
    page.get_by_role("link", name=re.compile(r"^[Tt]icket \d+")).first.click()
    heading(page, "Ticket")


def the_inspection_opens_a_line_and_holds(page: Page) -> None:
    to_the_truck(page)
    follow(page, "Complaint: whole axle oscillating")
    follow(page, "Inspect, in the order for this complaint")
    shows(page, "The joint most often behind violent axle oscillation.")
    fill_in(page, {"Who holds the wheel": "A helper", "The meter reads": "50,000"})
    joint = page.get_by_role("group", name=FRAME_END)
    for chip in ("Play", "Dry steer"):
        joint.get_by_label(chip, exact=True).check()
    press(page, "Record the sheet")
    heading(page, "Inspection, complaint")
    shows(page, "Play Dry steer", "Holds the vehicle.")
    held(page)


def each_refusal_to_close_names_what_is_missing(page: Page) -> None:
    to_the_ticket(page)
    record(page, "Replace track bar: Track bar, frame end", BAR)
    refused(page, "Replace track bar: Track bar, frame end: Torque as left is missing.")
    record(page, "Replace track bar: Track bar, frame end",
           {"Torque as left": "125 lbf·ft", "Torque tool": "TW-9"})  # fmt: skip
    refused(page, "Torque tool TW-9 was out of calibration")
    record(page, "Replace track bar: Track bar, frame end",
           {"Torque tool": "TW-1"})  # fmt: skip
    refused(page, "Set toe: As left, behind the tires is missing.", gone="Torque")
    record(page, "Set toe", TOE)
    shows(page, "As left 1/16 in toe-in.")


def record(page: Page, line: str, typed: dict[str, Any]) -> None:
    """Open a line of the ticket, fill in its form, and come back to the ticket."""
    lines = page.get_by_role("article")
    here = lines.filter(has=page.get_by_role("heading", name=line, exact=True))
    here.get_by_role("link", name="Record it").click()
    fill_in(page, typed)
    press(page, "Record the line")
    heading(page, "Ticket")


def refused(page: Page, missing: str, gone: str = "") -> None:
    """Try to close, read why not, and go back to the ticket."""
    follow(page, "Close the ticket")
    fill_in(page, {"What it was": "Bushing gone at the frame end."})
    press(page, "Close it for good")
    alert = page.get_by_role("alert")
    expect(alert).to_contain_text("Nothing is recorded yet. To put right first:")
    expect(alert).to_contain_text(missing)
    if gone:
        expect(alert).not_to_contain_text(gone)
    follow(page, "Leave it")
    heading(page, "Ticket")


def the_second_check_is_not_ones_own(page: Page) -> None:
    second_check(page)
    expect(page.get_by_role("alert")).to_contain_text("somebody else makes the second check")


def second_check(page: Page) -> None:
    follow(page, "Second check")
    fill_in(page, {"Result": "Passed", "Dry steer made on the floor": True})
    press(page, "Record the second check")


def the_colleague_checks_drives_and_closes(page: Page) -> None:
    to_the_ticket(page)
    second_check(page)
    shows(page, "The second check is on file.")
    follow(page, "Release for a road test")
    fill_in(page, {"Driver": "A driver", "Where it is driven": "yard loop"})
    press(page, "Release for this road test only")
    held(page)
    follow(page, "Record the road test")
    fill_in(page, {"Result": "Passed", "Highest speed": "50 mph"})
    press(page, "Record the road test")
    held(page)
    follow(page, "Close the ticket")
    fill_in(page, {"What it was": "Bushing gone at the frame end."})
    press(page, "Close it for good")
    shows(page, "Closed. Its holds are lifted and its rechecks are on Due.")
    to_the_truck(page)
    expect(page.get_by_role("alert")).to_have_count(0)
    shows(page, "Hold lifted", "in service")


def owed_at_the_frame_end(page: Page) -> Any:
    follow(page, "Due")
    return page.get_by_role("row").filter(
        has=page.get_by_role("link", name=re.compile("Track bar, frame end"))
    )


def due_says_what_is_owed_and_when(page: Page) -> None:
    """At 50,000 miles the first retorque falls due, by its own use or within a week.

    By hand: 2,000 miles in 85 days are 23.5 a day, so 100 miles take 4.3 days from Nov 25.
    """
    row = owed_at_the_frame_end(page).first
    expect(row).to_contain_text("50,100 mi")
    expect(row).to_contain_text("Dec 2")
    expect(row).to_contain_text(re.compile(r"likely\s*Nov 29"))


def the_retorque_finds_it_moved(page: Page) -> None:
    row = owed_at_the_frame_end(page).first
    row.get_by_role("link", name="Do it").click()
    shows(page, "Owed: retorque")
    fill_in(page, {"Torque tool": "TW-1"})
    joint = page.get_by_role("group", name=FRAME_END)
    for chip in ("Moved", "Wrench at its figure"):
        joint.get_by_label(chip, exact=True).check()
    fill_in(joint, {"Degrees it turned": "15", "Wrench set to or read": "125 lbf·ft"})
    press(page, "Record the sheet")
    heading(page, "Inspection, retorque")
    shows(page, "Moved 15°", "Paid: retorque.", "Owed next: retorque")


def patterns_tells_of_the_repeat(page: Page) -> None:
    sentence = "Track bar, frame end, on A-101: found loose 2 times within 365 days"
    follow(page, "Patterns")
    page.get_by_role("link", name=re.compile(f"^{sentence}")).click()
    heading(page, sentence)
    found = page.get_by_role("row").filter(has_text=re.compile("Found: \u2060?moved"))
    expect(found).to_have_count(2)
    expect(found.first).to_contain_text("15°")
    expect(page.get_by_role("row").filter(has_text="Tightened: 125 lbf·ft").first).to_be_visible()
    to_the_truck(page)
    held(page)
