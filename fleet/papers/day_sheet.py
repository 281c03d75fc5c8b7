"""The plan on paper: a ruled sheet for each day, with room for a pencil."""

from datetime import datetime
from zoneinfo import ZoneInfo

from django.utils import formats
from django.utils.translation import gettext as _

from fleet.papers import blocks
from fleet.papers.blocks import Block, Head
from fleet.papers.table import Cell, Column, Marked, Part
from fleet.reads.days import zone_of
from fleet.reads.plan.visits import Task, VisitLine
from fleet.reads.plan.week import Sheet, Week


def day_sheets(week: Week, units: str, at: datetime, address: str) -> bytes:
    """Every day of the week on which something is planned, or that is open.

    A code opens the plan's page at `address`, as it stands by then.
    """
    zone = zone_of(week.yard)
    head = Head(_("Day sheets"), week.yard.name, at, zone, units, wide=True)
    opens = [
        blocks.heading(_("Plan of %(yard)s") % {"yard": week.yard.name}, 1),
        blocks.text(_("The plan may have changed since: the code opens it as it is now."), "soft"),
    ]
    made: list[Block] = [blocks.beside(opens, blocks.code(address, _("Opens this plan")))]
    for sheet in week.sheets:
        made += _day(sheet, zone)
    made.append(blocks.text(blocks.governs(), "caution"))
    return blocks.document(head, made)


def _columns() -> list[Column]:
    return [
        Column("bay", _("Bay"), width=0.4),
        Column("begins", _("Begins"), width=0.6),
        Column("vehicle", _("Vehicle"), width=1.2),
        Column("work", _("Work"), width=3.6),
        Column("minutes", _("Minutes"), width=0.7),
        Column("people", _("People"), width=1.6),
        Column("done", _("Done, by"), width=1.1),
        Column("note", _("Note"), width=2.2),
    ]


def _day(sheet: Sheet, zone: ZoneInfo) -> list[Block]:
    named = formats.date_format(sheet.day.day, "l")
    day = f"{named}, {formats.date_format(sheet.day.day, 'DATE_FORMAT')}"
    if not sheet.day.minutes and not sheet.lines:
        return [blocks.heading(day), blocks.text(sheet.day.shut, "soft")]
    rows = [_line(bay, line, zone) for bay, lines in sheet.bays for line in lines]
    # Two lines left blank: what comes in that nobody had planned.
    blank: list[Cell] = [" "] * len(_columns())
    made = [blocks.heading(day)]
    if sheet.locked:
        made.append(blocks.text(_("Locked: this day stays as it is."), "soft"))
    return [*made, blocks.grid(_columns(), [*rows, blank, blank], tall=True)]


def _line(bay: int, line: VisitLine, zone: ZoneInfo) -> list[Cell]:
    starts = line.starts.astimezone(zone).strftime("%H:%M") if line.starts else ""
    unit = line.visit.vehicle.unit_number
    amiss = [_("held"), *line.amiss] if line.held else line.amiss
    vehicle = Marked([Part(unit), *(Part(each, act=True) for each in amiss)], between=": ")
    return [
        bay, starts, vehicle, Marked([_task(task) for task in line.tasks]),
        line.visit.minutes, line.names, " ", " ",
    ]  # fmt: skip


def _task(task: Task) -> Part:
    words = f"{task.joint} ({task.name})" if task.joint else task.name
    return Part(words, task.mark)
