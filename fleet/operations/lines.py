"""Ticket lines: opened from findings, and judged for what they still lack."""

from dataclasses import dataclass
from typing import Any

from django.db.models import F, Max
from django.utils.translation import gettext as _

from fleet.calc import requirements
from fleet.operations import actions, evidence, fittings, looks, moves, toe
from fleet.operations.errors import Problem, refuse
from fleet.operations.holds import open_ticket_of
from fleet.operations.words import field_problem, value
from fleet.operations.work import Work
from fleet.reads.rules import RuleNow, rules
from fleet.records.base import in_language
from fleet.records.models import (
    Complaint,
    Finding,
    Hold,
    Joint,
    Ticket,
    TicketLine,
    TorqueReading,
    Vehicle,
)

LIVE = (TicketLine.State.OPEN, TicketLine.State.COMPLETE)
SET_TOE = "set_toe"


def ticket_for(work: Work, vehicle: Vehicle, complaint: Complaint | None = None) -> Ticket:
    """The vehicle's open ticket, or a new one."""
    ticket = open_ticket_of(vehicle)
    if ticket is not None:
        if complaint is not None and ticket.complaint_id is None:
            Ticket.objects.filter(pk=ticket.pk).update(complaint=complaint)
            ticket.refresh_from_db()
        return ticket
    if complaint is None:
        held = Hold.objects.filter(
            vehicle=vehicle, lifted_at=None, complaint__isnull=False, ticket=None
        ).first()
        complaint = held.complaint if held else None
    ticket = Ticket.objects.create(
        vehicle=vehicle, opened_at=work.at, opened_by=work.actor.person, complaint=complaint
    )
    work.trail("open_ticket", ticket, vehicle=vehicle)
    adopt_holds(vehicle, ticket)
    return ticket


def adopt_holds(vehicle: Vehicle, ticket: Ticket) -> None:
    """The ticket's close lifts what its work answers: complaints, findings, joints apart."""
    adopted = Hold.objects.filter(
        vehicle=vehicle, lifted_at=None, ticket=None,
        reason__in=[Hold.Reason.COMPLAINT, Hold.Reason.FINDING, Hold.Reason.APART],
    ).update(ticket=ticket)  # fmt: skip
    if adopted and ticket.state != Ticket.State.OPEN:
        moves.reopen(ticket)


def line_for_finding(work: Work, ticket: Ticket, finding: Finding) -> TicketLine:
    """A line that answers a finding; one already open on the joint serves."""
    table = rules("action")
    for line in ticket.lines.filter(joint=finding.joint, state__in=LIVE):
        if actions.answers(table[line.action], finding.code):
            moves.reopen(ticket)
            return line
    return add(work, ticket, suggested_action(finding), finding.joint, finding)


def suggested_action(finding: Finding) -> str:
    """The first work that answers this finding on this joint; a person may change it.

    Work that says more of the joint (names fewer kinds) goes before the general.
    """
    kind = finding.joint.kind.code
    fitting = [
        (len(rule.data["kinds"]), key)
        for key, rule in rules("action").items()
        if kind in rule.data["kinds"] and finding.code in rule.data["answers"]
    ]
    return min(fitting)[1] if fitting else "outside_shop"


def add(
    work: Work, ticket: Ticket, action: str, joint: Joint | None, finding: Finding | None = None
) -> TicketLine:
    """Add a line inside an open transaction; the ticket goes back to open."""
    table = rules("action")
    _fits(table, action, joint)
    if joint is not None:
        fittings.refuse_not_fitted(joint)
    if action == "retorque" and joint is not None:
        _may_be_retorqued(ticket.vehicle, joint)
    if ticket.lines.filter(joint=joint, action=action, state__in=LIVE).exists():
        raise refuse("line_twice", _("The ticket already has this line."), field="action")
    last = ticket.lines.aggregate(last=Max("position"))["last"] or 0
    line = TicketLine.objects.create(
        ticket=ticket, joint=joint, action=action, position=last + 1, from_finding=finding,
        rule_version=table[action].version,
    )  # fmt: skip
    moves.reopen(ticket)
    work.trail("add_line", line, vehicle=ticket.vehicle, after={"action": action})
    for other in brought_by(table[action], joint):
        if not ticket.lines.filter(action=other, state__in=LIVE).exists():
            add(work, ticket, other, None)
    return line


def _fits(table: dict[str, RuleNow], action: str, joint: Joint | None) -> None:
    if action not in table:
        raise refuse("action_unknown", _("Choose the work from the list."), field="action")
    kinds = table[action].data["kinds"]
    if kinds == "any":
        return
    if not kinds and joint is not None:
        message = _("%(action)s is work on the whole front end: leave the joint empty.")
        raise refuse("joint_not_wanted", message % {"action": table[action].name}, field="joint")
    if kinds and (joint is None or joint.kind.code not in kinds):
        message = _("%(action)s can't be done on this joint. Choose another joint or work.")
        raise refuse("joint_wrong", message % {"action": table[action].name}, field="joint")


