"""One vehicle as a tablet carries it: holds, joints, what is owed, what a driver felt."""

from datetime import date, datetime
from typing import Any

from fleet.calc.limits import Limit
from fleet.operations import judge, looks, sheet_choices
from fleet.operations.carried.drawings import Drawings
from fleet.operations.carried.vehicles import Yardful
from fleet.reads.joints import JointRow, joint_rows
from fleet.reads.triage import LookStep
from fleet.records.base import in_every_language
from fleet.records.models import Complaint, Hold, Recheck, TorqueSpec, Vehicle

Facts = dict[str, Any]


def vehicle_facts(
    yardful: Yardful, vehicle: Vehicle, drawings: Drawings, tickets: list[Facts]
) -> Facts:
    joints = yardful.joints.get(vehicle.pk, [])
    drawing = drawings.key_for(vehicle, joints)
    rows = joint_rows(joints, vehicle, yardful.now)
    reading = vehicle.use.last_reading if hasattr(vehicle, "use") else None
    return {
        "id": vehicle.pk, "unit": vehicle.unit_number, "status": vehicle.status,
        "words": f"{vehicle.model_year or ''} {vehicle.design.name}".strip(),
        "meter_unit": vehicle.meter_unit, "steering_side": vehicle.steering_side,
        "meter": {"typed": reading.typed, "at": moment(reading.occurred_at)} if reading else None,
        "linkage": vehicle.design.linkage.code, "has_plough": vehicle.duty == "plough",
        "wheel_m": vehicle.wheel_diameter_m, "toe": _toe(vehicle),
        "angles": _angles(vehicle), "drawing": drawing,
        "holds": [_hold(hold) for hold in yardful.holds.get(vehicle.pk, [])],
        "joints": [_joint(yardful, vehicle, row, drawings.corner(drawing, row.joint))
                   for row in rows],
        "due": [_due(recheck) for recheck in yardful.due.get(vehicle.pk, [])],
        "complaints": [_complaint(one, yardful.orders.get(one.pk, []))
                       for one in yardful.complaints.get(vehicle.pk, [])],
        "tickets": tickets,
    }  # fmt: skip


def moment(at: datetime | None) -> str | None:
    return at.isoformat() if at else None


def day(on: date | None) -> str | None:
    return on.isoformat() if on else None


def _toe(vehicle: Vehicle) -> Facts | None:
    design = vehicle.design
    if design.toe_low_m is None or design.toe_high_m is None:
        return None
    return {"low_m": design.toe_low_m, "high_m": design.toe_high_m, "typed": design.toe_typed,
            "source": design.toe_source}  # fmt: skip


def _angles(vehicle: Vehicle) -> Facts:
    """What the rack's figures are held against, in degrees; sides are alike."""
    design = vehicle.design
    found = {
        "caster": (design.caster_low_degrees, design.caster_high_degrees),
        "camber": (design.camber_low_degrees, design.camber_high_degrees),
    }
    return {
        name: {"low": low, "high": high} for name, (low, high) in found.items()
        if low is not None and high is not None
    }  # fmt: skip


def _hold(hold: Hold) -> Facts:
    return {
        "id": hold.pk, "reason": hold.reason, "words": hold.said or hold.text,
        "joint": hold.joint_id, "ticket": hold.ticket_id, "placed_at": moment(hold.placed_at),
        "by": hold.placed_by_id, "out_until": moment(hold.out_until),
        "code": hold.finding.code if hold.finding else "",
    }  # fmt: skip


def _joint(yardful: Yardful, vehicle: Vehicle, row: JointRow, corner: str) -> Facts:
    joint, kind = row.joint, row.joint.kind
    spec = yardful.specs.get(vehicle.design_id, {}).get(kind.pk)
    last = row.state.last_finding if row.state else None
    limit = judge.limit_for(vehicle, kind.limit, yardful.regime)
    return {
        "id": joint.pk, "kind": kind.code, "side": joint.side, "order": joint.order,
        "corner": corner, "fitted": joint.fitted, "holds": kind.holds, "response": kind.response,
        "mark": row.mark, "share": row.share, "due_on": day(row.due_on),
        "last": {"code": last.code, "at": moment(last.occurred_at)} if last else None,
        "moved_before": joint.pk in yardful.moved, "moved_twice": joint.pk in yardful.moved_twice,
        "never_retorqued": looks.never_retorqued(kind, spec),
        "codes": [code.value for code in sheet_choices.codes_of(joint, spec)],
        "methods": sheet_choices.methods_of(kind),
        "spec": _spec(spec), "limit": _limit(limit),
    }  # fmt: skip


def _spec(spec: TorqueSpec | None) -> Facts | None:
    if spec is None:
        return None
    return {
        "typed": spec.typed, "low_nm": spec.low_nm, "high_nm": spec.high_nm,
        "angle": spec.angle_degrees, "sequence": spec.sequence, "source": spec.source,
        "thread_condition": spec.thread_condition, "new_fastener": spec.new_fastener,
        "origin": spec.origin,
    }  # fmt: skip


def _limit(limit: Limit | None) -> Facts | None:
    if limit is None:
        return None
    return {"value_m": limit.value, "as_printed": limit.as_printed, "unit": limit.unit,
            "citation": limit.citation}  # fmt: skip


def _due(recheck: Recheck) -> Facts:
    return {
        "id": recheck.pk, "joint": recheck.joint_id, "kind": recheck.kind,
        "words": in_every_language(recheck.get_kind_display), "falls_on": day(recheck.falls_on),
        "due_on": day(recheck.due_on), "due_use_si": recheck.due_use_si, "state": recheck.state,
        "methods": recheck.methods, "road_test": recheck.road_test,
        "not_before": moment(recheck.not_before),
    }  # fmt: skip


def _complaint(complaint: Complaint, order: list[LookStep]) -> Facts:
    return {
        "id": complaint.pk, "kind": complaint.kind, "at": moment(complaint.occurred_at),
        "words": in_every_language(complaint.get_kind_display), "typed": complaint.text,
        "order": [
            {"suspect": step.key, "joints": [joint.pk for joint in step.joints],
             "found": step.found}
            for step in order
        ],
    }  # fmt: skip
