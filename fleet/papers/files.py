"""Tables as files: CSV (one table) and XLSX (a sheet a table), safe to open.

A text that a spreadsheet would run as a formula gets an apostrophe in front (OWASP, "CSV
Injection": cells that begin with = + - @, tab or carriage return, also in their full-width
forms). Numbers are written as numbers, so that a minus sign stays what it is.
"""

from collections.abc import Sequence
from typing import cast
from zoneinfo import ZoneInfo

from tablib import Databook, Dataset

from fleet.papers.table import Table, Value, plain

RUNS = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")
# All but tab, line feed and carriage return.
UNWRITABLE = dict.fromkeys(code for code in range(32) if code not in (9, 10, 13))
SHEET_COLUMN_WIDTH = 24
LONGEST_SHEET_NAME = 31
# Spreadsheets know a UTF-8 file by this.
MARK = "\ufeff"
CSV = "text/csv; charset=utf-8"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def safe(value: Value) -> Value:
    """Text that starts like a formula is kept from being one; control characters, which no
    spreadsheet file may hold, are left out. Anything else is as it was."""
    if not isinstance(value, str):
        return value
    text = value.translate(UNWRITABLE)
    return f"'{text}" if text.lstrip(" ").startswith(RUNS) else text


def csv(table: Table, zone: ZoneInfo) -> bytes:
    """One table; dates and moments as ISO 8601 writes them, moments in `zone`."""
    text = cast("str", _dataset(table, zone).export("csv"))
    return f"{MARK}{text}".encode()


def xlsx(tables: Sequence[Table], zone: ZoneInfo) -> bytes:
    """A sheet for each table, its headings frozen; dates are real dates."""
    book = Databook()
    for table in tables:
        book.add_sheet(_dataset(table, zone))
    return cast("bytes", book.export("xlsx", column_width=SHEET_COLUMN_WIDTH))


def _dataset(table: Table, zone: ZoneInfo) -> Dataset:
    made = Dataset(
        headers=[str(safe(str(column.heading))) for column in table.columns],
        title=table.title[:LONGEST_SHEET_NAME],
    )
    for row in table.rows:
        cells = zip(row, table.columns, strict=True)
        made.append([_written(plain(cell, column, zone)) for cell, column in cells])
    return made


def _written(value: Value) -> Value:
    return "" if value is None else safe(value)
