"""CSV and XLSX: what was written is read back, and nothing typed becomes a formula."""

import csv
from datetime import UTC, date, datetime
from decimal import Decimal
from io import BytesIO, StringIO
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import load_workbook

from fleet.papers import files
from fleet.papers.table import Column, Kind, Must, Table

DENVER = ZoneInfo("America/Denver")
COLUMNS = [
    Column("words", "Words"), Column("count", "Count", Kind.COUNT),
    Column("toe", "Toe, in", Kind.FIGURE, 3), Column("day", "Day", Kind.DAY),
    Column("at", "At", Kind.MOMENT),
]  # fmt: skip
NOON = datetime(2026, 11, 25, 19, 0, tzinfo=UTC)


def table(*rows: list[Any]) -> Table:
    return Table("test", "A test", COLUMNS, rows)


def csv_rows(content: bytes) -> list[list[str]]:
    return list(csv.reader(StringIO(content.decode("utf-8-sig"), newline="")))


def cells(content: bytes) -> list[tuple[Any, ...]]:
    sheet = load_workbook(BytesIO(content)).active
    assert sheet is not None
    return list(sheet.iter_rows(values_only=True))


ROW: list[Any] = ['Track bar, "frame" end\nsecond line; ñ', 12, -0.0625, date(2026, 3, 8), NOON]


def test_a_csv_read_back_equals_what_was_written() -> None:
    heads, row = csv_rows(files.csv(table(ROW), DENVER))
    assert heads == ["Words", "Count", "Toe, in", "Day", "At"]
    assert row == [ROW[0], "12", "-0.062", "2026-03-08", "2026-11-25 12:00:00"]
    assert date.fromisoformat(row[3]) == ROW[3]
    assert datetime.fromisoformat(row[4]).replace(tzinfo=DENVER) == NOON


@given(st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"]), max_size=40))
def test_any_text_comes_back_but_for_the_mark_in_front_of_a_formula(text: str) -> None:
    [_heads, row] = csv_rows(files.csv(table([text, None, None, None, None]), DENVER))
    assert row[0] in (text, f"'{text}")
    assert (row[0] != text) == text.lstrip(" ").startswith(files.RUNS)


# OWASP, "CSV Injection" (read): = + - @, tab (0x09), carriage return (0x0D), line feed (0x0A), and
# the full-width forms of the first four.
DANGEROUS = ["=1+1", "+1", "-1+1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "\uff1d1", "\uff0b1",
             "\uff0d1", "\uff20a", "  =1", '=HYPERLINK("x")', "-"]  # fmt: skip


@pytest.mark.parametrize("text", DANGEROUS)
def test_what_a_spreadsheet_would_run_is_kept_from_running(text: str) -> None:
    rows = table([text, 1, 0.5, None, None])
    assert csv_rows(files.csv(rows, DENVER))[1][0].startswith("'")
    book = load_workbook(BytesIO(files.xlsx([rows], DENVER)))
    cell = book.worksheets[0]["A2"]
    assert cell.data_type == "s"
    assert str(cell.value).startswith("'")


def test_a_heading_is_kept_from_running_too() -> None:
    made = Table("test", "=A1", [Column("x", "=1+1")], [["a"]])
    assert csv_rows(files.csv(made, DENVER))[0] == ["'=1+1"]
    assert cells(files.xlsx([made], DENVER))[0] == ("'=1+1",)


def test_numbers_stay_numbers_and_dates_dates() -> None:
    [_heads, row] = cells(files.xlsx([table(ROW)], DENVER))
    assert row[1] == 12
    assert Decimal(str(row[2])) == Decimal("-0.062")
    assert row[3] == datetime(2026, 3, 8)  # noqa: DTZ001  (a sheet knows no zones)
    assert row[4] == datetime(2026, 11, 25, 12, 0)  # noqa: DTZ001


def test_what_calls_for_somebody_is_written_as_its_value_alone() -> None:
    assert cells(files.xlsx([table([Must("overdue"), Must(3), None, None, None])], DENVER))[1][
        :2
    ] == ("overdue", 3)


def test_a_control_character_does_not_stop_the_file() -> None:
    row: list[Any] = ["a\x07b\x00", 1, None, None, None]
    assert cells(files.xlsx([table(row)], DENVER))[1][0] == "ab"


def test_each_table_is_a_sheet_by_its_title_and_its_headings_stay_in_sight() -> None:
    tables = [Table("a", "Holds: all/some", COLUMNS, [ROW]), Table("b", "x" * 60, COLUMNS, [])]
    book = load_workbook(BytesIO(files.xlsx(tables, DENVER)))
    assert [len(name) <= 31 for name in book.sheetnames] == [True, True]
    assert book.worksheets[0].freeze_panes == "A2"
