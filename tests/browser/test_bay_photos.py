"""Photos on the tablet: many of them with the network off, and room that runs short."""

from io import BytesIO
from pathlib import Path
from random import Random

import pytest
from django.core.files.storage import default_storage
from PIL import Image
from playwright.sync_api import Page, expect

from fleet.records.models import Finding, MeterReading, Photo
from tests.browser.bay_hands import (
    do,
    enroll,
    first_time,
    heading,
    sent,
    talk,
    to,
)
from tests.browser.conftest import Visit
from tests.browser.hands import press
from tests.browser.test_accessible import WIDER, violations
from tests.operations.conftest import House
from tests.support.wire import Wire

# What it shows hangs on no rule of the database.
pytestmark = pytest.mark.sqlite

# As a camera of 12 megapixels makes them at its best, and how many of those.
CAMERA_SIDES, CAMERA_BYTES, LARGE = (4000, 3000), 8_000_000, 4
# The rest are smaller, since drawing 200 of full size would take the test minutes: what must hold
# for many is the queue, and what must hold for large ones is the drawing, one at a time.
MANY = 200
# Asked within the page itself: its policy lets no text be run as a script, again and again.
KEPT = """async () => {
  while (!navigator.serviceWorker.controller) await new Promise(soon => setTimeout(soon, 100));
}"""
DAMPER = "Steering damper, linkage end"


@pytest.fixture
def bay(house: House, visit: Visit, wire: Wire) -> Page:
    """A tablet with its work on it."""
    page = visit(base_url=wire.url, viewport={"width": 820, "height": 1180})
    enroll(page, house)
    first_time(page, house.technician.person)
    expect(page.locator("#state")).to_contain_text("The server last answered")
    page.evaluate(KEPT)
    return page


def photo(folder: Path, number: int, sides: tuple[int, int], quality: int = 80) -> Path:
    """Noise, of which no two are alike and which no format makes small."""
    path = folder / f"{sides[0]}-{number}.jpg"
    noise = Random(number).randbytes(3 * sides[0] * sides[1])
    Image.frombytes("RGB", sides, noise).save(path, "JPEG", quality=quality)
    return path


def take(page: Page, *paths: Path) -> None:
    page.locator(".photo-strip input[type=file]").first.set_input_files(list(paths))


def to_hold(page: Page, house: House) -> None:
    to(page, "vehicle", house.vehicle.unit_number, "hold")
    heading(page, "Hold")


def test_two_hundred_photos_wait_without_a_network_and_all_arrive_once(
    house: House, bay: Page, wire: Wire, tmp_path: Path
) -> None:
    large = [photo(tmp_path, number, CAMERA_SIDES) for number in range(LARGE)]
    assert min(path.stat().st_size for path in large) >= CAMERA_BYTES
    small = [photo(tmp_path, number, (320, 240)) for number in range(MANY - LARGE)]
    wire.cut()
    to_hold(bay, house)
    take(bay, *large, *small)
    expect(bay.locator("#state")).to_contain_text(f"{MANY} photos wait", timeout=120_000)
    # The page still answers, and what is done now goes first.
    do(bay, "record_meter", {"vehicle": house.vehicle.unit_number, "reading": "48,100"})
    expect(bay.locator("#state")).to_contain_text("1 entry waits to be sent.")
    assert not Photo.objects.exists()
    wire.mend()
    to(bay, "status")
    press(bay, "Talk with the server now")
    bay.wait_for_timeout(2_000)
    wire.cut()
    first = Photo.objects.count()
    assert MeterReading.objects.filter(typed="48,100").exists()
    wire.mend()
    press(bay, "Talk with the server now")
    expect(bay.locator("#state")).to_contain_text("Nothing waits to be sent.", timeout=120_000)
    assert 0 < first < MANY
    all_there_once()


def all_there_once() -> None:
    rows = list(Photo.objects.all())
    assert len(rows) == len({row.sha256 for row in rows}) == MANY
    assert max(max(row.width, row.height) for row in rows) == 1600
    for row in rows:
        with default_storage.open(row.file_name) as file:
            picture = Image.open(BytesIO(file.read()))
        assert (picture.width, picture.height) == (row.width, row.height)


def test_a_photo_of_a_finding_is_found_with_it_and_a_removed_one_is_not_sent(
    house: House, bay: Page, wire: Wire, tmp_path: Path
) -> None:
    wire.cut()
    to(bay, "vehicle", house.vehicle.unit_number, "sheet")
    heading(bay, "Inspection")
    row = bay.locator(".look").filter(has_text=DAMPER).first
    row.get_by_role("button", name="Something else").click()
    row.get_by_role("button", name="Play", exact=True).click()
    take(bay, photo(tmp_path, 1, (640, 480)), photo(tmp_path, 2, (640, 480)))
    expect(row.locator(".photo-list img")).to_have_count(2)
    row.get_by_role("button", name="Remove photo").first.click()
    expect(row.locator(".photo-list img")).to_have_count(1)
    press(bay, "Undo")
    expect(row.locator(".photo-list img")).to_have_count(2)
    row.get_by_role("button", name="Remove photo").first.click()
    assert violations(bay) == []
    assert bay.evaluate(WIDER) <= 0
    wire.mend()
    talk(bay)
    sent(bay)
    kept = Photo.objects.get()
    assert kept.joint == house.joint("damper_link_end")
    assert kept.about is not None
    assert not Finding.objects.exists()


def test_what_is_no_picture_is_told_and_keeps_no_other_back(
    house: House, bay: Page, wire: Wire, tmp_path: Path
) -> None:
    wire.cut()
    words = tmp_path / "words.jpg"
    words.write_text("no picture")
    to_hold(bay, house)
    take(bay, words, photo(tmp_path, 1, (640, 480)))
    expect(bay.locator(".photo-strip .warning")).to_contain_text("1 file could not be read")
    expect(bay.locator("#state")).to_contain_text("1 photo waits to be sent.")


# The browser's own count is put in its place: a disk that is really full can't be had in a test
# without taking the room from everything else that runs on the machine.
ALMOST_FULL = """() => {
  navigator.storage.estimate = async () => ({ usage: 951_000_000, quota: 1_000_000_000 });
}"""


def test_room_is_kept_for_operations_and_the_page_says_so_before_it_runs_out(
    house: House, bay: Page, wire: Wire, tmp_path: Path
) -> None:
    wire.cut()
    to_hold(bay, house)
    bay.evaluate(ALMOST_FULL)
    take(bay, photo(tmp_path, 1, (640, 480)))
    told = bay.locator(".photo-strip .warning")
    expect(told).to_contain_text("The room that is left on the tablet is for inspections")
    expect(bay.locator("#state")).to_contain_text("Nothing waits to be sent.")
    do(bay, "record_meter", {"vehicle": house.vehicle.unit_number, "reading": "48,100"})
    expect(bay.locator("#state")).to_contain_text("1 entry waits to be sent.")
