"""Records for tests: rows as they would stand, made directly and quickly.

Each function makes one noun with sensible values and takes whatever a test cares about.
What must go through a rule (closing, lifting, judging) is made by its operation instead.
"""

import itertools
from datetime import UTC, date, datetime, timedelta
from typing import Any

from fleet.calc.units import use_si
from fleet.records.base import new_uid
from fleet.records.models import (
    Complaint,
    Design,
    Finding,
    Hold,
    Inspection,
    Joint,
    JointKind,
    JointState,
    Layout,
    LayoutJoint,
    LineEntry,
    MeterReading,
    PartChange,
    Pattern,
    Person,
    Recheck,
    Rule,
    SelfCheckLeave,
    Ticket,
    TicketLine,
    ToeReading,
    ToolUse,
    TorqueReading,
    TorqueSpec,
    TorqueTool,
    TrailEntry,
    Vehicle,
    VehicleUse,
    Yard,
    YardMove,
)

# A Wednesday noon in Denver, in winter time.
NOW = datetime(2026, 11, 25, 19, 0, tzinfo=UTC)
_numbers = itertools.count(1)

# Code, group, holds, sided, held by.
KINDS = [
    ("track_bar_frame_end", "track_bar", "Track bar, frame end", True, False, "bolt"),
    ("track_bar_axle_end", "track_bar", "Track bar, axle end", True, False, "bolt"),
    ("tie_rod_end", "tie_rod", "Tie rod end", True, True, "slotted_stud"),
    ("ball_joint_upper", "knuckles", "Ball joint, upper", True, True, "pressed"),
    ("damper_frame_end", "damper", "Damper, frame end", False, False, "bolt"),
]


def yard(name: str = "Alder", **extra: Any) -> Yard:
    values = {"slug": name.lower().replace(" ", "-"), "time_zone": "America/Denver",
              "on_call_number": "555-0100", "working_days": [0, 1, 2, 3, 4]}  # fmt: skip
    return Yard.objects.create(name=name, **{**values, **extra})


def kinds() -> list[JointKind]:
    """The joint kinds of the small layout; made once, found again later."""
    return [
        JointKind.objects.get_or_create(
            code=code,
            defaults={"group": group, "names": {"en": name, "es": name}, "holds": holds,
                      "sided": sided, "held_by": held_by, "response": "track_bar_end",
                      "moved_methods": ["wrench"], "play_methods": ["dry_steer"]},
        )[0]
        for code, group, name, holds, sided, held_by in KINDS
    ]  # fmt: skip


def design(name: str = "Foothill 3/4", **extra: Any) -> Design:
    """A design whose axle layout holds every joint; its other layouts hold none."""
    found = Design.objects.filter(name=name).first()
    if found:
        return found
    axle, linkage, knuckle, hub = (
        Layout.objects.get_or_create(
            code=f"test_{axis}", defaults={"axis": axis, "names": {"en": f"Test {axis}"}}
        )[0]
        for axis in ("axle", "linkage", "knuckle", "hub")
    )
    for order, kind in enumerate(kinds(), start=1):
        for side in ("left", "right") if kind.sided else ("",):
            LayoutJoint.objects.get_or_create(
                layout=axle, kind=kind, side=side, defaults={"order": order * 10}
            )
    values = {"make": "Foothill", "axle": axle, "linkage": linkage, "knuckle": knuckle, "hub": hub,
              "toe_low_m": 0.0, "toe_high_m": 0.003175, "toe_typed": "0 to 1/8 in",
              "toe_source": "Foothill service manual, invented"}  # fmt: skip
    return Design.objects.create(name=name, **{**values, **extra})


def vehicle(at: Yard, unit_number: str = "", **extra: Any) -> Vehicle:
    """A vehicle with every joint of its design, never looked at, its meter never read."""
    number = unit_number or f"U-{next(_numbers):03d}"
    values = {"design": extra.pop("design", None) or design(), "duty": "gravel",
              "meter_unit": "mi", "yard": at}  # fmt: skip
    made = Vehicle.objects.create(unit_number=number, **{**values, **extra})
    places = LayoutJoint.objects.filter(layout=made.design.axle).select_related("kind")
    rows = Joint.objects.bulk_create(
        Joint(vehicle=made, place=p, kind=p.kind, side=p.side, order=p.order) for p in places
    )
    JointState.objects.bulk_create(JointState(joint=row) for row in rows)
    return made


