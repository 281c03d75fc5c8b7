"""The vehicle file: all that is on record, under its own name, with what it is not."""

from datetime import date
from io import BytesIO
from typing import Any

import pytest
from openpyxl import load_workbook
from pypdf import PdfReader

from fleet.operations.complain import Report, report_complaint
from fleet.operations.vehicles import change_vehicle
from fleet.papers import reports
from fleet.papers.vehicle_file import title, vehicle_file
from fleet.reads.reports import vehicle_record
from fleet.reads.reports.vehicle_record import TooLong
from tests.build import NOW
from tests.operations.conftest import RETORQUE, TRACK_BAR, House
from tests.papers.conftest import Record, reader_of, words_of


@pytest.fixture
def lived(house: House) -> House:
    """A complaint, a sheet with a find, a whole repair with its checks, and a retorque."""
    report_complaint(house.driver, Report(house.vehicle.pk, "clunk", text="clunks"), at=house.now)
    house.later(days=1)
    house.moved("track_bar_axle_end")
    house.later(days=1)
    house.repair(
        ("retorque", "track_bar_axle_end", RETORQUE),
        ("replace_track_bar", "track_bar_frame_end", TRACK_BAR),
    )
    return house


def test_the_pdf_holds_the_facts_of_every_section(lived: House, record: Record) -> None:
    words = words_of(vehicle_file(record(), NOW))
    vehicle = lived.vehicle
    for fact in (
        "Front-axle part of the maintenance file: A-101", "49 CFR 396.3(b)",
        "It is not the whole maintenance file", vehicle.design.make, "Four links",
        "Due list", "Retorque", "Record of inspections", "Moved 15°", "Track bar, axle end",
        "Record of repairs and maintenance", "Replace track bar", "TB-114", "L7",
        "second check passed, Colleague", "released for a road test", "road test passed",
        "Torque readings", "125 lbf·ft", "TW-1", "Foothill service manual, invented",
        "within the figure", "Toe readings", "46 5/16", "as left", "Parts fitted", "Complaints",
        "clunks", "Corrections", "Nothing was corrected.", "service information governs",
    ):  # fmt: skip
        assert fact in words, fact


def test_it_is_titled_and_tagged_like_any_paper(lived: House, record: Record) -> None:
    found = PdfReader(BytesIO(vehicle_file(record(), NOW)))
    assert found.metadata is not None
    assert found.metadata.title == f"{title()}: Unit A-101, VIN none on file"
    root: Any = found.trailer["/Root"]
    assert "/StructTreeRoot" in root


# 49 CFR 396.3(b)(1) to (4), as sources.md 2 has it (read: three secondary copies of the eCFR).
ITEMS = {
    "company number": "Company number (unit) A-101",
    "make": "Make and design Foothill",
    "serial number": "Serial number (VIN)",
    "year": "Year",
    "tire size": "Tire size",
    "owner": "Owner",
    "nature and due date": "Due list",
    "inspection": "Record of inspections",
    "repairs and maintenance": "Record of repairs and maintenance",
    "pushout windows": "buses outside this file",
}


@pytest.mark.parametrize("item", ITEMS, ids=[f"49 CFR 396.3(b): {item}" for item in ITEMS])
def test_each_item_of_the_rule_is_there_or_said_to_be_outside(item: str, record: Record) -> None:
    assert ITEMS[item] in words_of(vehicle_file(record(), NOW))


def test_the_due_list_shows_nature_and_date_and_what_is_overdue(
    lived: House, record: Record
) -> None:
    rows = record().owed().rows
    assert any("Retorque" in str(row[0]) for row in rows)
    assert all(isinstance(row[3], date) or row[4] is not None for row in rows)
    # By November the retorques of September are long overdue.
    assert {str(getattr(row[5], "value", "")) for row in rows} >= {"overdue"}


def test_what_was_changed_of_the_vehicle_since_is_told(house: House, record: Record) -> None:
    then = house.now.date()
    house.later(days=3)
    change_vehicle(house.manager, house.vehicle.pk, {"tyre_size": "265/70R17"}, at=house.now)
    words = words_of(vehicle_file(record(until=then), NOW))
    assert "Identification is as on file at printing." in words
    assert "tyre size was" in words


def test_figures_are_in_the_readers_units(lived: House, record: Record) -> None:
    us, metric = record().torques(), record("metric").torques()
    assert "At the fastener, lbf·ft" in [str(column.heading) for column in us.columns]
    assert "At the fastener, N·m" in [str(column.heading) for column in metric.columns]
    assert us.rows[0][3] == pytest.approx(125)
    assert metric.rows[0][3] == pytest.approx(169.477, abs=0.001)


def test_the_xlsx_has_a_sheet_a_section_and_the_csv_is_the_record(
    lived: House, record: Record
) -> None:
    sections, who = record(), reader_of(lived)
    book = load_workbook(BytesIO(reports.record_file(sections, "xlsx", who).content))
    assert len(book.sheetnames) == 1 + len(sections.all())
    cover = " ".join(str(cell.value) for row in book.worksheets[0].rows for cell in row)
    assert "It is not the whole maintenance file" in cover
    assert "The whole file, with all that is on record at printing." in cover
    assert "service information governs" in cover
    text = reports.record_file(sections, "csv", who).content.decode("utf-8-sig")
    assert "Replace track bar" in text
    assert "Inspection, retorque" in text
    owed = reports.record_file(sections, "csv", who, "owed")
    assert "Due on" in owed.content.decode("utf-8-sig").splitlines()[0]
    assert owed.name == "a-101-front-axle-file-owed-2026-11-25.csv"


def test_a_file_that_is_too_long_says_so_and_dates_make_it_shorter(
    lived: House, record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(vehicle_record, "MOST_ROWS", 3)
    with pytest.raises(TooLong) as caught:
        record()
    assert caught.value.rows > 3
    assert record(since=date(2026, 11, 1)).record.inspections == []


def test_an_empty_file_says_of_each_section_that_there_is_nothing(record: Record) -> None:
    words = words_of(vehicle_file(record(), NOW))
    for said in ("No inspection in these days.", "No repair in these days.", "No torque reading.",
                 "No hold.", "No complaint."):  # fmt: skip
        assert said in words
