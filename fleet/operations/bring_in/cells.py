"""Cells to values. What can't be read raises CellError, which says what to type instead."""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from difflib import get_close_matches
from typing import Any, TypeVar
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from fleet.calc.units import UnitError, parse_length
from fleet.operations.bring_in.report import MOST_CELL as MOST_SHOWN
from fleet.operations.bring_in.report import BroughtIn, RowProblem
from fleet.operations.words import unit_error

YES = {"yes", "y", "true", "1", "x", "sí", "si"}
NO = {"no", "n", "false", "0", ""}
NOT_ONE_LINE = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")
MOST_CELL = 500
MOST_HINTS = 20
# Names that an answer lists when none is near.
MOST_NAMES = 8
_INTEGER = re.compile(r"\d{1,9}", re.ASCII)
UPRIGHT = 90.0
_DECIMAL = re.compile(r"[+-]?\d{1,4}(\.\d{1,6})?", re.ASCII)
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_MOMENT = re.compile(
    r"\d{4}-\d{2}-\d{2}[ T]\d{2}:\d{2}(:\d{2}(\.\d{1,6})?)?(Z|[+-]\d{2}:?\d{2})?", re.ASCII
)
NOON = time(12)
FIRST_YEAR, LAST_YEAR = 1900, 2100
Value = TypeVar("Value")
# A column's title and how its cells are read, by its name.
Readers = Mapping[str, tuple[str, Callable[[str], Any]]]


class CellError(ValueError):
    """One cell that can't be read, and what to type instead."""


def read_row(
    report: BroughtIn, number: int, row: Mapping[str, str], readers: Readers
) -> dict[str, Any] | None:
    """Read the cells of one row; None where one can't be read, every problem then being told.

    A column that the file does not have is left out.
    """
    read: dict[str, Any] = {}
    fine = True
    for name, (title, reader) in readers.items():
        if name in row:
            try:
                read[name] = reader(_plain(row[name]))
            except CellError as error:
                fine = False
                report.refuse(RowProblem(str(error), number, title, row[name][:MOST_SHOWN]))
    return read if fine else None


def read_column(column: Sequence[str], reader: Callable[[str], Value]) -> list[Value]:
    """Read the cells of a column, each different one once. Raises CellError for the first that
    can't be read: `read_row` then tells which rows it stands in."""
    known = {cell: reader(_plain(cell)) for cell in set(column)}
    return [known[cell] for cell in column]


def _plain(cell: str) -> str:
    if len(cell) > MOST_CELL:
        raise CellError(_("At most %(most)s characters.") % {"most": MOST_CELL})
    if NOT_ONE_LINE.search(cell):
        raise CellError(_("Type plain text on one line."))
    return cell


def yes_no(cell: str) -> bool:
    word = cell.casefold()
    if word in YES:
        return True
    if word not in NO:
        raise CellError(_("Type yes or no."))
    return False


def whole(least: int, most: int) -> Callable[[str], int]:
    """A reader of whole numbers between two, thousands set off or not."""

    def read(cell: str) -> int:
        plain = cell.replace(",", "").replace(" ", "")
        if not _INTEGER.fullmatch(plain) or not least <= int(plain) <= most:
            message = _("Type a whole number from %(least)s to %(most)s.")
            raise CellError(message % {"least": least, "most": most})
        return int(plain)

    return read


def degrees(cell: str) -> float:
    plain = cell.removesuffix("°").strip()
    if not _DECIMAL.fullmatch(plain) or abs(float(plain)) > UPRIGHT:
        raise CellError(_("Type degrees from -90 to 90, like 12.5."))
    return float(plain)


def length(most_m: float) -> Callable[[str], float]:
    """A reader of lengths, inches where no unit is typed, to metres."""

    def read(cell: str) -> float:
        try:
            metres = parse_length(cell).si
        except UnitError as error:
            raise CellError(unit_error(error, "").message) from error
        if metres > most_m:
            raise CellError(_("This is too much. Type a length like 16 in or 406 mm."))
        return metres

    return read


def text(most: int) -> Callable[[str], str]:
    def read(cell: str) -> str:
        if len(cell) > most:
            raise CellError(_("At most %(most)s characters.") % {"most": most})
        return cell

    return read


def choice(ways: Mapping[Any, Sequence[str]]) -> Callable[[str], str]:
    """A reader of one of several words, each written in several ways, the first of them shown."""
    words = ", ".join(all_ways[0] for all_ways in ways.values() if all_ways[0])
    by_way = {way.casefold(): value for value, all_ways in ways.items() for way in all_ways}

    def read(cell: str) -> str:
        found: str | None = by_way.get(cell.casefold())
        if found is None:
            raise CellError(_("Type one of: %(words)s.") % {"words": words})
        return found

    return read


def named(by_name: Mapping[str, Value], what: str) -> Callable[[str], Value]:
    """A reader of the name of something on file; an unknown one is answered with the nearest.

    The nearest of thousands takes a while to find: it is told for the first few alone.
    """
    plain = {name.casefold(): value for name, value in by_name.items()}
    spelled = {name.casefold(): name for name in by_name}
    near: dict[str, list[str]] = {}

    def read(cell: str) -> Value:
        word = cell.casefold()
        if word in plain:
            return plain[word]
        if word not in near and len(near) < MOST_HINTS:
            near[word] = get_close_matches(word[:MOST_SHOWN], plain, n=1)
        if near.get(word):
            message = _("There is no such %(what)s. Did you mean “%(name)s”?")
            raise CellError(message % {"what": what, "name": spelled[near[word][0]]})
        raise CellError(_not_on_file(what, by_name))

    return read


def _not_on_file(what: str, by_name: Mapping[str, Value]) -> str:
    """What could have been typed instead, as far as a cell of the report has room for it."""
    if not by_name:
        return _("There is no such %(what)s: none is on file yet.") % {"what": what}
    said = {"what": what, "names": "; ".join(sorted(by_name)[:MOST_NAMES])}
    if len(by_name) <= MOST_NAMES:
        return _("There is no such %(what)s. On file: %(names)s.") % said
    said["more"] = str(len(by_name) - MOST_NAMES)
    return _("There is no such %(what)s. On file: %(names)s, and %(more)s more.") % said


def day(cell: str) -> date:
    try:
        if _DAY.fullmatch(cell):
            found = date.fromisoformat(cell)
            if FIRST_YEAR <= found.year <= LAST_YEAR:
                return found
    except ValueError:
        pass
    raise CellError(_("Type the date as year-month-day, like 2026-11-25."))


@dataclass(frozen=True, slots=True)
class Moment:
    """A moment; `day` where only the date was typed, which then means noon in the yard."""

    when: datetime
    day: date | None = None


def moment(cell: str, zone: ZoneInfo, now: datetime) -> Moment:
    """A date or a date and time, in the yard's zone where none is typed. Today is at most now."""
    if _DAY.fullmatch(cell):
        found = day(cell)
        if found > now.astimezone(zone).date():
            raise CellError(_("This day has not come yet."))
        return Moment(min(datetime.combine(found, NOON, zone).astimezone(UTC), now), found)
    try:
        if _MOMENT.fullmatch(cell):
            typed = datetime.fromisoformat(cell)
            if FIRST_YEAR <= typed.year <= LAST_YEAR:
                local = typed if typed.tzinfo else typed.replace(tzinfo=zone)
                return Moment(local.astimezone(UTC))
    except ValueError:
        pass
    raise CellError(_("Type the date, or the date and time, like 2026-11-25 or 2026-11-25 14:30."))
