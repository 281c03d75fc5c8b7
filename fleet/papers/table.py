"""A table as every way out shows it: on screen, in a PDF, as CSV and as XLSX.

Cells are plain values (text, whole numbers, decimals, dates, moments, or None), so that a file
holds real numbers and dates. Units stand in the headings.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum
from typing import Any
from zoneinfo import ZoneInfo

from django.utils import formats, timezone


class Kind(StrEnum):
    TEXT = "text"
    COUNT = "count"
    NUMBER = "number"
    FIGURE = "figure"
    DAY = "day"
    MONTH = "month"
    MOMENT = "moment"


Value = str | int | float | Decimal | date | datetime | None


@dataclass(frozen=True)
class Must:
    """A value that calls for somebody to act: the one thing that is shown in orange."""

    value: Value


@dataclass(frozen=True)
class Part:
    """Words behind the mark of a joint's state or of a finding; without a mark, words alone.

    `says` is what the mark says where its words are another thing's: a joint's name.
    """

    words: str
    mark: str = ""
    act: bool = False
    says: str = ""


@dataclass(frozen=True)
class Marked:
    """States or findings in words, each behind its mark. A file of figures has the words only."""

    parts: Sequence[Part]
    between: str = "; "

    @property
    def value(self) -> str:
        return self.between.join(part.words for part in self.parts)


Cell = Value | Must | Marked


def bare(cell: Cell) -> Value:
    """The value alone."""
    return cell.value if isinstance(cell, Must | Marked) else cell


def marked(words: str, mark: str, act: bool = False, says: str = "") -> Marked:
    """A cell of one state or finding."""
    return Marked([Part(words, mark, act, says)])


@dataclass(frozen=True)
class Column:
    """`width` is its share of the paper's width; figures are set right, on their decimal.

    `marks` stand before the heading of a column that counts such states.
    """

    key: str
    heading: Any
    kind: Kind = Kind.TEXT
    places: int = 0
    width: float = 1.0
    marks: Sequence[str] = ()

    @property
    def is_figure(self) -> bool:
        return self.kind in (Kind.COUNT, Kind.NUMBER, Kind.FIGURE)


@dataclass(frozen=True)
class Table:
    """`key` names it in an address, `title` on paper; `empty` is said where it has no row."""

    key: str
    title: str
    columns: Sequence[Column]
    rows: Sequence[Sequence[Cell]]
    empty: str = ""
    notes: Sequence[str] = field(default_factory=tuple)


@dataclass(frozen=True)
class Shown:
    """One cell as it is read: its words, whether somebody must act, and the value behind it.

    `parts` are its words by mark, where it has any, parted by `between`.
    """

    text: str
    act: bool
    column: Column
    value: Value
    parts: Sequence[Part] = ()
    between: str = ""


NONE = "—"


def shown(cell: Cell, column: Column) -> Shown:
    """In the reader's language and the zone in force."""
    value = bare(cell)
    text = in_words(value, column)
    if isinstance(cell, Marked) and value:
        return Shown(text, False, column, value, cell.parts, cell.between)
    return Shown(text, isinstance(cell, Must), column, value)


def in_words(value: Value, column: Column) -> str:
    """'48,210', '0.125', 'Nov 25, 2026'; a dash where there is nothing."""
    if value is None or value == "":
        return NONE
    if isinstance(value, datetime):
        local = timezone.localtime(value)
        day = formats.date_format(local, "DATE_FORMAT")
        return day if column.kind == Kind.DAY else f"{day}, {formats.time_format(local, 'H:i')}"
    if isinstance(value, date):
        return formats.date_format(value, _form(column.kind))
    if column.is_figure and column.kind != Kind.NUMBER and not isinstance(value, str):
        return f"{value:,.{column.places}f}"
    return str(value)


def _form(kind: Kind) -> str:
    return "YEAR_MONTH_FORMAT" if kind == Kind.MONTH else "DATE_FORMAT"


def plain(cell: Cell, column: Column, zone: ZoneInfo) -> Value:
    """The value itself, for a file: a moment without its zone, a figure at its places."""
    value = bare(cell)
    if isinstance(value, datetime):
        local = value.astimezone(zone).replace(tzinfo=None, microsecond=0)
        return local.date() if column.kind == Kind.DAY else local
    if column.kind == Kind.FIGURE and isinstance(value, float | Decimal):
        return round(Decimal(str(value)), column.places)
    return value


def shown_rows(table: Table, rows: Sequence[Sequence[Cell]] | None = None) -> list[list[Shown]]:
    """All rows, or one page of them, as they are read."""
    return [
        [shown(cell, column) for cell, column in zip(row, table.columns, strict=True)]
        for row in (table.rows if rows is None else rows)
    ]
