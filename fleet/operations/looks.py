"""Reading an inspection sheet: every look judged for sense before anything is written."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import UUID

from django.utils.translation import gettext as _

from fleet.calc import units
from fleet.calc.read_back import DEFAULT_UNITS
from fleet.operations import extensions, tools
from fleet.operations.errors import Problem
from fleet.operations.words import too_long, unit_error
from fleet.reads.rules import RuleNow
from fleet.records.models import (
    Finding,
    FindingCode,
    HeldBy,
    Joint,
    JointKind,
    TorqueReading,
    TorqueSpec,
    TorqueTool,
    Vehicle,
)

# What may be told of a joint that lies apart: how its parts are, and nothing of how it sits.
TOLD_APART = (
    FindingCode.WORN_OUT,
    FindingCode.CRACKED,
    FindingCode.BENT,
    FindingCode.BROKEN,
    FindingCode.NOT_REACHED,
)
MOST_DEGREES = 1080.0
# The units of a bare number on a sheet.
PLAY_UNIT, TORQUE_UNIT = DEFAULT_UNITS["length"], DEFAULT_UNITS["torque"]
# A thousandth of a torque is rounding, not a fault.
ROUNDING = 0.001


@dataclass(frozen=True)
class Look:
    """What was typed of one joint. Figures are as written; empty means not said."""

    joint_id: int
    code: str
    method: str = ""
    degrees: str = ""
    play: str = ""
    torque: str = ""
    tool_id: int | None = None
    thread_condition: str = ""
    reason: str = ""
    note: str = ""
    uid: UUID | None = None
    # On the wrench, in line with its handle.
    extension: str = ""


@dataclass
class Seen:
    """One look as understood."""

    joint: Joint
    look: Look
    spec: TorqueSpec | None = None
    degrees: float | None = None
    play_m: float | None = None
    # At the fastener, which a wrench with an extension on it does not say.
    torque_nm: float | None = None
    wrench_nm: float | None = None
    extension_m: float | None = None
    tool: TorqueTool | None = None
    tool_in_date: bool = True
    problems: list[Problem] = field(default_factory=list)

    @property
    def by_wrench(self) -> bool:
        return self.look.method == "wrench"

    @property
    def spec_low_nm(self) -> float:
        return self.spec.low_nm if self.spec else 0.0

    @property
    def proves(self) -> bool:
        """A wrench says something only at its figure, and with a tool that can be believed."""
        if not self.by_wrench or self.torque_nm is None:
            return True
        below = band(self.torque_nm, self.spec) == TorqueReading.Band.BELOW
        return self.tool_in_date and not below


@dataclass(frozen=True)
class Frame:
    """What reading a sheet needs, fetched once for all of its looks."""

    when: datetime
    joints: dict[int, Joint]
    specs: dict[int, TorqueSpec]
    tools: dict[int, TorqueTool]
    findings: dict[str, RuleNow]
    methods: dict[str, RuleNow]
    # Joints that were ever apart or not fitted, as they were at that moment.
    fitted: Mapping[int, str] = field(default_factory=dict)


def target_specs(vehicle: Vehicle) -> dict[int, TorqueSpec]:
    """The figure that a wrench is set to, by joint kind, on this vehicle's design."""
    rows = TorqueSpec.objects.filter(design=vehicle.design_id, is_target=True, is_current=True)
    return {spec.kind_id: spec for spec in rows.select_related("kind")}


def never_retorqued(kind: JointKind, spec: TorqueSpec | None) -> bool:
    """An adjusting nut, and what is turned on by an angle: replaced or set, never pulled again."""
    return not kind.torque_seen_by_wrench or (spec is not None and bool(spec.angle_degrees))


