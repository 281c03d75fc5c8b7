"""The facts that a line's entry proves: torque, toe, and the part put in place."""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _

from fleet.calc.alignment import toe_from_widths
from fleet.operations import extensions, looks, tools
from fleet.operations.errors import Problem
from fleet.operations.words import value
from fleet.operations.work import Work
from fleet.records.models import (
    Joint,
    LineEntry,
    PartChange,
    Person,
    TicketLine,
    ToeReading,
    TorqueReading,
    TorqueSpec,
    TorqueTool,
    Vehicle,
)

# A figure and its tool, by the start of their fields' names.
PULLS = ("", "axle_nut_")
# Where a figure belongs when it is not the line's own joint: by action and start of its name.
ELSEWHERE = {
    ("tyre_or_wheel", ""): "wheel_nuts",
    ("unit_hub", ""): "hub_bolts",
    ("unit_hub", "axle_nut_"): "axle_nut",
}


def prefix_of(line: TicketLine, joint: Joint) -> str:
    """The start of the names of the fields that told of this joint's torque."""
    by_kind = {ELSEWHERE.get((line.action, prefix)): prefix for prefix in PULLS}
    return by_kind.get(joint.kind.code, "")


def spec_of(
    action: str, prefix: str, joint: Joint, specs: Mapping[int, TorqueSpec]
) -> TorqueSpec | None:
    """The figure that a pull of this line is held against: its joint's, or the one beside it."""
    kind = ELSEWHERE.get((action, prefix))
    if kind is None:
        return specs.get(joint.kind_id) if not prefix else None
    return next((spec for spec in specs.values() if spec.kind.code == kind), None)


def tool_problems(data: dict[str, Any], person: Person) -> list[Problem]:
    """A tool that is not on file within the person's yards, or that does not reach the figure."""
    return [problem for prefix in PULLS for problem in _tool_problems(data, person, prefix)]


def _tool_problems(data: dict[str, Any], person: Person, prefix: str) -> list[Problem]:
    named, field = value(data, f"{prefix}tool"), f"{prefix}tool"
    if not named:
        return []
    tool = TorqueTool.visible_to(person).filter(code__iexact=str(named).strip()).first()
    if tool is None:
        message = _("No torque tool “%(code)s” is on file. Type the code on the tool.")
        return [Problem("tool_unknown", message % {"code": str(named)[:20]}, field=field)]
    torque = value(data, f"{prefix}torque")
    found = []
    if torque is not None and not tools.in_range(tool, float(torque)):
        message = _("%(tool)s does not reach this figure.") % {"tool": tool.code}
        found.append(Problem("tool_range", message, field=field))
    extension = value(data, f"{prefix}extension")
    if extension is not None:
        wrong = extensions.problem(tool, float(extension), f"{prefix}extension")
        found += [wrong] if wrong else []
    return found


def store(
    work: Work, vehicle: Vehicle, line: TicketLine, entry: LineEntry
) -> tuple[TorqueReading, ...]:
    """Write the facts of one entry; returns its torque readings."""
    if line.action == "set_toe":
        _store_toe(work, vehicle, entry)
    if line.joint is None:
        return ()
    if value(entry.data, "part_number"):
        _store_part(work, line.joint, entry)
    readings = [
        _store_torque(work, vehicle, _joint_of(vehicle, line, line.joint, prefix), entry, prefix)
        for prefix in PULLS
    ]
    return tuple(reading for reading in readings if reading is not None)


def _joint_of(vehicle: Vehicle, line: TicketLine, own: Joint, prefix: str) -> Joint:
    """The joint whose fastener was pulled: the line's own, or one beside it on the same side."""
    kind = ELSEWHERE.get((line.action, prefix))
    if kind is None or kind == own.kind.code:
        return own
    beside = vehicle.joints.select_related("kind").filter(kind__code=kind, side=own.side).first()
    return beside or own


def _store_torque(
    work: Work, vehicle: Vehicle, joint: Joint, entry: LineEntry, prefix: str
) -> TorqueReading | None:
    said, code = value(entry.data, f"{prefix}torque"), value(entry.data, f"{prefix}tool")
    if said is None or not code:
        return None
    tool = TorqueTool.objects.select_related("yard").get(code__iexact=str(code).strip())
    spec = looks.target_specs(vehicle).get(joint.kind_id)
    assembled = entry.line.action != "retorque"
    extension_m = value(entry.data, f"{prefix}extension")
    torque = extensions.at_fastener(tool, said, extension_m)
    return TorqueReading.objects.create(
        **work.fact(entry.occurred_at), joint=joint, line_entry=entry, tool=tool,
        tool_in_date=tools.doubt(tool, entry.occurred_at, said) is None, spec=spec,
        typed=entry.data[f"{prefix}torque"]["typed"], torque_nm=torque, extension_m=extension_m,
        extension_typed=entry.data.get(f"{prefix}extension", {}).get("typed", ""),
        band=looks.band(torque, spec),
        thread_condition=_threads(entry, prefix),
        turned=assembled or value(entry.data, "turned") == "yes", assembled=assembled,
        degrees=value(entry.data, "degrees"), use_si=entry.use_si,
        new_fastener=_yes_no(value(entry.data, f"{prefix}new_fastener")),
    )  # fmt: skip


def _threads(entry: LineEntry, prefix: str) -> str:
    return value(entry.data, f"{prefix}thread_condition") or ""


def _yes_no(answer: Any) -> bool | None:
    return {"yes": True, "no": False}.get(str(answer))


def _store_toe(work: Work, vehicle: Vehicle, entry: LineEntry) -> None:
    for told in tape_readings(entry.data):
        ToeReading.objects.create(
            **work.fact(entry.occurred_at), vehicle=vehicle, line_entry=entry, **told,
            span_m=value(entry.data, "toe_span"), height_m=value(entry.data, "toe_height"),
            ride_height=value(entry.data, "ride_height"), use_si=entry.use_si,
        )  # fmt: skip


def tape_readings(data: dict[str, Any]) -> list[dict[str, Any]]:
    """Each pair of tape readings of an entry: as found, as left, and as left read again."""
    found = []
    for start, end in (("found", ""), ("left", ""), ("left", "_2"), ("left", "_3")):
        names = f"{start}_rear{end}", f"{start}_front{end}"
        rear, front = (value(data, name) for name in names)
        if rear is None or front is None:
            continue
        found.append({
            "as_left": start == "left", "rear_m": rear, "front_m": front,
            "rear_typed": data[names[0]]["typed"], "front_typed": data[names[1]]["typed"],
            "toe_m": toe_from_widths(rear, front),
        })  # fmt: skip
    return found


def _store_part(work: Work, joint: Joint, entry: LineEntry) -> None:
    PartChange.objects.create(
        **work.fact(entry.occurred_at), joint=joint, number=value(entry.data, "part_number"),
        lot=value(entry.data, "part_lot") or "", use_si=entry.use_si, line_entry=entry,
    )  # fmt: skip
