"""A file of comma-separated values as rows of named cells, read as a stream."""

import csv
import io
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from difflib import get_close_matches
from itertools import islice
from typing import BinaryIO

from django.conf import settings
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.operations.bring_in.encoding import CHUNK, encoding_of
from fleet.operations.bring_in.ending import ends_in_line_end
from fleet.operations.bring_in.report import BroughtIn, LastRow, RowProblem, UnreadableError

DELIMITERS = (",", ";", "\t")
MOST_HEADER = 16_384
MOST_TITLE = 60
BLOCK = 10_000


@dataclass(frozen=True, slots=True)
class Column:
    """A column that a file may have: our name for it, and its title in the file."""

    name: str
    title: str
    needed: bool = False


@dataclass(frozen=True)
class Block:
    """Some rows, by column: their numbers as a spreadsheet counts, and the cells by column name."""

    numbers: list[int]
    columns: dict[str, Sequence[str]]

    def rows(self) -> Iterator[tuple[int, dict[str, str]]]:
        for number, *row in zip(self.numbers, *self.columns.values(), strict=True):
            yield number, dict(zip(self.columns, row, strict=True))


@dataclass
class Sheet:
    """An open file: which columns stand in it, and its rows by column name.

    `rows` raises UnreadableError where the file breaks off; a row that can't stand by itself is
    told in the report and left out.
    """

    text: io.TextIOWrapper
    columns: Sequence[Column]
    most_rows: int
    ended: bool
    report: BroughtIn
    delimiter: str = ","
    order: list[Column | None] = field(default_factory=list)
    # Cells in the first row; the last of them may be empty.
    width: int = 0

    def rows(self) -> Iterator[tuple[int, dict[str, str]]]:
        """Each row that is not blank, with its number as a spreadsheet counts."""
        for block in self.blocks():
            yield from block.rows()

    def blocks(self) -> Iterator[Block]:
        """The rows that are not blank, many at a time."""
        numbers: list[int] = []
        rows: list[list[str]] = []
        try:
            for number, cells in self._rows():
                numbers.append(number)
                rows.append(cells)
                if len(rows) == BLOCK:
                    block, numbers, rows = self._block(numbers, rows), [], []
                    yield block
        except UnreadableError:
            # Those before the place where the file breaks off are judged nevertheless.
            if rows:
                yield self._block(numbers, rows)
            raise
        if rows:
            yield self._block(numbers, rows)

    def _block(self, numbers: list[int], rows: list[list[str]]) -> Block:
        columns = zip(self.order, zip(*rows, strict=True), strict=True)
        return Block(numbers, {
            column.name: [cell.strip() for cell in cells]
            for column, cells in columns if column is not None
        })  # fmt: skip

    def _rows(self) -> Iterator[tuple[int, list[str]]]:
        """Each row with as many cells as there are titles; the others are told."""
        self.text.seek(0)
        given = 0
        for number, cells, last in self._records():
            if last and not self.ended and (number == 1 or not self._closed(cells)):
                self.report.doubted = LastRow.of(number, cells)
            if number == 1 or not any(cells):
                continue
            given += 1
            if given > self.most_rows:
                raise _too_many(self.most_rows)
            if self._as_wide(number, cells, last):
                yield number, cells[: len(self.order)]

    def _closed(self, cells: list[str]) -> bool:
        """Whether an empty cell under no title stands behind all that have one: none is cut."""
        return len(cells) == self.width > len(self.order)

    def _records(self) -> Iterator[tuple[int, list[str], bool]]:
        """Records with their numbers; one is read ahead, so that the last is known."""
        number = 0
        ahead: list[str] | None = None
        reader = csv.reader(self.text, delimiter=self.delimiter, strict=True)
        try:
            for cells in reader:
                if ahead is not None:
                    yield number, ahead, False
                number, ahead = number + 1, cells
        except csv.Error as error:
            raise _broken(error, number + 1) from error
        if ahead is not None:
            yield number, ahead, True

    def _as_wide(self, number: int, cells: list[str], last: bool) -> bool:
        """Whether the row has as many cells as the first; if not, that is told."""
        wide = len(self.order)
        if len(cells) == wide or (len(cells) == self.width and not any(cells[wide:])):
            return True
        if len(cells) < wide and last and not self.ended:
            message = _("The file ends in the middle of row %(row)s: it was cut short.")
            raise UnreadableError(message % {"row": number}, number)
        message = ngettext(
            "This row has %(cells)s cell; the first row has %(wide)s.",
            "This row has %(cells)s cells; the first row has %(wide)s.",
            len(cells),
        ) % {"cells": len(cells), "wide": wide}
        self.report.refuse(RowProblem(message, number))
        return False


