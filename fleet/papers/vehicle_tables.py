"""The sections of one vehicle's file as tables, for screen, CSV, XLSX and paper alike."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from operator import itemgetter
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.papers import measures, vehicle_words
from fleet.papers.table import Cell, Column, Kind, Marked, Must, Part, Table
from fleet.reads.reports.names import Names
from fleet.reads.reports.repairs import LineThen
from fleet.reads.reports.vehicle_record import VehicleRecord

K = Kind
Rows = list[list[Cell]]


@dataclass(frozen=True)
class Sections:
    """Makes each section of a record; `today` is the day by which it is judged."""

    record: VehicleRecord
    names: Names
    units: str
    today: date

    def all(self) -> list[Table]:
        made: list[Callable[[], Table]] = [
            self.what_happened, self.owed, self.holds, self.joints, self.findings, self.repairs,
            self.torques, self.toes, self.parts, self.complaints, self.corrections,
        ]  # fmt: skip
        return [make() for make in made]

    def _when(self, kind: Kind = K.MOMENT) -> Column:
        return Column("when", _("When"), kind, width=1.1)

    def _meter(self) -> Column:
        return Column("meter", measures.meter_heading(self.record.vehicle), K.COUNT, width=0.7)

    def _at(self, use_si: int | None) -> Cell:
        return measures.meter(use_si, self.record.vehicle)

    def what_happened(self) -> Table:
        """Inspections, repairs and maintenance with their date and nature, oldest first."""
        rows: list[tuple[Any, list[Cell]]] = []
        for sheet in self.record.inspections:
            what = _("Inspection, %(kind)s") % {"kind": sheet.get_kind_display()}
            rows.append((sheet.occurred_at, [what, self._in_short(sheet), None,
                                             self._at(sheet.use_si), sheet.by.name]))  # fmt: skip
        for job in self.record.jobs:
            for one in job.lines:
                if one.entry is not None:
                    done = vehicle_words.what_was_done(one, self.names)
                    what = vehicle_words.action(one, self.names)
                    at, use_si = one.entry.occurred_at, one.entry.use_si
                    rows.append((at, [what, done, job.ticket.pk, self._at(use_si),
                                      vehicle_words.who_did(one)]))  # fmt: skip
        rows.sort(key=lambda row: row[0])
        columns = [
            self._when(), Column("nature", _("Nature"), width=1.6),
            Column("what", _("What was found or done"), width=3.4),
            Column("ticket", _("Ticket"), K.NUMBER, width=0.6), self._meter(),
            Column("by", _("By"), width=1.0),
        ]  # fmt: skip
        return Table(
            "record", _("Record of inspections, repairs and maintenance"), columns,
            [[at, *cells] for at, cells in rows], _("Nothing is on record in these days."),
        )  # fmt: skip

    def _in_short(self, sheet: Any) -> Marked:
        told = [vehicle_words.found_behind_mark(one, joint=True)
                for one in sheet.findings.all() if one.response != "note"]  # fmt: skip
        rest = len(sheet.findings.all()) - len(told)
        said = ngettext("noted at %(n)d joint", "noted at %(n)d joints", rest) % {"n": rest}
        noted = [Part(said)] if rest else []
        return Marked([*told, *noted])

    def owed(self) -> Table:
        rows: Rows = []
        states = {one.joint.pk: one for one in self.record.joints}
        for row in self.record.owed:
            late = self.record.is_late(row, self.today)
            what = vehicle_words.what_is_owed(row, self.names)
            where = vehicle_words.where(row)
            rows.append([
                what, vehicle_words.joint_behind_mark(where, states.get(row.joint_id or 0)),
                row.started_at, row.due_on,
                self._at(row.due_use_si), Must(_("overdue")) if late else "",
            ])  # fmt: skip
        columns = [
            Column("nature", _("Nature"), width=2), Column("joint", _("Joint"), width=1.6),
            Column("since", _("Owed since"), K.DAY), Column("due_on", _("Due on"), K.DAY),
            Column("due_at", _("Due at meter, %(unit)s") % {"unit": self._unit}, K.COUNT),
            Column("late", _("Late"), width=0.8),
        ]  # fmt: skip
        return Table("owed", _("Due list"), columns, rows, _("Nothing was owed."))

    @property
    def _unit(self) -> str:
        return self.record.vehicle.meter_unit

    def holds(self) -> Table:
        before = self.record.span.cut(self.record.vehicle).before
        rows: Rows = []
        for hold in self.record.holds:
            lifted = vehicle_words.lifted(hold, before)
            rows.append([
                hold.placed_at, str(capfirst(hold.get_reason_display())),
                Marked([vehicle_words.held_because(hold)]), hold.placed_by.name,
                lifted or Must(_("still held")),
            ])  # fmt: skip
        columns = [
            Column("when", _("Held since"), K.MOMENT), Column("nature", _("Nature")),
            Column("why", _("Why"), width=2), Column("by", _("Placed by")),
            Column("lifted", _("Lifted"), width=2),
        ]  # fmt: skip
        return Table("holds", _("Holds and second checks"), columns, rows, _("No hold."))

    def joints(self) -> Table:
        """Every joint with the state that its facts say."""
        rows: Rows = []
        for one in self.record.joints:
            pull, part, state = one.state.last_torque, one.state.part, one.state
            rows.append([
                one.joint.name, vehicle_words.state_then(one), state.last_look_at,
                pull.typed if pull else "",
                pull.occurred_at if pull else None,
                f"{part.number} {part.lot}".strip() if part else "", state.loosenings,
            ])  # fmt: skip
        columns = [
            Column("joint", _("Joint"), width=1.8), Column("state", _("State"), width=1.6),
            Column("looked", _("Last look"), K.DAY), Column("torque", _("Last torque")),
            Column("torqued", _("Torqued on"), K.DAY),
            Column("part", _("Part in place, number and lot"), width=1.3),
            Column("loose", _("Times found loose"), K.COUNT, width=0.7),
        ]  # fmt: skip
        return Table("joints", _("Joints"), columns, rows, _("No joint is on file."))

    def findings(self) -> Table:
        rows: Rows = [
            [sheet.occurred_at, str(sheet.get_kind_display()), one.joint.name,
             Marked([vehicle_words.found_behind_mark(one)]),
             self.names.methods.get(one.method, one.method), vehicle_words.judged(one),
             str(one.get_response_display()), self._at(one.use_si), sheet.by.name]
            for sheet in self.record.inspections
            for one in sheet.findings.all()
        ]  # fmt: skip
        columns = [
            self._when(), Column("kind", _("Kind")), Column("joint", _("Joint"), width=1.6),
            Column("found", _("Found"), width=1.3), Column("method", _("Method")),
            Column("judged", _("Judged against"), width=1.6), Column("response", _("Response")),
            self._meter(), Column("by", _("By")),
        ]  # fmt: skip
        return Table("findings", _("Findings"), columns, rows, _("No finding."))

    def repairs(self) -> Table:
        rows: Rows = [
            [one.entry.occurred_at if one.entry else None, job.ticket.pk,
             vehicle_words.action(one, self.names),
             vehicle_words.what_was_done(one, self.names), vehicle_words.who_did(one),
             vehicle_words.how_it_ended(job)]
            for job in self.record.jobs
            for one in job.lines
        ]  # fmt: skip
        columns = [
            self._when(), Column("ticket", _("Ticket"), K.NUMBER, width=0.6),
            Column("action", _("Action and joint"), width=1.6),
            Column("done", _("As recorded"), width=4), Column("by", _("By")),
            Column("ended", _("Ticket stands"), width=1.4),
        ]  # fmt: skip
        return Table("repairs", _("Repairs, line by line"), columns, rows, _("No repair."))

    def torques(self) -> Table:
        unit, units = measures.torque_unit(self.units), self.units
        rows: Rows = [
            [pull.occurred_at, pull.joint.name, pull.typed, measures.torque(pull.torque_nm, units),
             vehicle_words.against(pull),
             Must(str(pull.get_band_display())) if pull.band in ("below", "above")
             else str(pull.get_band_display()),
             self._tool(pull), _turned(pull), pull.by.name]
            for pull in self.record.torques
        ]  # fmt: skip
        columns = [
            self._when(), Column("joint", _("Joint"), width=1.5),
            Column("said", _("The wrench said")),
            Column("torque", _("At the fastener, %(unit)s") % {"unit": unit}, K.FIGURE, 1, 0.8),
            Column("spec", _("Figure on file, and where it stands"), width=2),
            Column("band", _("Judged")), Column("tool", _("Tool")),
            Column("turned", _("Turned"), width=0.7), Column("by", _("By")),
        ]  # fmt: skip
        return Table("torques", _("Torque readings"), columns, rows, _("No torque reading."))

    def _tool(self, pull: Any) -> Cell:
        if pull.tool_in_date:
            return str(pull.tool.code)
        return Must(_("%(tool)s, out of date") % {"tool": pull.tool.code})

    def toes(self) -> Table:
        unit = measures.length_unit(self.units)
        rows: Rows = [
            [row.occurred_at, _("as left") if row.as_left else _("as found"), row.rear_typed,
             row.front_typed, measures.length(row.toe_m, self.units), row.by.name]
            for row in self.record.toes
        ]  # fmt: skip
        columns = [
            self._when(), Column("which", _("As found or left")),
            Column("rear", _("Behind, as read")), Column("front", _("In front, as read")),
            Column("toe", _("Toe-in, %(unit)s") % {"unit": unit}, K.FIGURE,
                   measures.small_places(self.units)),
            Column("by", _("By")),
        ]  # fmt: skip
        return Table("toe", _("Toe readings"), columns, rows, _("No toe reading."))

    def parts(self) -> Table:
        rows: Rows = [
            [row.occurred_at, row.joint.name, _("fitted") if row.fitted else _("taken off"),
             row.number, row.lot, self._at(row.use_si), row.by.name]
            for row in self.record.parts
        ]  # fmt: skip
        rows += [
            [row.occurred_at, row.joint.name, str(row.get_fitted_display()), row.reason, "",
             self._at(row.use_si), row.by.name]
            for row in self.record.fittings
        ]  # fmt: skip
        rows.sort(key=itemgetter(0))
        columns = [
            self._when(), Column("joint", _("Joint"), width=1.6), Column("what", _("What")),
            Column("number", _("Part number, or why"), width=1.3), Column("lot", _("Lot")),
            self._meter(), Column("by", _("By")),
        ]  # fmt: skip
        return Table("parts", _("Parts fitted and taken off"), columns, rows, _("No part."))

    def complaints(self) -> Table:
        rows: Rows = [
            [row.occurred_at, str(capfirst(row.get_kind_display())), row.text, row.speed_typed,
             Must(_("held the vehicle")) if row.held else "", self._at(row.use_si), row.by.name]
            for row in self.record.complaints
        ]  # fmt: skip
        columns = [
            self._when(), Column("kind", _("Complaint"), width=1.4),
            Column("text", _("In the driver's words"), width=2.4),
            Column("speed", _("At what speed")), Column("held", _("Held")), self._meter(),
            Column("by", _("By")),
        ]  # fmt: skip
        return Table("complaints", _("Complaints"), columns, rows, _("No complaint."))

    def corrections(self) -> Table:
        rows: Rows = [[one.at, *self._correction(one), one.who] for one in self.record.corrections]
        columns = [
            self._when(), Column("what", _("What"), width=1.6),
            Column("before", _("Recorded before"), width=2.4),
            Column("after", _("What stands in its place"), width=2.4), Column("by", _("By")),
        ]  # fmt: skip
        return Table(
            "corrections", _("Corrections"), columns, rows, _("Nothing was corrected."),
            [_("What was recorded before stays on file; a correction is a new entry.")],
        )  # fmt: skip

    def _correction(self, one: Any) -> list[Cell]:
        if one.kind == "withdrawn":
            old = one.row.withdraws
            return [_("Meter reading withdrawn"), f"{old.typed} {old.unit}", one.row.reason]
        line = LineThen(one.row.line, one.row, False)
        before = LineThen(one.row.line, one.row.replaces, False)
        said = vehicle_words.what_was_done
        return [vehicle_words.action(line, self.names), said(before, self.names),
                said(line, self.names)]  # fmt: skip


def _turned(pull: Any) -> str:
    if not pull.turned:
        return _("no")
    return measures.degrees(pull.degrees) or _("yes")
