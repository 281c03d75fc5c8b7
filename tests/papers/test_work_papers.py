"""Papers of the day's work: hold tag, inspection sheet, ticket."""

from io import BytesIO
from typing import Any

from django.utils import translation
from pypdf import PdfReader

from fleet.operations.holds import place_hold
from fleet.papers.drawing import Drawing
from fleet.papers.hold_tag import hold_tag
from fleet.papers.inspection_sheet import inspection_sheet
from fleet.reads.inspections import sheet_rows
from fleet.reads.rules import rules
from fleet.reads.vehicles import holds_on
from tests.build import NOW
from tests.operations.conftest import House
from tests.papers.conftest import alternates, words_of

SVG = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 10"><circle r="4"/></svg>'
MM = 72 / 25.4


def held(house: House, *reasons: str) -> Any:
    for reason in reasons:
        place_hold(house.driver, house.vehicle.pk, reason, at=house.now)
    return holds_on(house.vehicle)


def test_the_tag_says_what_must_not_be_done_to_which_and_whom_to_call(house: House) -> None:
    words = words_of(hold_tag(house.vehicle, held(house, "Bent tie rod"), "us", NOW))
    for fact in ("HELD", "DO NOT", "DRIVE", "A-101", "Bent tie rod", "placed by Driver",
                 "Sep 1, 2026, 09:00", "555-0100", "Only a passed second check lifts the hold",
                 "service information governs", "Punch here"):  # fmt: skip
        assert fact in words, fact


def test_its_great_words_are_read_from_three_metres(house: House) -> None:
    """Capitals of a two-hundredth of the distance, 15 mm here, are read at ease (common practice,
    no source); a capital of this face is 0.645 of its size."""
    sizes: list[float] = []

    def seen(text: str, _cm: Any, matrix: Any, _font: Any, size: float) -> None:
        if text.strip() in ("HELD", "DO NOT", "DRIVE"):
            sizes.append(abs(size * matrix[3]))

    made = PdfReader(BytesIO(hold_tag(house.vehicle, held(house, "Bent"), "us", NOW)))
    made.pages[0].extract_text(visitor_text=seen)
    assert sizes
    assert min(sizes) * 0.645 / MM >= 15


def test_it_stays_one_sheet_however_much_holds_the_vehicle(house: House) -> None:
    holds = held(house, *(f"{'A very long reason ' * 15}{n}" for n in range(8)))
    made = PdfReader(BytesIO(hold_tag(house.vehicle, holds, "us", NOW)))
    assert len(made.pages) == 1
    assert "and 5 reasons more" in " ".join(made.pages[0].extract_text().split())


def test_it_is_half_a_letter_or_a5(house: House) -> None:
    holds = held(house, "Bent")
    found = {}
    for units in ("us", "metric"):
        box = PdfReader(BytesIO(hold_tag(house.vehicle, holds, units, NOW))).pages[0].mediabox
        found[units] = (round(float(box.width) / MM), round(float(box.height) / MM))
    assert found == {"us": (140, 216), "metric": (148, 210)}


def sheet(house: House, drawing: Drawing | None = None) -> bytes:
    rows = sheet_rows(house.vehicle, NOW)
    return inspection_sheet(
        house.vehicle, rows, holds_on(house.vehicle), rules("method"), drawing, "us", NOW
    )


def test_the_sheet_has_the_joints_in_walking_order_and_the_cautions(house: House) -> None:
    words = words_of(sheet(house))
    names = [row.row.joint.name for row in sheet_rows(house.vehicle, NOW)]
    places = [words.find(name) for name in names]
    assert min(places) > 0
    assert "brake set, wheels chocked" in words
    assert "Never under a vehicle on a jack" in words
    assert "115 – 135 lbf·ft, factory" in words or "lbf·ft, factory" in words
    for box in ("No play", "Tight", "Moved", "Cracked", "Boot torn"):
        assert box in words


def test_the_order_of_the_sheet_is_the_order_of_the_walk(house: House) -> None:
    words = words_of(sheet(house))
    groups = ["Hubs and wheels", "Steering", "Drag link", "Track bar"]
    places = [words.find(f" {group} ") for group in groups]
    assert places == sorted(places)


def test_a_held_vehicle_s_sheet_says_so(house: House) -> None:
    held(house, "Bent tie rod")
    assert "HELD: Bent tie rod" in words_of(sheet(house))


def test_the_drawing_comes_with_its_words_and_is_absent_where_there_is_none(house: House) -> None:
    with_it, without = sheet(house, Drawing(SVG, "front end from ahead")), sheet(house)
    assert alternates(with_it)[0] == "front end from ahead"
    assert alternates(with_it)[1:] == alternates(without)
    assert set(alternates(without)) == {"never looked at"}


def test_in_spanish_the_papers_name_their_language(house: House) -> None:
    with translation.override("es"):
        made = PdfReader(BytesIO(hold_tag(house.vehicle, held(house, "Bent"), "us", NOW)))
    root: Any = made.trailer["/Root"]
    assert str(root["/Lang"]).startswith("es")
