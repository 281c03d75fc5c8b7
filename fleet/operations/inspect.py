"""Recording an inspection: the sheet, its findings, and what each calls for."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.utils.translation import gettext as _

from fleet.operations import holds, looks, meters, respond, settle, state, use
from fleet.operations.actor import Actor
from fleet.operations.errors import Problem, Refused, refuse
from fleet.operations.looks import Frame, Look, Seen
from fleet.operations.once import Request
from fleet.operations.words import too_long
from fleet.operations.work import Done, Work, run
from fleet.reads.rules import rules
from fleet.records.base import new_uid
from fleet.records.models import (
    Complaint,
    Finding,
    FindingCode,
    Inspection,
    InspectionKind,
    JointFitting,
    Person,
    TorqueReading,
    TorqueTool,
    Vehicle,
)


@dataclass(frozen=True)
class Sheet:
    """One whole inspection sheet, as typed."""

    vehicle_id: int
    kind: str
    looks: tuple[Look, ...]
    occurred_at: datetime | None = None
    complaint_id: int | None = None
    second_person_id: int | None = None
    at_wheel: str = ""
    on_wheels: bool | None = None
    engine_on: bool | None = None
    ride_height: bool | None = None
    plough_on: bool | None = None
    meter: str = ""
    note: str = ""
    uid: UUID | None = None


def record_inspection(
    actor: Actor, sheet: Sheet, *, at: datetime, request: Request | None = None
) -> Done[Inspection]:
    """Store a sheet whole, or refuse it whole with every problem named."""
    actor.need("inspect")
    return run("record_inspection", actor, at, lambda work: _apply(work, sheet), request)


def _apply(work: Work, sheet: Sheet) -> Inspection:
    vehicle = work.lock(sheet.vehicle_id)
    holds.refuse_out_of_fleet(vehicle)
    seen = _read(work, vehicle, sheet, work.moment(sheet.occurred_at))
    inspection = _store_sheet(work, vehicle, sheet)
    findings = respond.store_findings(work, vehicle, inspection, seen)
    _store_torques(work, findings)
    # What was owed is paid first; then what was found may make new debts.
    settle.settle(work, vehicle, inspection, findings)
    respond.respond(work, vehicle, inspection, findings)
    state.refresh([one.joint.pk for one in seen])
    work.trail(
        "record_inspection", inspection, vehicle=vehicle,
        after={"kind": inspection.kind, "findings": len(findings)}, tell=("patterns",),
    )  # fmt: skip
    return inspection


def _read(work: Work, vehicle: Vehicle, sheet: Sheet, when: datetime) -> list[Seen]:
    if sheet.kind not in InspectionKind.values:
        raise refuse("kind_unknown", _("Choose the kind of inspection."), field="kind")
    if not sheet.looks:
        raise refuse("no_findings", _("Record at least one joint."), field="findings")
    frame = frame_for(work.actor.person, vehicle, sheet.looks, when)
    seen, problems = looks.read(sheet.looks, frame)
    problems += _sheet_problems(work, vehicle, sheet)
    if problems:
        raise Refused(tuple(problems))
    return seen


def frame_for(person: Person, vehicle: Vehicle, said: tuple[Look, ...], when: datetime) -> Frame:
    """What reading these looks needs; six queries."""
    joints = {joint.pk: joint for joint in vehicle.joints.select_related("kind")}
    wanted = {look.tool_id for look in said if look.tool_id}
    tools = TorqueTool.visible_to(person).select_related("yard").in_bulk(wanted)
    return Frame(
        when,
        joints,
        looks.target_specs(vehicle),
        tools,
        rules("finding"),
        rules("method"),
        _fitted_at(vehicle, when),
    )


def _fitted_at(vehicle: Vehicle, when: datetime) -> dict[int, str]:
    """Joints that were ever apart or not fitted, as they were then: a sheet may come late."""
    rows = JointFitting.objects.filter(joint__vehicle=vehicle, occurred_at__lte=when)
    return dict(rows.order_by("occurred_at", "id").values_list("joint_id", "fitted"))


def _sheet_problems(work: Work, vehicle: Vehicle, sheet: Sheet) -> list[Problem]:
    person = work.actor.person
    problems = [*too_long(Inspection, {"at_wheel": sheet.at_wheel}), *_stance(work, sheet)]
    if (
        sheet.second_person_id
        and not Person.visible_to(person).filter(pk=sheet.second_person_id).exists()
    ):
        message = _("No such person in your yards.")
        problems.append(Problem("person_unknown", message, field="second_person"))
    if (
        sheet.complaint_id
        and not Complaint.objects.filter(pk=sheet.complaint_id, vehicle=vehicle).exists()
    ):
        message = _("This complaint is not about this vehicle.")
        problems.append(Problem("complaint_unknown", message, field="complaint"))
    return problems


def _stance(work: Work, sheet: Sheet) -> list[Problem]:
    """Who was there and how the vehicle stood: what keeps hands and feet whole."""
    problems = []
    by_dry_steer = any(look.method == "dry_steer" for look in sheet.looks)
    another = sheet.second_person_id if sheet.second_person_id != work.actor.person.pk else None
    if by_dry_steer and not (sheet.at_wheel.strip() or another):
        message = _("A dry steer takes two: say who held the wheel.")
        problems.append(Problem("at_wheel_missing", message, field="at_wheel"))
    if by_dry_steer and sheet.on_wheels is False:
        message = _("A dry steer is made on the floor, on its wheels.")
        problems.append(Problem("not_on_wheels", message, field="on_wheels"))
    if sheet.on_wheels is False and sheet.engine_on:
        message = _("Raised looks are made with the engine off, on stands.")
        problems.append(Problem("engine_on_raised", message, field="engine_on"))
    return problems


def _store_sheet(work: Work, vehicle: Vehicle, sheet: Sheet) -> Inspection:
    reading = None
    if sheet.meter.strip():
        typed = meters.Reading(vehicle.pk, sheet.meter, occurred_at=sheet.occurred_at)
        reading = meters._apply(work, vehicle, typed)
    return Inspection.objects.create(
        **work.fact(sheet.occurred_at, sheet.uid), vehicle=vehicle, kind=sheet.kind,
        complaint_id=sheet.complaint_id, second_person_id=sheet.second_person_id,
        at_wheel=sheet.at_wheel.strip(), on_wheels=sheet.on_wheels, engine_on=sheet.engine_on,
        ride_height=sheet.ride_height, plough_on=sheet.plough_on, reading=reading,
        use_si=reading.use_si if reading else use.use_now(vehicle), note=sheet.note.strip(),
    )  # fmt: skip


def _store_torques(work: Work, findings: list[tuple[Finding, Seen]]) -> None:
    """The wrench's evidence beside each finding made with it."""
    TorqueReading.objects.bulk_create(
        TorqueReading(
            **_shared(finding), joint=seen.joint, finding=finding, tool=seen.tool,
            tool_in_date=seen.tool_in_date, spec=seen.spec, typed=seen.look.torque,
            extension_typed=seen.look.extension.strip(), extension_m=seen.extension_m,
            torque_nm=seen.torque_nm or 0, band=looks.band(seen.torque_nm or 0, seen.spec),
            thread_condition=seen.look.thread_condition,
            turned=finding.code == FindingCode.MOVED, degrees=seen.degrees,
            use_si=finding.use_si,
        )
        for finding, seen in findings
        if seen.by_wrench and seen.tool is not None and seen.torque_nm
    )  # fmt: skip


def _shared(finding: Finding) -> dict[str, Any]:
    return {
        "uid": new_uid(),
        "occurred_at": finding.occurred_at,
        "received_at": finding.received_at,
        "tablet": finding.tablet,
        "by": finding.by,
    }
