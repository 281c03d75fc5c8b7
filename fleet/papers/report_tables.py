"""The fleet's reports as tables: life by part and lot, fleet state, rechecks kept on time."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from fleet.calc.units import use_from_si
from fleet.papers.blocks import governs
from fleet.papers.measures import distance_unit
from fleet.papers.table import Cell, Column, Kind, Must, Table, marked
from fleet.pictures.mark import MUST_ACT
from fleet.pictures.plots import Plot
from fleet.reads.reports.fleet_state import VehicleStands
from fleet.reads.reports.kept import KeptRow
from fleet.reads.reports.kept_story import YardKept, kept_plot
from fleet.reads.reports.part_life import (
    FEWEST_FINDS,
    FEWEST_VEHICLES,
    HOURS,
    PartLife,
)
from fleet.records.models import Mark, Vehicle

K = Kind
PARTS, FLEET, KEPT = "parts", "fleet", "kept"
# A rate is told per so many miles or kilometres, or hours of an hour meter.
PER_DISTANCE, PER_HOURS = 10_000, 1_000


def part_table(lives: Sequence[PartLife], run_in: str, units: str) -> Table:
    unit, per = _measure(run_in, units)
    heading = {"unit": unit, "per": f"{per:,}"}
    columns = [
        Column("joint", _("Joint"), width=1.9), Column("number", _("Part number"), width=1.3),
        Column("lot", _("Lot")), Column("fitted", _("Fitted"), K.COUNT, width=0.6),
        Column("in_place", _("Still in place"), K.COUNT, width=0.7),
        Column("out", _("Taken out"), K.COUNT, width=0.7),
        Column("vehicles", _("Vehicles"), K.COUNT, width=0.8),
        Column("run", _("Run in all, %(unit)s") % heading, K.COUNT, width=0.9),
        Column("shortest", _("Shortest run taken out, %(unit)s") % heading, K.COUNT, width=0.9),
        Column("longest", _("Longest run, %(unit)s") % heading, K.COUNT, width=0.9),
        Column("looks", _("Checks made"), K.COUNT, width=0.7),
        Column("moved", _("Found moved"), K.COUNT, width=0.7, marks=[Mark.MOVED]),
        Column("worn", _("Found worn or with play"), K.COUNT, width=0.8,
               marks=[Mark.BAD, Mark.PLAY]),
        Column("rate", _("Finds in %(per)s %(unit)s") % heading, K.FIGURE, 2, 0.9),
    ]  # fmt: skip
    rows = [_part_row(one, unit, per) for one in lives]
    return Table(PARTS, _("Life by part number and lot"), columns, rows,
                 _("No part was fitted in these days."), _part_notes(lives))  # fmt: skip


def _measure(run_in: str, units: str) -> tuple[str, int]:
    return ("h", PER_HOURS) if run_in == HOURS else (distance_unit(units), PER_DISTANCE)


def _part_row(one: PartLife, unit: str, per: int) -> list[Cell]:
    def run(si: float | None) -> Cell:
        return None if si is None else use_from_si(si, unit, 0)

    rate = _("too little") if one.too_little else one.finds * per / float(
        use_from_si(one.run_si, unit, 3))  # fmt: skip
    return [
        one.kind.name, one.number or _("none kept"), one.lot, one.fitted, one.in_place,
        one.taken_out, one.vehicles, run(one.run_si), run(one.shortest_si), run(one.longest_si),
        one.looks, one.moved, one.worn, rate,
    ]  # fmt: skip


def _part_notes(lives: Sequence[PartLife]) -> list[str]:
    least = {"finds": FEWEST_FINDS, "vehicles": FEWEST_VEHICLES}
    notes = [
        _(
            "Counts and exposure, not a ranking: parts differ in vehicle, road and how often they "
            "were looked at. “Too little” is fewer than %(finds)d finds, or finds on fewer than "
            "%(vehicles)d vehicles."
        )
        % least,
        _("Runs go from the meter at fitting to the meter at the next change, or to the last "
          "reading. A part moved from another vehicle begins anew here."),
    ]  # fmt: skip
    unknown = sum(one.unknown for one in lives)
    if unknown:
        notes.append(
            _("Without a meter reading at one end, and in no run: %(n)d.") % {"n": unknown}
        )
    return notes


def fleet_table(rows: Sequence[VehicleStands]) -> Table:
    columns = [
        Column("yard", _("Yard"), width=1.2), Column("unit", _("Unit"), width=0.8),
        Column("design", _("Design"), width=1.6), Column("state", _("State"), width=1.0),
        Column("holds", _("Holds"), K.COUNT, width=0.6),
        Column("held_since", _("Held since"), K.DAY),
        Column("mark", _("Worst joint"), width=1.9),
        Column("at_mark", _("Joints so"), K.COUNT, width=0.6),
        Column("owed", _("Owed"), K.COUNT, width=0.6),
        Column("overdue", _("Overdue"), K.COUNT, width=0.7),
        Column("looked", _("Last full look"), K.DAY), Column("meter", _("Meter read"), K.DAY),
        Column("stale", _("Stale meter"), width=0.8),
    ]  # fmt: skip
    notes = [
        _("A full look is a routine or yearly look that was paid. Overdue is counted in owed.")
    ]
    return Table(FLEET, _("Fleet state"), columns, [_fleet_row(one) for one in rows],
                 _("No vehicle fits these choices."), notes)  # fmt: skip


def _fleet_row(one: VehicleStands) -> list[Cell]:
    vehicle, mark = one.vehicle, Mark(one.mark)
    words = str(capfirst(mark.label))
    status = str(capfirst(vehicle.get_status_display()))
    return [
        vehicle.yard.name, vehicle.unit_number, vehicle.design.name,
        Must(_("Held")) if one.holds else status, one.holds, one.held_since,
        marked(words, mark, mark in MUST_ACT), one.at_mark, one.owed,
        Must(one.overdue) if one.overdue else 0, one.last_full_look, _last_read(vehicle),
        Must(_("stale")) if one.stale else "",
    ]  # fmt: skip


def _last_read(vehicle: Vehicle) -> Cell:
    use = getattr(vehicle, "use", None)
    last: Cell = use.last_at if use else None
    return last


@dataclass(frozen=True)
class KeptTable(Table):
    """With each yard in a line, and its months as a picture."""

    story: Sequence[YardKept] = ()
    picture: Plot | None = None

    @property
    def told(self) -> list[str]:
        """The same in words, for paper and files."""
        return [f"{one.yard.name}: {one.kept}. {capfirst(one.owed_since)}." for one in self.story]


def kept_table(rows: Sequence[KeptRow], story: Sequence[YardKept]) -> KeptTable:
    columns = [
        Column("yard", _("Yard"), width=1.5), Column("month", _("Month"), K.MONTH),
        Column("owed", _("Owed"), K.COUNT), Column("in_time", _("Done in time"), K.COUNT),
        Column("late", _("Done late"), K.COUNT), Column("missed", _("Missed, still owed"), K.COUNT),
        Column("share", _("Kept on time, %"), K.FIGURE, 1),
    ]  # fmt: skip
    made: list[list[Cell]] = [
        [one.yard.name, one.month, one.owed, one.in_time, one.late,
         Must(one.missed) if one.missed else 0, 100 * one.share]
        for one in rows
    ]  # fmt: skip
    notes = [
        _(
            "Each recheck counts once: in the month in which it was done in time, or fell due "
            "undone. What was dropped is not counted. A vehicle counts at the yard where it is now."
        )
    ]
    return KeptTable(KEPT, _("Rechecks kept on time"), columns, made,
                     _("Nothing fell due in these days."), notes, story,
                     kept_plot(rows))  # fmt: skip


def about(table: Table, chosen: Sequence[str]) -> Table:
    """What was chosen and what is to be minded, as a second sheet beside the figures."""
    said = [*(words for words in chosen if words), *table.notes, governs()]
    column = Column("text", _("About this report"))
    return Table("about", _("About"), [column], [[words] for words in said])


def days_said(since: date | None, until: date | None) -> str:
    """'2026-01-01 to 2026-06-30', as the file's own name and heading say it."""
    if since is None and until is None:
        return ""
    first, last = (day.isoformat() if day else "" for day in (since, until))
    return _("%(since)s to %(until)s") % {"since": first, "until": last}
