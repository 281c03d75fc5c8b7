"""The code on the printed sheet, read from the rendered page by a reader of its own making.

The page is drawn by PDFium (pypdfium2) and read by ZXing (zxing-cpp): neither knows how we made it.
"""

from io import BytesIO
from typing import Any

import pypdfium2
import pytest
import time_machine
import zxingcpp
from django.test import Client
from pypdf import PdfReader

from fleet.papers.inspection_sheet import inspection_sheet
from fleet.pictures.qr import qr_svg
from fleet.reads.inspections import sheet_rows
from fleet.reads.rules import rules
from tests.build import NOW
from tests.operations.conftest import House
from tests.papers.conftest import alternates
from tests.planned import FRIDAY, Ground

MM = 72 / 25.4
ADDRESS = "https://fleet.example/vehicles/A-101/inspect/"


def sheet(house: House, address: str = ADDRESS, units: str = "us") -> bytes:
    rows = sheet_rows(house.vehicle, NOW)
    return inspection_sheet(house.vehicle, rows, [], rules("method"), None, units, NOW, address)


def codes(pdf: bytes, dots_per_inch: int = 150) -> list[Any]:
    """Every code on the first page, as a camera would see it printed."""
    page = pypdfium2.PdfDocument(pdf)[0]
    drawn = page.render(scale=dots_per_inch / 72, grayscale=True).to_numpy()
    return list(zxingcpp.read_barcodes(drawn.reshape(drawn.shape[:2])))


@pytest.mark.parametrize("units", ["us", "metric"])
def test_it_opens_the_sheets_own_page(house: House, units: str) -> None:
    [found] = codes(sheet(house, units=units))
    assert found.text == ADDRESS
    assert "QR" in str(found.format)


def test_a_day_sheet_opens_its_week_of_the_plan(db: None, client: Client) -> None:
    ground = Ground()
    ground.plan(ground.truck())
    client.force_login(ground.scheduler.person)
    with time_machine.travel(NOW, tick=False):
        answer = client.get("/plan/at/alder/sheet.pdf", {"day": str(FRIDAY)})
    [found] = codes(answer.content)
    opens = client.get(found.text)
    assert (found.text.split("?")[0], opens.status_code) == (
        "http://testserver/plan/at/alder/", 200,
    )  # fmt: skip


def test_it_is_read_from_a_rough_print(house: House) -> None:
    """A screen's 96 dots an inch, on a code 26 mm wide."""
    [found] = codes(sheet(house), 96)
    assert found.text == ADDRESS


def test_it_is_large_enough_and_stands_free(house: House) -> None:
    """ISO/IEC 18004 asks for four modules of light; a module of 0.5 mm is read at arm's length by
    any telephone (common practice, no source)."""
    [found] = codes(sheet(house), 300)
    corners = found.position
    wide_mm = (corners.top_right.x - corners.top_left.x) / 300 * 25.4
    modules = 33  # version 4 holds the address
    assert 0.5 < wide_mm / modules < 1.2


def test_it_is_drawn_and_no_picture_of_dots(house: House) -> None:
    page = PdfReader(BytesIO(sheet(house))).pages[0]
    assert list(page.images) == []


def test_a_screen_reader_hears_what_it_opens(house: House) -> None:
    assert "Code that opens the inspection sheet of A-101" in alternates(sheet(house))


def test_without_an_address_there_is_none(house: House) -> None:
    assert codes(sheet(house, "")) == []


@pytest.mark.parametrize("origin", ["", "https://fleet.example"])
def test_the_address_is_the_public_one_or_as_it_was_asked_for(
    house: House, origin: str, settings: Any, client: Client
) -> None:
    settings.PUBLIC_ADDRESS = origin
    client.force_login(house.manager.person)
    answer = client.get("/vehicles/A-101/sheet.pdf")
    [found] = codes(answer.content)
    assert found.text == f"{origin or 'http://testserver'}/vehicles/A-101/inspect/"
    where = found.text.removeprefix(origin or "http://testserver")
    assert client.get(where).status_code == 200


def test_a_long_address_has_a_code_too() -> None:
    assert qr_svg("https://a-long-name-of-a-fleet.example/" + "a" * 300).count("<path") == 1
