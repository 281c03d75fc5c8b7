"""A truck's life told by its trail, lived again through the operations on a truck of its like."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from fleet.operations import (
    close_out,
    complain,
    holds,
    inspect,
    meters,
    recheck_drive,
    rechecks,
    repair,
    use,
)
from fleet.operations.actor import Actor
from fleet.operations.looks import Look
from fleet.operations.vehicles import make_joints
from fleet.operations.work import Work
from fleet.reads.rules import rules
from fleet.records.models import (
    Complaint,
    Finding,
    Hold,
    Inspection,
    Joint,
    LineEntry,
    MeterReading,
    Person,
    Recheck,
    RecheckDrive,
    RoadRelease,
    RoadTest,
    SecondCheck,
    Ticket,
    TicketLine,
    TorqueReading,
    TrailEntry,
    Vehicle,
)


def lived(row: Finding, joint_id: int | None = None) -> Look:
    """What was typed for a finding."""
    torque = TorqueReading.objects.filter(finding=row).first()
    return Look(
        joint_id or row.joint_id, row.code, row.method,
        degrees="" if row.degrees is None else f"{row.degrees:g}", play=row.play_typed,
        torque=torque.typed if torque else "", tool_id=torque.tool_id if torque else None,
        extension=torque.extension_typed if torque else "",
        thread_condition=torque.thread_condition if torque else "", reason=row.reason,
        note=row.note,
    )  # fmt: skip


@dataclass
class Replay:
    made: Vehicle
    twin: Vehicle
    manager: Actor

    @classmethod
    def of(cls, made: Vehicle, manager: Actor) -> "Replay":
        """A truck of the same design, yard and duty, never looked at."""
        twin = Vehicle.objects.get(pk=made.pk)
        twin.pk, twin.unit_number, twin.vin, twin.version = None, f"{made.unit_number}-B", "", 0
        twin._state.adding = True
        twin.save()
        make_joints(twin)
        return cls(made, twin, manager)

    def run(self) -> "Replay":
        """Do again what its trail says was done, in that order, by the same people."""
        for entry in list(TrailEntry.objects.filter(vehicle_id=self.made.pk).order_by("at", "id")):
            do: Callable[[Actor, TrailEntry], None] | None = getattr(self, f"_{entry.verb}", None)
            if do is not None:
                person = Person.objects.get(pk=entry.actor_id)
                do(Actor(person), entry)
        return self

    def _add_vehicle(self, actor: Actor, entry: TrailEntry) -> None:
        """The first reading, then what every vehicle owes from the start."""
        first = self.made.readings.order_by("occurred_at", "id")[0]
        self._meter(actor, first)
        work = Work(actor, entry.at)
        state = use.work_out([self.twin])[0]
        owed = rechecks.routine_of(work, self.twin, rules("routine"), state)
        Recheck.objects.bulk_create(owed)
        for recheck in owed:
            after = rechecks.said_of(recheck)
            work.trail("make_recheck", recheck, vehicle=self.twin, after=after)

    def _record_meter(self, actor: Actor, entry: TrailEntry) -> None:
        reading = MeterReading.objects.get(pk=entry.subject_id)
        first = self.made.readings.order_by("occurred_at", "id")[0]
        if reading != first and not Inspection.objects.filter(reading=reading).exists():
            self._meter(actor, reading)

    def _meter(self, actor: Actor, reading: MeterReading) -> None:
        new = reading.kind == MeterReading.Kind.NEW_METER
        said = meters.Reading(self.twin.pk, reading.typed, new_meter=new)
        meters.record_meter(actor, said, at=reading.occurred_at)

    def _record_inspection(self, actor: Actor, entry: TrailEntry) -> None:
        sheet = Inspection.objects.get(pk=entry.subject_id)
        twin = self._same(sheet.complaint) if sheet.complaint else None
        found = sheet.findings.order_by("id").select_related("joint")
        inspect.record_inspection(actor, inspect.Sheet(
            self.twin.pk, sheet.kind, tuple(lived(row, self._joint(row.joint)) for row in found),
            complaint_id=twin.pk if twin else None, at_wheel=sheet.at_wheel,
            on_wheels=sheet.on_wheels, engine_on=sheet.engine_on, ride_height=sheet.ride_height,
            meter=sheet.reading.typed if sheet.reading else "",
        ), at=entry.at)  # fmt: skip

    def _report_complaint(self, actor: Actor, entry: TrailEntry) -> None:
        row = Complaint.objects.get(pk=entry.subject_id)
        complain.report_complaint(actor, complain.Report(
            self.twin.pk, row.kind, row.text, row.speed_typed, row.after_bump, row.under_braking,
            row.stopped_only_when_slowed, row.sudden, row.steering_changed,
        ), at=entry.at)  # fmt: skip

    def _open_ticket(self, actor: Actor, entry: TrailEntry) -> None:
        ticket = Ticket.objects.get(pk=entry.subject_id)
        if holds.open_ticket_of(self.twin) is None:
            twin = self._same(ticket.complaint) if ticket.complaint else None
            new = repair.NewTicket(self.twin.pk, ticket.title, twin.pk if twin else None)
            repair.open_ticket(actor, new, at=entry.at)

    def _add_line(self, actor: Actor, entry: TrailEntry) -> None:
        line = TicketLine.objects.get(pk=entry.subject_id)
        if self._line(line) is None:
            joint = self._joint(line.joint) if line.joint else None
            repair.add_line(actor, self._ticket().pk, line.action, joint, at=entry.at)

    def _record_line(self, actor: Actor, entry: TrailEntry) -> None:
        row = LineEntry.objects.get(pk=entry.subject_id)
        line = self._line(row.line)
        assert line is not None, row.line.action
        typed = {name: kept["typed"] for name, kept in row.data.items()}
        repair.record_line(actor, repair.Entry(line.pk, typed), at=entry.at)

    def _drive_recheck(self, actor: Actor, entry: TrailEntry) -> None:
        row = RecheckDrive.objects.get(pk=entry.subject_id)
        owed = self.twin.rechecks.get(ladder=row.recheck.ladder, state__in=Recheck.LIVE)
        drive = recheck_drive.Drive(owed.pk, row.driver, row.place, row.speeds_typed, row.passed)
        recheck_drive.drive_recheck(actor, drive, at=entry.at)

    def _second_check(self, actor: Actor, entry: TrailEntry) -> None:
        row = SecondCheck.objects.get(pk=entry.subject_id)
        sheet = close_out.CheckSheet(row.passed, row.dry_steer, row.note, row.how)
        close_out.second_check(actor, self._ticket().pk, sheet, at=entry.at)

    def _release(self, actor: Actor, entry: TrailEntry) -> None:
        row = RoadRelease.objects.get(pk=entry.subject_id)
        out = close_out.Release(row.driver, row.place)
        close_out.release(actor, self._ticket().pk, out, at=entry.at)

    def _road_test(self, actor: Actor, entry: TrailEntry) -> None:
        row = RoadTest.objects.get(pk=entry.subject_id)
        sheet = close_out.TestSheet(row.passed, row.note, row.top_speed_typed)
        close_out.road_test(actor, self._ticket().pk, sheet, at=entry.at)

    def _close_ticket(self, actor: Actor, entry: TrailEntry) -> None:
        ticket = Ticket.objects.get(pk=entry.subject_id)
        close_out.close_ticket(actor, self._ticket().pk, at=entry.at, outcome=ticket.outcome)

    def _ticket(self) -> Ticket:
        ticket = holds.open_ticket_of(self.twin)
        assert ticket is not None
        return ticket

    def _line(self, line: TicketLine) -> TicketLine | None:
        rows = self._ticket().lines.filter(action=line.action)
        if line.joint is None:
            return rows.filter(joint=None).first()
        return rows.filter(joint=self._joint(line.joint)).first()

    def _joint(self, joint: Joint) -> int:
        return self.twin.joints.get(kind=joint.kind_id, side=joint.side).pk

    def _same(self, complaint: Complaint) -> Complaint:
        return self.twin.complaints.get(occurred_at=complaint.occurred_at)

    def findings(self) -> list[tuple[Any, ...]]:
        return self.findings_of(self.twin)

    @staticmethod
    def findings_of(vehicle: Vehicle) -> list[tuple[Any, ...]]:
        rows = Finding.objects.filter(joint__vehicle=vehicle).order_by(
            "occurred_at", "joint__order"
        )
        return list(rows.values_list(
            "occurred_at", "joint__kind__code", "joint__side", "code", "method", "turned",
            "response", "answer", "use_si", "due_recheck__ladder", "due_on", "due_use_si",
            "spec", "torque__torque_nm", "torque__band", "torque__turned", "torque__tool",
        ))  # fmt: skip

    def rechecks(self) -> list[tuple[Any, ...]]:
        return self.rechecks_of(self.twin)

    @staticmethod
    def rechecks_of(vehicle: Vehicle) -> list[tuple[Any, ...]]:
        """What was owed and when; being marked missed in between is the night's work."""
        columns = (
            "started_at", "kind", "ladder", "rung", "joint__kind__code", "joint__side",
            "start_use_si", "due_on", "due_use_si", "not_before", "not_before_use_si",
            "hold_at_twice", "road_test", "state", "looked_by_finding__code", "driven_by__place",
            "done_at", "drop_reason", "follows__ladder", "made_by_line__action",
            "made_by_finding__code", "falls_on", "use_on",
        )  # fmt: skip
        rows = Recheck.objects.filter(vehicle=vehicle).values_list(*columns)
        live = dict.fromkeys(Recheck.LIVE, "live")
        return sorted((tuple(live.get(value, value) for value in row) for row in rows), key=repr)

    def tickets(self) -> list[tuple[Any, ...]]:
        return self.tickets_of(self.twin)

    @staticmethod
    def tickets_of(vehicle: Vehicle) -> list[tuple[Any, ...]]:
        rows = TicketLine.objects.filter(ticket__vehicle=vehicle)
        return sorted(rows.values_list(
            "ticket__opened_at", "ticket__closed_at", "ticket__state", "action", "state",
            "joint__kind__code", "joint__side", "entry__data", "ticket__complaint__kind",
        ), key=repr)  # fmt: skip

    def holds(self) -> list[tuple[Any, ...]]:
        return self.holds_of(self.twin)

    @staticmethod
    def holds_of(vehicle: Vehicle) -> list[tuple[Any, ...]]:
        rows = Hold.objects.filter(vehicle=vehicle).order_by("placed_at", "joint__order")
        return list(rows.values_list(
            "reason", "text", "placed_at", "lifted_at", "joint__kind__code", "finding__code",
        ))  # fmt: skip