def joint(of: Vehicle, kind: str = "track_bar_frame_end", side: str = "") -> Joint:
    return Joint.objects.get(vehicle=of, kind__code=kind, side=side)


def meter(of: Vehicle, value: float, by: Person, at: datetime = NOW, **extra: Any) -> MeterReading:
    """A reading, and the state of the meter after it at 40 miles a day."""
    use = use_si(value, of.meter_unit)
    row = MeterReading.objects.create(
        vehicle=of, value=value, typed=f"{value:g}", unit=of.meter_unit, use_si=use, by=by,
        occurred_at=at, **extra,
    )  # fmt: skip
    rate = 40 * 1609.344 if of.meter_unit != "h" else 4 * 3600
    VehicleUse.objects.update_or_create(
        vehicle=of,
        defaults={"last_reading": row, "last_at": at, "last_use_si": use, "rate_low": rate * 0.8,
                  "rate_likely": rate, "rate_high": rate * 1.2},
    )  # fmt: skip
    return row


def inspection(of: Vehicle, by: Person, at: datetime = NOW, **extra: Any) -> Inspection:
    return Inspection.objects.create(
        vehicle=of, by=by, occurred_at=at, **{"kind": "routine", **extra}
    )


def finding(on: Joint, by: Person, code: str = "play", at: datetime = NOW, **extra: Any) -> Finding:
    """A finding with an inspection of its own unless one is given; the joint's state follows."""
    look = extra.pop("inspection", None) or inspection(on.vehicle, by, at)
    method = "wrench" if code in ("tight", "moved") else "dry_steer"
    values = {"method": method, "response": "note", "why": look.kind, "occurred_at": at}
    row = Finding.objects.create(
        inspection=look, joint=on, code=code, by=by, **{**values, **extra}
    )  # fmt: skip
    marks = {"tight": "tight", "no_play": "no_play", "moved": "moved", "play": "play"}
    state(on, mark=marks.get(code, "bad"), last_finding=row, last_look_at=at)
    return row


def state(of: Joint, **values: Any) -> JointState:
    return JointState.objects.update_or_create(joint=of, defaults=values)[0]


def tool(at: Yard, code: str = "", good_until: date | None = None, **extra: Any) -> TorqueTool:
    return TorqueTool.objects.create(
        code=code or f"T-{next(_numbers)}", yard=at,
        good_until=good_until or NOW.date() + timedelta(days=200),
        **{"name": "half-inch wrench", "kind": "set", "low_nm": 40, "high_nm": 340, **extra},
    )  # fmt: skip


def tool_use(of: TorqueTool, by: Person, at: datetime = NOW, **extra: Any) -> ToolUse:
    return ToolUse.objects.create(tool=of, by=by, occurred_at=at, **{"uses": 40, **extra})


def spec(by: Person, kind: str = "track_bar_frame_end", **extra: Any) -> TorqueSpec:
    values = {"design": extra.pop("design", None) or design(), "origin": "factory",
              "is_target": True, "typed": "125 lbf·ft", "low_nm": 155.0, "high_nm": 184.0,
              "thread_condition": "dry", "thread": "M14 × 2", "strength_class": "10.9",
              "source": "Foothill service manual, invented", "since": NOW}  # fmt: skip
    kinds()
    return TorqueSpec.objects.create(
        kind=JointKind.objects.get(code=kind), set_by=by, **{**values, **extra}
    )


def torque(
    on: Joint, by: Person, with_tool: TorqueTool, found: Finding | None = None, **extra: Any
) -> TorqueReading:
    """A wrench at its figure, on a finding of its own unless one is given."""
    at = extra.pop("at", NOW)
    origin = {} if "line_entry" in extra else {"finding": found or finding(on, by, "tight", at)}
    values = {"typed": "125 lbf·ft", "torque_nm": 169.48, "band": "inside", "turned": False,
              "tool_in_date": True, "thread_condition": "dry", "occurred_at": at}  # fmt: skip
    row = TorqueReading.objects.create(
        joint=on, tool=with_tool, by=by, **{**values, **origin, **extra}
    )
    state(on, last_torque=row)
    return row


def part(on: Joint, by: Person, at: datetime = NOW, **extra: Any) -> PartChange:
    row = PartChange.objects.create(joint=on, by=by, occurred_at=at, **extra)
    state(on, part=row)
    return row