def read(looks: tuple[Look, ...], frame: Frame) -> tuple[list[Seen], list[Problem]]:
    """All looks as understood, and everything that is wrong with them."""
    seen: list[Seen] = []
    problems: list[Problem] = []
    for place, look in enumerate(looks):
        joint = frame.joints.get(look.joint_id)
        path = f"findings.{place}"
        if joint is None:
            message = _("This vehicle has no such joint. Choose one from its list.")
            problems.append(Problem("joint_not_on_vehicle", message, field=f"{path}.joint"))
            continue
        if any(earlier.joint.pk == joint.pk for earlier in seen):
            message = _("This joint stands twice on the sheet. Keep one.")
            problems.append(
                Problem("joint_twice", message, field=f"{path}.joint", joint=joint.name)
            )
            continue
        one = _read_one(joint, look, frame, path)
        seen.append(one)
        problems += one.problems
    return seen, problems


def sees(joint: Joint, method: str) -> bool:
    """Whether a look by this method can tell play or turning at this joint."""
    return method in joint.kind.play_methods or method in joint.kind.moved_methods


def _read_one(joint: Joint, look: Look, frame: Frame, path: str) -> Seen:
    seen = Seen(joint, look, spec=frame.specs.get(joint.kind_id))
    rule = frame.findings.get(look.code)
    if rule is None:
        _add(seen, path, "code", "code_unknown", _("Choose what was found from the list."))
        return seen
    _judge_fitted(seen, frame.fitted.get(joint.pk, Joint.Fitted.FITTED), path)
    _judge_method(seen, rule, frame, path)
    if look.code == FindingCode.NOT_REACHED and not look.reason.strip():
        _add(seen, path, "reason", "reason_missing", _("Say why it was not reached."))
    seen.degrees = _degrees(seen, rule, path)
    seen.play_m = _figure(seen, path, "play", look.play, units.parse_length, PLAY_UNIT)
    seen.wrench_nm = _figure(seen, path, "torque", look.torque, units.parse_torque, TORQUE_UNIT)
    seen.extension_m = _figure(
        seen, path, "extension", look.extension, units.parse_length, extensions.UNIT
    )
    seen.torque_nm = None if look.extension.strip() else seen.wrench_nm
    _judge_size(seen, path)
    if seen.by_wrench and rule.data["by"] != "any":
        _judge_wrench(seen, frame, path)
    return seen


def _judge_size(seen: Seen, path: str) -> None:
    look = seen.look
    typed = {"reason": look.reason, "note": look.note, "play_typed": look.play}
    pulled = {"typed": look.torque, "extension_typed": look.extension}
    names = {"play_typed": "play", "typed": "torque", "extension_typed": "extension"}
    for problem in too_long(Finding, typed) + too_long(TorqueReading, pulled):
        name = names.get(problem.field, problem.field)
        _add(seen, path, name, problem.code, problem.message)


def _judge_fitted(seen: Seen, fitted: str, path: str) -> None:
    """What is not there can't be looked at, and what lies apart does not sit tight."""
    code = seen.look.code
    if fitted == Joint.Fitted.NOT_FITTED and code != FindingCode.NOT_FITTED:
        message = _("It is on file as not fitted. If it is there, set it fitted on its page first.")
        _add(seen, path, "code", "joint_not_fitted", message)
    elif fitted == Joint.Fitted.APART and code not in TOLD_APART:
        message = _(
            "It is on file as apart: put it together on a ticket line and set it fitted first."
        )
        _add(seen, path, "code", "joint_apart", message)


def _judge_method(seen: Seen, rule: RuleNow, frame: Frame, path: str) -> None:
    by, method = rule.data["by"], seen.look.method
    if not method:
        if by != "any":
            _add(seen, path, "method", "method_missing", _("Say how it was looked at."))
        return
    turned = seen.look.code == FindingCode.MOVED and not seen.by_wrench
    unseen = turned and method not in seen.joint.kind.moved_methods
    if method not in frame.methods or unseen or (by != "any" and method not in by):
        message = _("“%(finding)s” can't be seen by %(method)s.") % {
            "finding": rule.name,
            "method": frame.methods[method].name if method in frame.methods else method,
        }
        _add(seen, path, "method", "method_wrong", message)


