"""A ticket's line with all that judging it needs: its rule, its torques, the figures on file."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from django.db.models import F

from fleet.calc.asked_fields import About, asked_fields
from fleet.operations import evidence, looks
from fleet.operations.errors import Problem
from fleet.reads.rules import RuleNow, rules
from fleet.records.models import (
    HeldBy,
    Joint,
    Ticket,
    TicketLine,
    TorqueReading,
    TorqueSpec,
    Vehicle,
)

# The figures that wrenches are set to on one design, by joint kind.
Specs = Mapping[int, TorqueSpec]


@dataclass(frozen=True)
class LineView:
    """A line with what judging it needs."""

    line: TicketLine
    rule: RuleNow
    # What the entry's wrench says, of this joint or of one that the work takes apart with it.
    torques: tuple[TorqueReading, ...] | None = None
    specs: Specs = field(default_factory=dict)

    @property
    def name(self) -> str:
        joint = self.line.joint
        return f"{self.rule.name}: {joint.name}" if joint else self.rule.name

    @property
    def data(self) -> dict[str, Any]:
        entry = self.line.entry
        return entry.data if entry else {}

    @property
    def holds(self) -> bool:
        return self.line.joint is not None and self.line.joint.kind.holds

    def fields(self, vehicle: Vehicle) -> list[Any]:
        return fields_for(self.rule, vehicle, self.line.joint, self.specs)

    def problem(self, code: str, message: str, name: str) -> Problem:
        """What this line lacks, beside the field that puts it right."""
        joint = self.line.joint.name if self.line.joint else ""
        return Problem(code, message, field=name, line=self.name, line_id=self.line.pk, joint=joint)


def fields_for(rule: RuleNow, vehicle: Vehicle, joint: Joint | None, specs: Specs) -> list[Any]:
    """The fields that this line must record on this vehicle and joint."""
    return list(asked_fields(rule.data["fields"], about(rule, vehicle, joint, specs)))


def about(rule: RuleNow, vehicle: Vehicle, joint: Joint | None, specs: Specs) -> About:
    """The facts that decide what is asked: of the vehicle, the joint, and the figures on file."""
    whole: dict[str, str | bool] = {
        "linkage": vehicle.design.linkage.code,
        "far": vehicle.yard.far,
        "held_by": "",
    }
    if joint is None:
        return whole
    renewed = {
        f"{prefix}new_fastener": new_each_time(evidence.spec_of(rule.key, prefix, joint, specs))
        for prefix in evidence.PULLS
    }
    return {
        **whole,
        **renewed,
        "held_by": joint.kind.held_by,
        "kind": joint.kind.code,
        "ride_height": joint.kind.ride_height,
    }


def new_each_time(spec: TorqueSpec | None) -> bool:
    """Where the figure asks for it, and always where it is turned on by an angle: such a bolt
    has stretched."""
    return spec is not None and (spec.new_fastener or bool(spec.angle_degrees))


def by_angle(joint: Joint, spec: TorqueSpec | None) -> bool:
    return joint.kind.held_by == HeldBy.ANGLE or bool(spec is not None and spec.angle_degrees)


def views(ticket: Ticket, table: Mapping[str, RuleNow] | None = None) -> list[LineView]:
    """The live and closed lines of a ticket with their rules and torques; three queries, and one
    more where the rules are not given."""
    table = table or rules("action")
    rows = (
        ticket.lines.exclude(state=TicketLine.State.DROPPED)
        .select_related("joint__kind", "entry__by", "from_finding")
    )  # fmt: skip
    torques: dict[int | None, tuple[TorqueReading, ...]] = {}
    current = TorqueReading.objects.filter(
        line_entry__line__ticket=ticket, line_entry=F("line_entry__line__entry")
    )
    for torque in current.select_related("tool", "spec", "joint__kind").order_by("id"):
        torques[torque.line_entry_id] = (*torques.get(torque.line_entry_id, ()), torque)
    specs = looks.target_specs(ticket.vehicle)
    return [LineView(line, table[line.action], torques.get(line.entry_id), specs) for line in rows]
