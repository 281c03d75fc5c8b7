"""Reports put together for a door: the table to show, and the file that was asked for."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.utils.text import slugify
from django.utils.translation import gettext as _

from fleet.papers import files, report_paper, report_tables, typeset
from fleet.papers.drawing import Drawing, drawing_of
from fleet.papers.table import Table
from fleet.papers.vehicle_file import cover, vehicle_file
from fleet.papers.vehicle_pictures import FilePictures, file_pictures
from fleet.papers.vehicle_tables import Sections
from fleet.reads.reports.fleet_state import fleet_rows, not_looked_at_since, stands
from fleet.reads.reports.kept import kept_on_time
from fleet.reads.reports.kept_story import kept_story
from fleet.reads.reports.names import names_now
from fleet.reads.reports.part_life import PartAsked, part_lives
from fleet.reads.reports.record_pictures import record_pictures
from fleet.reads.reports.vehicle_record import (
    MOST_ROWS,
    Span,
    TooLong,
    day_of,
    vehicle_record,
)
from fleet.records.models import Joint, Person, Vehicle, Yard

PDF, CSV, XLSX = "pdf", "csv", "xlsx"
FORMS = {PDF: typeset.PDF, CSV: files.CSV, XLSX: files.XLSX}


@dataclass(frozen=True)
class Made:
    """A file as it is handed over."""

    content: bytes
    media_type: str
    name: str


@dataclass(frozen=True)
class Reader:
    """For whom a report is made: their scope, the yards they chose, units, moment and zone."""

    person: Person
    yards: Sequence[Yard]
    units: str
    at: datetime
    zone: ZoneInfo


def parts(reader: Reader, asked: PartAsked) -> Table:
    lives = part_lives(reader.person, reader.yards, asked)
    return report_tables.part_table(lives, asked.run_in, reader.units)


def fleet(reader: Reader, not_since: date | None = None) -> Table:
    rows = fleet_rows(reader.person, reader.yards, reader.at)
    if not_since is not None:
        rows = not_looked_at_since(rows, reader.yards, not_since)
    return report_tables.fleet_table(stands(rows, reader.at))


def kept(reader: Reader, since: date | None, until: date | None) -> Table:
    rows = kept_on_time(reader.person, reader.yards, since, until, reader.at)
    story = kept_story(reader.person, reader.yards, rows, reader.at)
    return report_tables.kept_table(rows, story)


def record(reader: Reader, vehicle: Vehicle, span: Span) -> Sections:
    """All sections of one vehicle's file. Raises vehicle_record.TooLong."""
    found = vehicle_record(vehicle, span)
    names = names_now(reader.person)
    return Sections(found, names, reader.units, day_of(found, reader.at))


def too_long(long: TooLong) -> str:
    """Why there is no file, and what makes it shorter."""
    words = _(
        "%(rows)s rows are too many for one file: it holds %(most)s. Choose a first and a last day."
    )
    return words % {"rows": f"{long.rows:,}", "most": f"{MOST_ROWS:,}"}


def report_file(table: Table, form: str, reader: Reader, chosen: Sequence[str]) -> Made:
    """One report in one of FORMS. Raises typeset.NotSet."""
    if isinstance(table, report_tables.KeptTable):
        chosen = [*chosen, *table.told]
    if form == CSV:
        content = files.csv(table, reader.zone)
    elif form == XLSX:
        content = files.xlsx([table, report_tables.about(table, chosen)], reader.zone)
    else:
        content = report_paper.report(table, chosen, reader.zone, reader.units, reader.at)
    return Made(content, FORMS[form], _name(table.title, reader, form))


def record_file(sections: Sections, form: str, reader: Reader, section: str = "") -> Made:
    """One vehicle's file: whole as PDF or XLSX, one section of it as CSV. Raises NotSet."""
    if form == CSV:
        content = files.csv(section_of(sections, section), reader.zone)
    elif form == XLSX:
        content = files.xlsx([cover(sections), *sections.all()], reader.zone)
    else:
        content = vehicle_file(sections, reader.at, _pictures(sections))
    unit = sections.record.vehicle.unit_number
    return Made(content, FORMS[form], _name(f"{unit} front axle file {section}", reader, form))


def _pictures(sections: Sections) -> FilePictures:
    drawn = record_pictures(sections.record, sections.units, sections.today)
    return file_pictures(_front_end(sections), drawn)


def _front_end(sections: Sections) -> Drawing:
    """As the joints stood at the end of the days the file is of."""
    joints = sections.record.joints
    there = [(one.joint, one.state.mark) for one in joints if one.fitted != Joint.Fitted.NOT_FITTED]
    return drawing_of(sections.record.vehicle, there)


def section_of(sections: Sections, key: str) -> Table:
    """A section by its key; the record of what was done where the key names none."""
    by_key = {table.key: table for table in sections.all()}
    return by_key.get(key) or by_key["record"]


def _name(title: str, reader: Reader, form: str) -> str:
    return f"{slugify(title)}-{reader.at.astimezone(reader.zone):%Y-%m-%d}.{form}"
