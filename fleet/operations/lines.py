"""Ticket lines: opened from findings, and judged for what they still lack."""

from django.db.models import Max
from django.utils.translation import gettext as _

from fleet.calc import requirements
from fleet.calc.requirements import FieldProblem
from fleet.operations import actions, fittings, heat, line_torque, looks, moves, rack, toe
from fleet.operations.errors import Problem, refuse
from fleet.operations.holds import open_ticket_of
from fleet.operations.line_view import LineView
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
    Vehicle,
)

LIVE = (TicketLine.State.OPEN, TicketLine.State.COMPLETE)
SET_TOE, RACK = "set_toe", "full_alignment"


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
    spec = looks.target_specs(vehicle).get(joint.kind_id)
    if looks.never_retorqued(joint.kind, spec):
        raise refuse("never_retorqued", line_torque.why_never(joint, spec), field="action")


def lacks(view: LineView, vehicle: Vehicle) -> list[Problem]:
    """Everything a line still lacks, each naming the line and the figure."""
    fields = view.fields(vehicle)
    labels = {field["name"]: in_language(field["label"]) for field in fields}
    problems = [
        _said(view, problem, labels[problem.name])
        for problem in requirements.missing(fields, view.data)
    ]
    for torque in view.torques or ():
        problems += line_torque.torque_problems(view, torque)
    problems += line_torque.never_pulled(view)
    problems += heat.problems(view)
    problems += _rejected(view)
    if view.holds and value(view.data, "own_check") == "not_hold":
        message = _("This joint warrants a hold: our own wrench or look is needed.")
        problems.append(view.problem("own_check", message, "own_check"))
    if view.line.action == SET_TOE:
        problems += toe.problems(view.data, vehicle, view.name, view.line.pk)
    if view.line.action == RACK:
        problems += rack.problems(view, vehicle)
    return problems


def _said(view: LineView, problem: FieldProblem, label: str) -> Problem:
    """A gap in words; a fastener that has to be new says why."""
    if problem.code == "must" and problem.name.endswith("new_fastener"):
        message = _(
            "The figure on file asks for a new fastener each time: fit one, or the line does not "
            "close."
        )
        return view.problem("must", message, problem.name)
    return field_problem(problem, label, view.name, view.line.pk)


def _rejected(view: LineView) -> list[Problem]:
    """A pin hole above the slots means a worn taper or a wrong part (common practice)."""
    if value(view.data, "new_pin") != "above_slots":
        return []
    message = _(
        "The pin hole stands above the slots: the taper is worn or the part is wrong. Stud and "
        "arm are rejected: fit others."
    )
    return [view.problem("pin_hole_above", message, "new_pin")]
