"""The joint's mark on paper: before the words of states and findings, heard only where none say
the same; files of figures keep the words."""

from io import BytesIO
from typing import Any

import pytest
from openpyxl import load_workbook

from fleet.papers import blocks, reports
from fleet.papers.hold_tag import hold_tag
from fleet.papers.inspection_sheet import inspection_sheet
from fleet.papers.table import Column, Marked, Part
from fleet.papers.ticket_paper import LinePaper, ticket_paper
from fleet.papers.vehicle_file import vehicle_file
from fleet.pictures.mark import SHAPES
from fleet.reads.inspections import sheet_rows
from fleet.reads.line_words import Answered
from fleet.reads.rules import rules
from fleet.reads.ticket_facts import LineFacts, StepFacts
from fleet.reads.vehicles import holds_on
from fleet.records.inspections import mark_of
from fleet.records.models import FindingCode, Ticket, TicketLine
from tests.build import NOW
from tests.operations.conftest import TRACK_BAR, House
from tests.papers.conftest import Record, alternates, reader_of, words_of
from tests.papers.test_typeset import HEAD

FRAME_END, AXLE_END = "Track bar, frame end", "Track bar, axle end"


@pytest.mark.parametrize("code", FindingCode.values)
def test_every_finding_has_a_mark(code: str) -> None:
    """Aligned held, offset moved, broken in two has play, a dashed ring was not reached; all that
    must be replaced is crossed. A torn boot is no looseness."""
    told = {
        "tight": "tight", "no_play": "no_play", "boot_torn": "no_play", "moved": "moved",
        "play": "play", "not_reached": "unknown", "not_fitted": "unknown",
    }  # fmt: skip
    assert mark_of(code) == told.get(code, "bad")
    assert mark_of(code) in SHAPES


def marks(cell: Any) -> list[tuple[str, str, bool]]:
    assert isinstance(cell, Marked), cell
    return [(part.mark, part.words, part.act) for part in cell.parts]


def test_findings_and_states_of_the_file_stand_behind_their_marks(
    house: House, record: Record
) -> None:
    house.moved("track_bar_axle_end")
    house.inspect(house.look("track_bar_frame_end", "cracked", method="look"))
    sections = record()
    found = [marks(row[3]) for row in sections.findings().rows]
    assert found == [[("moved", "Moved 15°", False)], [("bad", "Cracked", True)]]
    states = {str(row[0]): marks(row[1]) for row in sections.joints().rows}
    assert states.pop(AXLE_END) == [("moved", "Moved under the wrench", True)]
    assert states.pop(FRAME_END) == [
        ("bad", "Worn out, cracked, bent, broken or missing", True)
    ]  # fmt: skip
    assert {one for told in states.values() for one in told} == {
        ("unknown", "Never looked at", False)
    }
    [hold] = sections.holds().rows
    assert marks(hold[2]) == [("bad", f"{FRAME_END}: cracked", False)]


def test_how_a_joint_was_found_on_a_line_has_its_mark(house: House, record: Record) -> None:
    house.repair(("replace_track_bar", "track_bar_frame_end", TRACK_BAR))
    done = [part for row in record().repairs().rows if isinstance(row[3], Marked)
            for part in row[3].parts]  # fmt: skip
    assert [(part.words, part.mark) for part in done if part.mark] == [("As found: Play", "play")]


def test_a_recheck_owed_shows_the_state_of_its_joint_and_says_it(
    house: House, record: Record
) -> None:
    house.repair(("replace_track_bar", "track_bar_frame_end", TRACK_BAR))
    cells = [row[1] for row in record().owed().rows]
    parts = {cell.parts[0].words: cell.parts[0] for cell in cells if isinstance(cell, Marked)}
    assert (parts[FRAME_END].mark, parts[FRAME_END].says) == ("tight", "Tight by the wrench")
    assert "Tight by the wrench" in alternates(vehicle_file(record(), NOW))