def _judge_wrench(seen: Seen, frame: Frame, path: str) -> None:
    """A wrench says something only at its figure, with a tool that can be believed."""
    if never_retorqued(seen.joint.kind, seen.spec):
        by_angle = HeldBy.ANGLE.label if seen.joint.kind.torque_seen_by_wrench else None
        message = _("%(held)s: never put a wrench on it to check; follow service information.")
        message %= {"held": by_angle or seen.joint.kind.get_held_by_display()}
        _add(seen, path, "method", "never_retorqued", message)
        return
    if seen.wrench_nm is None and not seen.look.torque.strip():
        _add(seen, path, "torque", "torque_missing", _("Give the figure the wrench was set to."))
    seen.tool = frame.tools.get(seen.look.tool_id or 0)
    if seen.tool is None:
        _add(seen, path, "tool", "tool_missing", _("Say which torque tool."))
        return
    _judge_extension(seen, seen.tool, path)
    doubt = tools.doubt(seen.tool, frame.when, seen.wrench_nm)
    seen.tool_in_date = doubt is None
    claims_tight = seen.look.code == FindingCode.TIGHT and seen.joint.kind.holds
    if doubt and claims_tight:
        _add(seen, path, "tool", doubt.code, doubt.message)
    below = seen.torque_nm is not None and seen.torque_nm < seen.spec_low_nm * (1 - ROUNDING)
    if claims_tight and seen.spec and below:
        message = _("Below the low side of %(spec)s: pull it at its figure.") % {
            "spec": seen.spec.typed
        }
        _add(seen, path, "torque", "torque_below", message)
    if seen.wrench_nm and not tools.in_range(seen.tool, seen.wrench_nm):
        message = _("%(tool)s does not reach this figure.") % {"tool": seen.tool.code}
        _add(seen, path, "tool", "tool_range", message)


def _judge_extension(seen: Seen, tool: TorqueTool, path: str) -> None:
    """The tool's range and its comparison are of what it said, the band of what came of it."""
    if seen.extension_m is None:
        return
    wrong = extensions.problem(tool, seen.extension_m)
    if wrong is not None:
        _add(seen, path, "extension", wrong.code, wrong.message)
    elif seen.wrench_nm is not None:
        seen.torque_nm = extensions.at_fastener(tool, seen.wrench_nm, seen.extension_m)


def _degrees(seen: Seen, rule: RuleNow, path: str) -> float | None:
    typed = seen.look.degrees.strip().rstrip("°").strip()
    if not typed:
        if "degrees" in rule.data.get("needs", []):
            message = _("How far did it turn, in degrees? A flat of a hex nut is 60.")
            _add(seen, path, "degrees", "degrees_missing", message)
        return None
    try:
        value = float(units.parse_meter(typed, "h").magnitude)
    except units.UnitError:
        value = MOST_DEGREES + 1
    if value > MOST_DEGREES:
        message = _("Type degrees as a number up to 1080, like 15.")
        _add(seen, path, "degrees", "degrees_wrong", message)
        return None
    return value


def _figure(seen: Seen, path: str, name: str, typed: str, parse: Any, unit: str) -> float | None:
    if not typed.strip():
        return None
    try:
        return float(parse(typed, unit).si)
    except units.UnitError as error:
        seen.problems.append(unit_error(error, f"{path}.{name}"))
        return None


def _add(seen: Seen, path: str, name: str, code: str, message: str) -> None:
    seen.problems.append(Problem(code, message, field=f"{path}.{name}", joint=seen.joint.name))


def band(torque: float, spec: TorqueSpec | None) -> str:
    """Where a torque lies against its figure."""
    if spec is None:
        return TorqueReading.Band.NO_SPEC
    if torque < spec.low_nm * (1 - ROUNDING):
        return TorqueReading.Band.BELOW
    if torque > spec.high_nm * (1 + ROUNDING):
        return TorqueReading.Band.ABOVE
    return TorqueReading.Band.INSIDE