def complaint(of: Vehicle, by: Person, at: datetime = NOW, **extra: Any) -> Complaint:
    return Complaint.objects.create(
        vehicle=of, by=by, occurred_at=at, **{"kind": "axle_oscillation", **extra}
    )


def ticket(of: Vehicle, by: Person, at: datetime = NOW, **extra: Any) -> Ticket:
    return Ticket.objects.create(
        vehicle=of, opened_by=by, opened_at=at, **{"title": "Track bar loose", **extra}
    )


def line(of: Ticket, on: Joint | None = None, **extra: Any) -> TicketLine:
    values = {"action": "retorque", "position": of.lines.count() + 1}
    return TicketLine.objects.create(ticket=of, joint=on, **{**values, **extra})


def entry(of: TicketLine, by: Person, data: dict[str, Any], at: datetime = NOW) -> LineEntry:
    row = LineEntry.objects.create(line=of, by=by, occurred_at=at, data=data)
    of.entry, of.state = row, TicketLine.State.COMPLETE
    of.save()
    return row


def hold(of: Vehicle, by: Person, at: datetime = NOW, **extra: Any) -> Hold:
    values = {"reason": "finding", "text": "Play at the track bar, frame end"}
    return Hold.objects.create(vehicle=of, placed_by=by, placed_at=at, **{**values, **extra})


def yard_move(of: Vehicle, by: Person, at: datetime = NOW, **extra: Any) -> YardMove:
    """Leave to move it to the yard, standing for two hours."""
    values = {"route": "County road 7", "speed_typed": "20 mph", "speed_m_s": 8.9408,
              "until": at + timedelta(hours=2), "after_oscillation": False}  # fmt: skip
    return YardMove.objects.create(vehicle=of, by=by, occurred_at=at, **{**values, **extra})


def leave(of: Ticket, to: Person, by: Person, at: datetime = NOW, **extra: Any) -> SelfCheckLeave:
    values = {"reason": "Alone at the yard", "until": at + timedelta(hours=24)}
    return SelfCheckLeave.objects.create(
        ticket=of, technician=to, by=by, occurred_at=at, **{**values, **extra}
    )


def recheck(of: Vehicle, on: Joint | None = None, due_in: int = 5, **extra: Any) -> Recheck:
    """Owed since two days before NOW, due so many days after it."""
    due_on = NOW.date() + timedelta(days=due_in)
    values = {"kind": "retorque", "ladder": "track_bar", "started_at": NOW - timedelta(days=2),
              "due_on": due_on, "falls_on": due_on}  # fmt: skip
    row = Recheck.objects.create(vehicle=of, joint=on, **{**values, **extra})
    if on is not None:
        state(on, due_recheck=row, interval_from=row.started_at, interval_to_on=row.due_on,
              interval_from_use_si=row.start_use_si, interval_to_use_si=row.due_use_si)  # fmt: skip
    return row


def toe(of: Vehicle, by: Person, at: datetime = NOW, **extra: Any) -> ToeReading:
    values = {"as_left": True, "rear_typed": "46 5/16 in", "front_typed": "46 1/4 in",
              "rear_m": 1.1763375, "front_m": 1.17475, "toe_m": 0.0015875}  # fmt: skip
    return ToeReading.objects.create(vehicle=of, by=by, occurred_at=at, **{**values, **extra})


def pattern(on: Joint, findings: list[Finding], **extra: Any) -> Pattern:
    values = {"kind": "repeat_loosening", "key": f"joint:{on.pk}", "yard": on.vehicle.yard,
              "vehicle": on.vehicle, "evidence": {"findings": [row.pk for row in findings]},
              "statistic": {"count": len(findings), "window_days": 365},
              "next_look": ["hole", "bolt", "sleeve", "bracket", "tool"],
              "opened_at": NOW, "last_evidence_at": NOW}  # fmt: skip
    return Pattern.objects.create(joint=on, **{**values, **extra})


def trail(by: Person, of: Vehicle, verb: str = "place_hold", **extra: Any) -> TrailEntry:
    values = {"gesture": extra.pop("gesture", None) or new_uid(), "at": NOW, "door": "web",
              "subject": "hold", "subject_id": 1}  # fmt: skip
    return TrailEntry.objects.create(
        actor_id=by.pk, verb=verb, vehicle_id=of.pk, yard_id=of.yard_id, **{**values, **extra}
    )


def rule(kind: str, key: str, data: Any, by: Person) -> Rule:
    return Rule.objects.create(kind=kind, key=key, data=data, since=NOW, set_by=by)
