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
from fleet.operations.bring_in.report import BroughtIn, RowProblem, UnreadableError

DELIMITERS = (",", ";", "\t")
MOST_HEADER = 16_384
MOST_TITLE = 60


@dataclass(frozen=True, slots=True)
class Column:
    """A column that a file may have: our name for it, and its title in the file."""

    name: str
    title: str
    needed: bool = False


@dataclass
class Sheet:
    """An open file: which columns stand in it, and its rows by column name.

    `rows` raises UnreadableError where the file breaks off; a row that can't stand by itself is
    told in the report and left out.
    """

    text: io.TextIOWrapper
    columns: Sequence[Column]
    most_rows: int
    whole: bool
    report: BroughtIn
    delimiter: str = ","
    order: list[Column | None] = field(default_factory=list)
    # Cells in the first row; the last of them may be empty.
    width: int = 0

    def rows(self) -> Iterator[tuple[int, dict[str, str]]]:
        """Each row that is not blank, with its number as a spreadsheet counts."""
        self.text.seek(0)
        given = 0
        for number, cells, last in self._records():
            if number == 1 or not any(cells):
                continue
            given += 1
            if given > self.most_rows:
                raise _too_many(self.most_rows)
            row = self._named(number, cells, last)
            if row is not None:
                yield number, row

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

    def _named(self, number: int, cells: list[str], last: bool) -> dict[str, str] | None:
        """The cells by column, or None and a problem where their number is wrong."""
        wide = len(self.order)
        if len(cells) == self.width and not any(cells[wide:]):
            cells = cells[:wide]
        if len(cells) < wide and last and not self.whole:
            message = _("The file ends in the middle of row %(row)s: it was cut short.")
            raise UnreadableError(message % {"row": number}, number)
        if len(cells) != wide:
            message = ngettext(
                "This row has %(cells)s cell; the first row has %(wide)s.",
                "This row has %(cells)s cells; the first row has %(wide)s.",
                len(cells),
            ) % {"cells": len(cells), "wide": wide}
            self.report.refuse(RowProblem(message, number))
            return None
        named = zip(self.order, cells, strict=True)
        return {column.name: cell.strip() for column, cell in named if column is not None}


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
    whole = _ends_in_line_end(source, size)
    text = io.TextIOWrapper(source, encoding=encoding, newline="")
    try:
        sheet = Sheet(text, columns, most_rows, whole, report)
        if encoding == "cp1252":
            report.notes.append(_("Read as Windows-1252. Look at letters with accents."))
        if not whole:
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


def _ends_in_line_end(source: BinaryIO, size: int) -> bool:
    source.seek(max(0, size - 2))
    last = source.read(2)
    source.seek(0)
    return last[-1:] in (b"\n", b"\r") or last in (b"\n\0", b"\r\0")


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
