"""The guide's story, walked by its labels: what `make guide` takes pictures of and a test holds.

Nothing here waits for a day to pass, so that it can be walked on the demo as it opens.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from playwright.sync_api import Locator, Page, expect

from tests.browser.hands import fill_in, follow, heading, press, shows, signed_in
from tests.browser.test_story import BAR, TOE

FRAME_END = re.compile("^Track bar, frame end")
LINE = "Replace track bar: Track bar, frame end"
# Page, name of the section, and what stands at the top of the picture.
Shutter = Callable[[Page, str, Locator], None]


@dataclass(frozen=True)
class Cast:
    """Who walks it, on which truck, with which wrench set to what."""

    driver: str
    technician: str
    checker: str
    manager: str
    password: str
    unit: str
    tool: str
    torque: str


@dataclass(frozen=True)
class Walk:
    """One telling of the story, each person at a device of their own."""

    cast: Cast
    device: Callable[[], Page]
    shoot: Shutter

    def tell(self) -> None:
        driver = self.sign_in(self.cast.driver)
        self.report(driver)
        technician = self.sign_in(self.cast.technician)
        self.inspect(technician)
        self.record_the_line(technician)
        self.is_refused(technician)
        checker = self.sign_in(self.cast.checker)
        self.check(checker)
        self.drive_and_close(checker)
        self.what_is_due(technician)
        self.reckon(technician)
        manager = self.sign_in(self.cast.manager)
        self.pattern(manager)
        self.what_stands_out(manager)
        self.interval(manager)
        self.ask_for_the_file(manager)

    def sign_in(self, name: str) -> Page:
        page = self.device()
        page.goto("/")
        fill_in(page, {"Sign-in name": name, "Password": self.cast.password})
        press(page, "Sign in")
        signed_in(page)
        return page

    def to_the_truck(self, page: Page) -> None:
        page.goto(f"/vehicles/{self.cast.unit}/")
        heading(page, self.cast.unit)

    def to_the_ticket(self, page: Page) -> None:
        self.to_the_truck(page)
        page.get_by_role("link", name=re.compile(r"^[Tt]icket \d+")).first.click()
        heading(page, "Ticket")

    def report(self, page: Page) -> None:
        self.to_the_truck(page)
        page.get_by_role("link", name="Report a complaint").first.click()
        fill_in(page, {
            "What was felt": "whole axle oscillating", "At what speed": "52 mph",
            "How it began": "After a bump",
            "In your own words": "Shook until I nearly stood still.",
        })  # fmt: skip
        self.shoot(page, "report", title(page))
        press(page, "Report it")
        shows(page, "Stop. Do not drive on. Call", f"{self.cast.unit} is held.")
        self.shoot(page, "stop", title(page))

    def inspect(self, page: Page) -> None:
        self.to_the_truck(page)
        page.get_by_role("link", name="Complaint: whole axle oscillating").first.click()
        follow(page, "Inspect, in the order for this complaint")
        fill_in(page, {"Who holds the wheel": "A helper"})
        joint = page.get_by_role("group", name=FRAME_END)
        for chip in ("Play", "Dry steer"):
            joint.get_by_label(chip, exact=True).check()
        self.shoot(page, "inspect", joint)
        press(page, "Record the sheet")
        shows(page, "Holds the vehicle.")

    def record_the_line(self, page: Page) -> None:
        self.to_the_ticket(page)
        self.record(page, LINE, BAR | {"Torque tool": self.cast.tool})

    def record(self, page: Page, line: str, typed: dict[str, Any]) -> None:
        here = page.get_by_role("article").filter(
            has=page.get_by_role("heading", name=line, exact=True)
        )
        here.get_by_role("link", name="Record it").click()
        fill_in(page, typed)
        if "Torque as left" in typed:
            self.shoot(page, "line", page.get_by_text("Torque as left"))
        press(page, "Record the line")
        heading(page, "Ticket")

    def is_refused(self, page: Page) -> None:
        follow(page, "Close the ticket")
        fill_in(page, {"What it was": "Bushing gone at the frame end."})
        press(page, "Close it for good")
        alert = page.get_by_role("alert")
        expect(alert).to_contain_text(f"{LINE}: Torque as left is missing.")
        self.shoot(page, "refused", title(page))
        follow(page, "Leave it")
        self.record(page, LINE, {"Torque as left": self.cast.torque})
        self.record(page, "Set toe", TOE)

    def check(self, page: Page) -> None:
        self.to_the_ticket(page)
        follow(page, "Second check")
        fill_in(page, {"Result": "Passed", "Dry steer made on the floor": True})
        self.shoot(page, "check", title(page))
        press(page, "Record the second check")
        shows(page, "The second check is on file.")

    def drive_and_close(self, page: Page) -> None:
        follow(page, "Release for a road test")
        fill_in(page, {"Driver": "A driver", "Where it is driven": "yard loop"})
        press(page, "Release for this road test only")
        follow(page, "Record the road test")
        fill_in(page, {"Result": "Passed", "Highest speed": "50 mph"})
        press(page, "Record the road test")
        follow(page, "Close the ticket")
        fill_in(page, {"What it was": "Bushing gone at the frame end."})
        press(page, "Close it for good")
        shows(page, "Closed. Its holds are lifted and its rechecks are on Due.")
        self.shoot(page, "close", page.get_by_text("Closed. Its holds are lifted"))

    def what_is_due(self, page: Page) -> None:
        page.goto("/due/")
        heading(page, "Due")
        self.shoot(page, "due", page.get_by_role("table"))
        self.to_the_truck(page)
        row = page.get_by_role("row").filter(has=page.get_by_role("link", name="Do it", exact=True))
        row.filter(has_text=re.compile("Track bar, frame end")).first.get_by_role(
            "link", name="Do it"
        ).click()
        shows(page, "Owed: retorque")
        joint = page.get_by_role("group", name=FRAME_END)
        self.shoot(page, "retorque", joint)

    def reckon(self, page: Page) -> None:
        readings = "found_rear_1=46+5/16&found_front_1=46+1/4&span=29&spec_low=0&spec_high=1/8"
        page.goto(f"/reckoner/?calculator=toe&ask=1&{readings}")
        section = page.get_by_role("region", name=re.compile("^Toe"))
        shows(page, "toe-in")
        self.shoot(page, "reckoner", section.first)

    def pattern(self, page: Page) -> None:
        page.goto("/patterns/")
        loose = re.compile(r"found loose \d+ times within 365 days")
        page.get_by_role("link", name=loose).first.click()
        shows(page, "Found:")
        self.shoot(page, "pattern", title(page))

    def what_stands_out(self, page: Page) -> None:
        page.goto("/patterns/")
        region = page.get_by_role("region", name="What stands out")
        region.get_by_role("link", name=re.compile("tightened came loose")).first.click()
        shows(page, "Finds beside those expected")
        self.shoot(page, "stands-out", title(page))

    def interval(self, page: Page) -> None:
        page.goto("/specs/intervals/")
        page.get_by_role("rowheader").get_by_role("link").first.click()
        shows(page, "How long such joints hold")
        self.shoot(page, "interval", title(page))

    def ask_for_the_file(self, page: Page) -> None:
        self.to_the_truck(page)
        follow(page, "Note a file request")
        self.shoot(page, "file", title(page))


def title(page: Page) -> Locator:
    return page.get_by_role("heading", level=1)
