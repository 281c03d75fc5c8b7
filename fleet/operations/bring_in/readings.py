"""Meter readings brought in: from a file, or as rows from a client."""

import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any, BinaryIO
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from fleet.operations.actor import Actor
from fleet.operations.bring_in import cells
from fleet.operations.bring_in.all_or_nothing import UndoError, once
from fleet.operations.bring_in.report import BroughtIn, UnreadableError
from fleet.operations.bring_in.sheet import Column, Sheet, open_sheet
from fleet.operations.bring_in.vehicle_columns import METER_UNITS
from fleet.operations.errors import Problem, Refused
from fleet.operations.many_readings import Row, Tally, take_many
from fleet.operations.meters import Reading
from fleet.operations.once import Request
from fleet.operations.work import Work
from fleet.records.models import Vehicle

# Beyond this a file is refused at once: it is held in memory while it is judged as a whole.
MOST_ROWS = 200_000

COLUMNS = (
    Column("unit_number", "unit number", needed=True),
    Column("at", "read on", needed=True),
    Column("meter", "meter", needed=True),
    Column("unit", "unit"),
    Column("new_meter", "new meter"),
    Column("reason", "reason"),
)
TITLES = {column.name: column.title for column in COLUMNS}


@dataclass(frozen=True)
class Recorded:
    """What came of readings sent in bulk."""

    added: int
    on_file: int
    repeated: int
    replayed: bool = False


@dataclass
class Read:
    """The rows of a file that could be read, with their numbers in it."""

    rows: list[Row] = field(default_factory=list)
    numbers: list[int] = field(default_factory=list)


def import_readings(
    actor: Actor, source: BinaryIO | bytes, *, at: datetime, dry_run: bool,
    request: Request | None = None,
) -> BroughtIn:  # fmt: skip
    """Bring in a file of meter readings: all of it, or nothing and every problem in it.

    Safe to repeat: what is on file already is recognized and left alone.
    """
    actor.need("bring_in")
    report = BroughtIn("readings")
    try:
        read = _read(actor, _stream(source), at, report)
    except UnreadableError as error:
        report.refuse(error.problem)
        return report
    if dry_run or not report.fine:
        _tell(report, read, take_many(Work(actor, at), read.rows, store=False))
        return report

    def take(work: Work) -> dict[str, Any]:
        _tell(report, read, take_many(work, read.rows, store=True))
        if not report.fine:
            raise UndoError
        return report.counts()

    try:
        counts, replayed = once("import_readings", actor, at, take, request)
    except UndoError:
        return report
    return replace(report, **counts, written=True, replayed=replayed)


def record_readings(
    actor: Actor, readings: Sequence[Reading], *, at: datetime, request: Request | None = None
) -> Recorded:
    """Store a client's readings: all of them, or Refused with every problem by its index.

    Safe to repeat even without a request key: one with the identity, or with the moment and the
    figure, of one on file is counted and left alone.
    """
    actor.need("record_meter")
    if len(readings) > MOST_ROWS:
        message = _("At most %(most)s readings at a time.") % {"most": f"{MOST_ROWS:,}"}
        raise Refused((Problem("too_many", message, "readings"),))

    def take(work: Work) -> dict[str, Any]:
        tally = take_many(work, [Row(reading) for reading in readings], store=True)
        if tally.problem_count:
            raise Refused(tuple(_by_index(tally)))
        return {"added": tally.added, "on_file": tally.on_file, "repeated": tally.repeated}

    counts, replayed = once("record_readings", actor, at, take, request)
    return Recorded(**counts, replayed=replayed)


def _by_index(tally: Tally) -> list[Problem]:
    found = [
        replace(problem, field=f"readings.{index}.{problem.field}")
        for index, problem in tally.problems
    ]
    more = tally.problem_count - len(found)
    if more:
        message = _("%(more)s more problems are not listed.") % {"more": f"{more:,}"}
        found.append(Problem("more", message, "readings"))
    return found


def _stream(source: BinaryIO | bytes) -> BinaryIO:
    return io.BytesIO(source) if isinstance(source, bytes) else source


def _read(actor: Actor, source: BinaryIO, at: datetime, report: BroughtIn) -> Read:
    """Every row that can be read by itself; the rest as problems."""
    read = Read()
    with open_sheet(source, COLUMNS, MOST_ROWS, report) as sheet:
        if report.fine:
            _read_rows(actor, sheet, at, report, read)
    return read


def _read_rows(actor: Actor, sheet: Sheet, at: datetime, report: BroughtIn, read: Read) -> None:
    readers = _readers(actor)
    for number, row in sheet.rows():
        report.rows += 1
        said = cells.read_row(report, number, row, readers)
        if said is None:
            continue
        vehicle_id, zone = said["unit_number"]
        try:
            moment = cells.moment(said["at"], zone, at)
        except cells.CellError as error:
            report.refuse_cell(number, TITLES["at"], row["at"], Problem("cell", str(error)))
            continue
        reading = Reading(
            vehicle_id, said["meter"], said.get("unit", ""), moment.when,
            said.get("new_meter", False), said.get("reason", ""),
        )  # fmt: skip
        read.rows.append(Row(reading, moment.day))
        read.numbers.append(number)


def _readers(actor: Actor) -> cells.Readers:
    unit = cells.choice({"": ("",), **METER_UNITS})
    readers: dict[str, Callable[[str], Any]] = {
        "unit_number": cells.named(_vehicles(actor), _("vehicle within your yards")),
        "at": str,
        "meter": str,
        "unit": unit,
        "new_meter": cells.yes_no,
        "reason": str,
    }
    return {name: (TITLES[name], reader) for name, reader in readers.items()}


def _vehicles(actor: Actor) -> dict[str, tuple[int, ZoneInfo]]:
    rows = Vehicle.visible_to(actor.person).values_list("unit_number", "pk", "yard__time_zone")
    zones = {zone: ZoneInfo(zone) for zone in {zone for _number, _pk, zone in rows}}
    return {number: (pk, zones[zone]) for number, pk, zone in rows}


def _tell(report: BroughtIn, read: Read, tally: Tally) -> None:
    """Put what became of the rows into the report, by row and column."""
    for index, problem in tally.problems:
        typed = str(getattr(read.rows[index].reading, _TYPED.get(problem.field, ""), ""))
        title = TITLES.get(problem.field, "")
        report.refuse_cell(read.numbers[index], title, typed, problem)
    report.problem_count += tally.problem_count - len(tally.problems)
    report.added, report.on_file, report.repeated = tally.added, tally.on_file, tally.repeated


_TYPED = {"meter": "typed", "reason": "reason"}