def brought_by(rule: RuleNow, joint: Joint | None) -> list[str]:
    """The lines that a line brings with it: opened steering always brings 'set toe'."""
    brings: list[str] = list(rule.data.get("brings", []))
    opened = actions.opens_steering(rule, joint) and rule.key != SET_TOE
    return brings if SET_TOE in brings or not opened else [*brings, SET_TOE]


def _may_be_retorqued(vehicle: Vehicle, joint: Joint) -> None:
    """Angle or to-yield bolts are replaced, never retorqued; nor is an adjusting nut."""
    if looks.never_retorqued(joint.kind, looks.target_specs(vehicle).get(joint.kind_id)):
        message = _("%(joint)s is never retorqued: replace or set it per service information.")
        raise refuse("never_retorqued", message % {"joint": joint.name}, field="action")


@dataclass(frozen=True)
class LineView:
    """A line with what judging it needs."""

    line: TicketLine
    rule: RuleNow
    # What the entry's wrench says, of this joint or of one that the work takes apart with it.
    torques: tuple[TorqueReading, ...] | None = None

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


def fields_for(rule: RuleNow, vehicle: Vehicle, joint: Joint | None) -> list[Any]:
    """The fields that this line must record on this vehicle and joint."""
    held_by = joint.kind.held_by if joint else ""
    linkage = vehicle.design.linkage.code
    return [
        field
        for field in rule.data["fields"]
        if held_by in field.get("only_held_by", [held_by])
        and linkage in field.get("only_linkage", [linkage])
    ]


def lacks(view: LineView, vehicle: Vehicle) -> list[Problem]:
    """Everything a line still lacks, each naming the line and the figure."""
    fields = fields_for(view.rule, vehicle, view.line.joint)
    labels = {field["name"]: in_language(field["label"]) for field in fields}
    problems = [
        field_problem(problem, labels[problem.name], view.name, view.line.pk)
        for problem in requirements.missing(fields, view.data)
    ]
    for torque in view.torques or ():
        problems += _torque_problems(view, torque)
    if value(view.data, "heat_used") == "kept":
        message = _(
            "A part heated by flame is not used again: replace it, or name the maker's leave."
        )
        problems.append(_problem(view, "heated", message, "heat_used"))
    if view.holds and value(view.data, "own_check") == "not_hold":
        message = _("This joint warrants a hold: our own wrench or look is needed.")
        problems.append(_problem(view, "own_check", message, "own_check"))
    if view.line.action == SET_TOE:
        problems += toe.problems(view.data, vehicle, view.name, view.line.pk)
    return problems


def _torque_problems(view: LineView, torque: TorqueReading) -> list[Problem]:
    holds, prefix = torque.joint.kind.holds, evidence.prefix_of(view.line, torque.joint)
    explained = bool(str(value(view.data, "out_of_band_reason") or "").strip())
    names = {"typed": torque.typed, "spec": torque.spec.typed if torque.spec else ""}
    problems = []
    if holds and not torque.tool_in_date:
        message = _(
            "Torque tool %(tool)s was out of calibration or doubted on the day: pull it again "
            "with one that is in date."
        ) % {"tool": torque.tool.code}
        problems.append(_problem(view, "tool_out_of_date", message, f"{prefix}tool"))
    if torque.band == TorqueReading.Band.BELOW and (holds or not explained):
        message = _("Torque %(typed)s is below the low side of %(spec)s.") % names
        problems.append(_problem(view, "torque_below", message, f"{prefix}torque"))
    if torque.band == TorqueReading.Band.ABOVE:
        new_fastener = value(view.data, "new_fastener") == "yes"
        if holds and not new_fastener:
            message = _(
                "Torque %(typed)s is above the high side of %(spec)s: a new fastener is needed."
            )
            problems.append(_problem(view, "torque_above", message % names, "new_fastener"))
        elif not holds and not explained:
            message = _("Torque %(typed)s is above the high side of %(spec)s: say why.") % names
            problems.append(_problem(view, "torque_above", message, "out_of_band_reason"))
    if torque.band == TorqueReading.Band.NO_SPEC and holds and not explained:
        message = _(
            "No torque figure is on file for this joint: say where yours stands in the "
            "manufacturer's service information."
        )
        problems.append(_problem(view, "no_spec", message, "out_of_band_reason"))
    return problems


def _problem(view: LineView, code: str, message: str, field: str) -> Problem:
    joint = view.line.joint.name if view.line.joint else ""
    return Problem(code, message, field=field, line=view.name, line_id=view.line.pk, joint=joint)


def views(ticket: Ticket) -> list[LineView]:
    """The live and closed lines of a ticket with their rules and torques; three queries."""
    table = rules("action")
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
    return [LineView(line, table[line.action], torques.get(line.entry_id)) for line in rows]