@contextmanager
def open_sheet(
    source: BinaryIO, columns: Sequence[Column], most_rows: int, report: BroughtIn
) -> Iterator[Sheet]:
    """Open a file and read its first row. Raises UnreadableError; tells column problems.

    The file stays open behind the block, since it is the caller's.
    """
    size = source.seek(0, io.SEEK_END)
    if size > settings.IMPORT_MAX_BYTES:
        message = _("The file is larger than %(most)s MB. Split it.")
        raise UnreadableError(message % {"most": settings.IMPORT_MAX_BYTES // 1_000_000})
    if _lines(source) > 2 * most_rows + 1_000:
        # Not even read: blank rows may be many, but not so many.
        raise _too_many(most_rows)
    encoding = encoding_of(source)
    ended = ends_in_line_end(source, size, encoding)
    text = io.TextIOWrapper(source, encoding=encoding, newline="")
    try:
        sheet = Sheet(text, columns, most_rows, ended, report)
        if encoding == "cp1252":
            report.notes.append(_("Read as Windows-1252. Look at letters with accents."))
        if not ended:
            report.notes.append(_("The last line has no line end. See that the last row is whole."))
        _read_header(sheet)
        yield sheet
    finally:
        text.detach()


def _lines(source: BinaryIO) -> int:
    source.seek(0)
    lines = 0
    while chunk := source.read(CHUNK):
        lines += max(chunk.count(b"\n"), chunk.count(b"\r"))
    return lines


def _read_header(sheet: Sheet) -> None:
    """Find the delimiter that makes most titles known, and what each column is."""
    sheet.text.seek(0)
    line = "".join(islice(sheet.text, 1))
    if len(line) > MOST_HEADER:
        raise UnreadableError(_("The first row has no column titles."), 1)
    known = {_plain(word): c for c in sheet.columns for word in (c.name, c.title)}
    found = {mark: _split(line, mark) for mark in DELIMITERS}
    sheet.delimiter = max(
        DELIMITERS,
        key=lambda mark: (sum(_plain(t) in known for t in found[mark]), len(found[mark])),
    )
    titles = found[sheet.delimiter]
    sheet.width = len(titles)
    while titles and not titles[-1].strip():
        titles.pop()
    sheet.order = [known.get(_plain(title)) for title in titles]
    for problem in _header_problems(sheet, titles):
        sheet.report.refuse(problem)


def _split(line: str, mark: str) -> list[str]:
    try:
        return next(csv.reader([line], delimiter=mark, strict=True), [])
    except csv.Error:
        return []


def _plain(title: str) -> str:
    return " ".join(title.casefold().replace("_", " ").replace("-", " ").split())


def _header_problems(sheet: Sheet, titles: list[str]) -> list[RowProblem]:
    """Unknown titles with the nearest that is known, titles given twice, titles missing."""
    all_titles = [column.title for column in sheet.columns]
    found = []
    for title, column in zip(titles, sheet.order, strict=True):
        if column is None:
            near = get_close_matches(_plain(title), all_titles, n=1, cutoff=0.5)
            message = (
                _("There is no such column. Did you mean “%(title)s”?") % {"title": near[0]}
                if near
                else _("There is no such column. Take it out, or call it one of: %(titles)s.")
                % {"titles": ", ".join(all_titles)}
            )
            found.append(RowProblem(message, 1, title.strip()[:MOST_TITLE]))
        elif sheet.order.count(column) > 1:
            found.append(RowProblem(_("This column is there twice."), 1, column.title))
    for column in sheet.columns:
        if column.needed and column not in sheet.order:
            found.append(RowProblem(_("This column is missing."), 1, column.title))
    return found


def _too_many(most: int) -> UnreadableError:
    message = _("The file has more than %(most)s rows. Split it into several files.")
    return UnreadableError(message % {"most": f"{most:,}"})


def _broken(error: csv.Error, number: int) -> UnreadableError:
    if "unexpected end" in str(error):
        message = _(
            "The file ends inside a quoted cell that began in row %(row)s: it was cut short."
        )
    elif "field larger" in str(error):
        message = _(
            "A cell in row %(row)s is far too long: look for a quotation mark without pair."
        )
    else:
        message = _("Row %(row)s can't be read: look at its quotation marks.")
    return UnreadableError(message % {"row": number}, number)
