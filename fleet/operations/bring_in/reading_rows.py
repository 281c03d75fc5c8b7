"""The rows of a file of meter readings: its columns, and how their cells are read.

Read by column, since a column has few different cells: each of them is read once, however many
rows it stands in. A block of rows with anything wrong in it is read again row by row, so that
every problem is told in its place.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, BinaryIO
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from fleet.operations.actor import Actor
from fleet.operations.bring_in import cells
from fleet.operations.bring_in.report import BroughtIn
from fleet.operations.bring_in.sheet import Block, Column, open_sheet
from fleet.operations.bring_in.vehicle_columns import METER_UNITS
from fleet.operations.errors import Problem
from fleet.operations.judged_readings import Row
from fleet.operations.meters import Reading
from fleet.records.models import Vehicle

COLUMNS = (
    Column("unit_number", "unit number", needed=True),
    Column("at", "read on", needed=True),
    Column("meter", "meter", needed=True),
    Column("unit", "unit"),
    Column("new_meter", "new meter"),
    Column("reason", "reason"),
)
TITLES = {column.name: column.title for column in COLUMNS}
# What a column says that the file does not have.
ABSENT: dict[str, Any] = {"unit": "", "new_meter": False, "reason": ""}


@dataclass
class Read:
    """The rows of a file that could be read, with their numbers in it."""

    rows: list[Row] = field(default_factory=list)
    numbers: list[int] = field(default_factory=list)


@dataclass(frozen=True)
class Reader:
    """How the cells are read for this actor at this moment."""

    by_column: cells.Readers
    at: datetime
    report: BroughtIn
    read: Read

    def take(self, block: Block) -> None:
        """Read a block, and put its rows to the others."""
        self.report.rows += len(block.numbers)
        try:
            self._by_column(block)
        except cells.CellError:
            self._by_row(block)

    def _by_column(self, block: Block) -> None:
        said = {
            name: cells.read_column(block.columns[name], reader)
            for name, (_title, reader) in self.by_column.items()
            if name in block.columns
        }
        moments: dict[tuple[ZoneInfo, str], cells.Moment] = {}
        rows = []
        height = len(block.numbers)
        columns = (said.get(name) or [ABSENT[name]] * height for name in ("unit", "new_meter",
                                                                          "reason"))  # fmt: skip
        for (vehicle, zone), at, meter, *rest in zip(
            said["unit_number"], said["at"], said["meter"], *columns, strict=True
        ):
            moment = moments.get((zone, at))
            if moment is None:
                moment = moments[zone, at] = cells.moment(at, zone, self.at)
            rows.append(_row(vehicle, moment, meter, *rest))
        self.read.rows += rows
        self.read.numbers += block.numbers

    def _by_row(self, block: Block) -> None:
        for number, row in block.rows():
            said = cells.read_row(self.report, number, row, self.by_column)
            if said is None:
                continue
            vehicle, zone = said["unit_number"]
            try:
                moment = cells.moment(said["at"], zone, self.at)
            except cells.CellError as error:
                problem = Problem("cell", str(error))
                self.report.refuse_cell(number, TITLES["at"], row["at"], problem)
                continue
            rest = [said.get(name, absent) for name, absent in ABSENT.items()]
            self.read.rows.append(_row(vehicle, moment, said["meter"], *rest))
            self.read.numbers.append(number)


def _row(
    vehicle: int, moment: cells.Moment, meter: str, unit: str, new_meter: bool, reason: str
) -> Row:
    return Row(Reading(vehicle, meter, unit, moment.when, new_meter, reason), moment.day)


def read_rows(
    actor: Actor, source: BinaryIO, at: datetime, report: BroughtIn, most_rows: int
) -> Read:
    """Every row that can be read by itself; the rest as problems."""
    read = Read()
    with open_sheet(source, COLUMNS, most_rows, report) as sheet:
        if report.fine:
            reader = Reader(_readers(actor), at, report, read)
            for block in sheet.blocks():
                reader.take(block)
    return read


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