def test_a_mark_beside_words_that_say_the_same_is_not_heard(house: House, record: Record) -> None:
    """The due list names joints only, so that their states are heard there and nowhere else."""
    house.moved()
    made = vehicle_file(record(), NOW)
    owed = [row[1].parts[0].says for row in record().owed().rows if isinstance(row[1], Marked)]
    assert words_of(made).count("Moved under the wrench") == 1
    assert alternates(made) == owed == ["Moved under the wrench"]


def test_a_cell_of_marks_is_heard_only_as_what_it_is_told_to_say() -> None:
    told = Marked([Part("Play", "play"), Part("noted at 3"), Part("Hub", "bad", says="worn")])
    grid = blocks.grid([Column("a", "Found", marks=["moved"])], [[told]])
    made = blocks.document(HEAD, [blocks.heading("A paper", 1), grid])
    assert alternates(made) == ["worn"]
    words = words_of(made).replace("\u2060", "")
    assert "Found" in words
    assert "Play; noted at 3" in " ".join(words.split())


def test_tables_as_files_keep_the_words_alone(house: House, record: Record) -> None:
    house.moved()
    sections, who = record(), reader_of(house)
    text = reports.record_file(sections, "csv", who, "joints").content.decode("utf-8-sig")
    assert "Moved under the wrench" in text
    assert "svg" not in text
    book = load_workbook(BytesIO(reports.record_file(sections, "xlsx", who).content))
    cells = {str(cell.value) for sheet in book.worksheets for row in sheet.rows for cell in row}
    assert {"Moved under the wrench", "Moved 15°"} <= cells
    fleet = reports.report_file(reports.fleet(who), "csv", who, []).content.decode("utf-8-sig")
    assert "Moved under the wrench" in fleet


def test_the_fleet_report_marks_the_worst_joint(house: House) -> None:
    house.moved()
    table = reports.fleet(reader_of(house))
    at = [column.key for column in table.columns].index("mark")
    assert marks(table.rows[0][at]) == [("moved", "Moved under the wrench", True)]
    made = reports.report_file(table, "pdf", reader_of(house), [])
    assert "Moved under the wrench" in words_of(made.content).replace("\u2060", "")
    assert alternates(made.content) == []


def test_the_sheet_shows_the_state_of_each_joint_and_says_it(house: House) -> None:
    house.moved()
    rows = sheet_rows(house.vehicle, NOW)
    made = inspection_sheet(house.vehicle, rows, [], rules("method"), None, "us", NOW)
    heard = alternates(made)
    assert len(heard) == len(rows)
    assert heard.count("moved under the wrench") == 1
    assert heard.count("never looked at") == len(rows) - 1


def test_what_holds_the_vehicle_has_the_mark_of_what_was_found(house: House) -> None:
    house.inspect(house.look("track_bar_frame_end", "cracked", method="look"))
    [hold] = holds_on(house.vehicle)
    assert blocks.held(hold) == {
        "kind": "must", "text": f"HELD: {FRAME_END}: cracked", "mark": "bad",
    }  # fmt: skip
    tag = hold_tag(house.vehicle, [hold], "us", NOW)
    assert f"{FRAME_END}: cracked" in words_of(tag).replace("\u2060", "").replace("  ", " ")
    assert alternates(tag) == []


def test_a_ticket_says_from_which_finding_a_line_came(house: House) -> None:
    house.inspect(house.look("track_bar_frame_end", "cracked", method="look"))
    line = TicketLine.objects.select_related("from_finding").exclude(from_finding=None).get()
    told = LinePaper(
        line, "Replace track bar", [Answered("As found", "Play", "play")], [], (),
        LineFacts(),
    )  # fmt: skip
    steps = StepFacts([], [], [], [], [], [])
    ticket = Ticket.objects.select_related("vehicle__yard", "opened_by").get()
    made = ticket_paper(ticket, [told], steps, holds_on(house.vehicle), "us", NOW)
    words = " ".join(words_of(made).replace("\u2060", "").split())
    assert "From a finding: Cracked" in words
    assert "As found" in words
    assert alternates(made) == []
