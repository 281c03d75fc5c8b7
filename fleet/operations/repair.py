"""Tickets: opened, given lines, lines recorded, dropped, cancelled."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.utils.translation import gettext as _

from fleet.calc import requirements
from fleet.operations import (
    evidence,
    heat,
    holds,
    line_view,
    lines,
    looks,
    moves,
    seen,
    state,
    use,
)
from fleet.operations.actor import Actor
from fleet.operations.errors import Problem, Refused, refuse
from fleet.operations.once import Request
from fleet.operations.plan_settle import ticket_left_the_plan
from fleet.operations.words import field_problem, refuse_too_long
from fleet.operations.work import Done, Work, find, not_there, run, same_version
from fleet.reads.rules import RuleNow, rule
from fleet.records.base import in_language
from fleet.records.models import (
    Complaint,
    Joint,
    LineEntry,
    Person,
    Ticket,
    TicketLine,
    TorqueReading,
    Vehicle,
)


@dataclass(frozen=True)
class NewTicket:
    vehicle_id: int
    title: str = ""
    complaint_id: int | None = None
    # (action, joint id or None) pairs.
    lines: tuple[tuple[str, int | None], ...] = ()
    # Add to the ticket that is open already, where there is one.
    join: bool = False


def open_ticket(
    actor: Actor, new: NewTicket, *, at: datetime, request: Request | None = None
) -> Done[Ticket]:
    """Open a ticket; a vehicle has one at a time."""
    actor.need("open_ticket")

    def apply(work: Work) -> Ticket:
        vehicle = work.lock(new.vehicle_id)
        holds.refuse_out_of_fleet(vehicle)
        refuse_too_long(Ticket, title=new.title)
        already = holds.open_ticket_of(vehicle)
        if already is not None and not new.join:
            message = _("Ticket #%(number)s is open on this vehicle: add the work to it.")
            raise refuse("ticket_open", message % {"number": already.pk})
        complaint = _complaint(vehicle, new.complaint_id)
        ticket = lines.ticket_for(work, vehicle, complaint)
        if new.title.strip():
            Ticket.objects.filter(pk=ticket.pk).update(title=new.title.strip())
        for action, joint_id in new.lines:
            _line_for(work, ticket, action, _joint(vehicle, joint_id), join=new.join)
        ticket.refresh_from_db()
        return ticket

    return run("open_ticket", actor, at, apply, request)


def add_line(
    actor: Actor, ticket_id: int, action: str, joint_id: int | None, *, at: datetime,
    join: bool = False, expected_version: int | None = None, request: Request | None = None,
) -> Done[TicketLine]:  # fmt: skip
    """Add one action on one joint, and the lines that it brings with it.

    With `join` a line that stands there already is the answer, and nothing changes.
    """
    actor.need("record_line")

    def apply(work: Work) -> TicketLine:
        ticket = open_for_change(work, ticket_id, expected_version)
        return _line_for(work, ticket, action, _joint(ticket.vehicle, joint_id), join=join)

    return run("add_line", actor, at, apply, request)


def drop_line(
    actor: Actor, line_id: int, reason: str, *, at: datetime,
    expected_version: int | None = None, request: Request | None = None,
) -> Done[TicketLine]:  # fmt: skip
    """Take a line off with a reason; what was recorded for it stays on file."""
    actor.need("record_line")

    def apply(work: Work) -> TicketLine:
        line, ticket = _line(work, line_id, expected_version)
        if not reason.strip():
            raise refuse("reason_missing", _("Say why the line is dropped."), field="reason")
        refuse_too_long(TicketLine, drop_reason=reason)
        line.state, line.drop_reason = TicketLine.State.DROPPED, reason.strip()
        line.save(update_fields=["state", "drop_reason"])
        moves.reopen(ticket)
        state.refresh(_joints_of(line))
        work.trail("drop_line", line, vehicle=ticket.vehicle, reason=reason)
        return line

    return run("drop_line", actor, at, apply, request)


@dataclass(frozen=True)
class Entry:
    """What was typed for a line, by field name; a later entry stands in place of the earlier."""

    line_id: int
    typed: Mapping[str, Any]
    occurred_at: datetime | None = None
    done_by: str = ""
    uid: UUID | None = None
    # The entry that stood here when this one was written; None where nobody asks.
    saw: seen.Saw | None = None


def record_line(
    actor: Actor, entry: Entry, *, at: datetime, expected_version: int | None = None,
    request: Request | None = None,
) -> Done[LineEntry]:  # fmt: skip
    """Record a line's figures. Unreadable ones are refused; missing ones leave it open."""
    actor.need("record_line")
    return run(
        "record_line", actor, at, lambda work: _record(work, entry, expected_version), request
    )


def _record(work: Work, entry: Entry, expected_version: int | None) -> LineEntry:
    line, ticket = _line(work, entry.line_id, expected_version)
    vehicle = ticket.vehicle
    now = rule("action", line.action)
    refuse_too_long(LineEntry, done_by=entry.done_by)
    seen.same_entry(line, entry.saw)
    data = _read(work.actor.person, line, vehicle, now, entry.typed)
    row = LineEntry.objects.create(
        **work.fact(entry.occurred_at, entry.uid), line=line, data=data, replaces=line.entry,
        rule_version=now.version, use_si=use.use_now(vehicle), done_by=entry.done_by.strip(),
    )  # fmt: skip
    line.entry, line.rule_version = row, now.version
    torques = evidence.store(work, vehicle, line, row)
    view = line_view.LineView(line, now, torques, looks.target_specs(vehicle))
    complete = not lines.lacks(view, vehicle)
    line.state = TicketLine.State.COMPLETE if complete else TicketLine.State.OPEN
    line.save(update_fields=["entry", "rule_version", "state"])
    moves.reopen(ticket)
    heat.place_holds(work, vehicle, ticket, line)
    state.refresh(_joints_of(line))
    work.trail("record_line", row, vehicle=vehicle, after={"complete": complete})
    return row


def _joints_of(line: TicketLine) -> list[int]:
    """The joints that the entries of a line say something of."""
    pulled = TorqueReading.objects.filter(line_entry__line=line).values_list("joint_id", flat=True)
    return [*pulled, *([line.joint_id] if line.joint_id else [])]


def _read(
    person: Person, line: TicketLine, vehicle: Vehicle, now: RuleNow, typed: Mapping[str, Any]
) -> dict[str, Any]:
    """What was typed, understood by its fields, or Refused with each unreadable one."""
    fields = line_view.fields_for(now, vehicle, line.joint, looks.target_specs(vehicle))
    labels = {field["name"]: in_language(field["label"]) for field in fields}
    unknown = [name for name in typed if name not in labels]
    problems = [
        Problem("field_unknown", _("This line has no field “%(name)s”.") % {"name": name[:40]},
                field=name[:40], line_id=line.pk)
        for name in unknown
    ]  # fmt: skip
    readout = requirements.read_fields(fields, {n: v for n, v in typed.items() if n in labels})
    name = now.name if line.joint is None else f"{now.name}: {line.joint.name}"
    problems += [
        field_problem(problem, labels[problem.name], name, line.pk) for problem in readout.problems
    ]
    problems += evidence.tool_problems(readout.values, person)
    if problems:
        raise Refused(tuple(problems))
    return dict(readout.values)


def _line_for(
    work: Work, ticket: Ticket, action: str, joint: Joint | None, *, join: bool
) -> TicketLine:
    there = ticket.lines.filter(action=action, joint=joint, state__in=lines.LIVE)
    found = there.first() if join else None
    return found or lines.add(work, ticket, action, joint)


def cancel_ticket(
    actor: Actor, ticket_id: int, reason: str, *, at: datetime,
    expected_version: int | None = None, request: Request | None = None,
) -> Done[Ticket]:  # fmt: skip
    """Cancel a ticket on which nothing was done and nothing is held."""
    actor.need("close_ticket")

    def apply(work: Work) -> Ticket:
        ticket = open_for_change(work, ticket_id, expected_version)
        if not reason.strip():
            raise refuse("reason_missing", _("Say why it is cancelled."), field="reason")
        if ticket.holds.filter(lifted_at=None).exists():
            message = _("This ticket holds the vehicle: only closing it lifts the hold.")
            raise refuse("ticket_holds", message)
        if ticket.lines.filter(entry__isnull=False).exists():
            raise refuse("work_done", _("Work was recorded on this ticket: close it instead."))
        for line in ticket.lines.filter(state__in=lines.LIVE):
            line.state, line.drop_reason = TicketLine.State.DROPPED, reason.strip()[:200]
            line.save(update_fields=["state", "drop_reason"])
        moves.move(ticket, moves.TICKET_MOVES, Ticket.State.CANCELLED, outcome=reason.strip(),
                   closed_at=work.at, closed_by=work.actor.person)  # fmt: skip
        ticket_left_the_plan(work, ticket.vehicle, ticket.pk)
        work.trail("cancel_ticket", ticket, vehicle=ticket.vehicle, reason=reason)
        return ticket

    return run("cancel_ticket", actor, at, apply, request)


def open_for_change(work: Work, ticket_id: int, expected_version: int | None) -> Ticket:
    """The ticket under its vehicle's lock, or a refusal that says who was first."""
    rows = Ticket.visible_to(work.actor.person).filter(pk=ticket_id).order_by()
    vehicle_id = rows.values_list("vehicle", flat=True).first()
    if vehicle_id is None:
        raise not_there(_("ticket"))
    vehicle = work.lock(vehicle_id)
    ticket = Ticket.objects.select_related("closed_by").get(pk=ticket_id)
    ticket.vehicle = vehicle
    if ticket.is_over:
        message = _("Ticket #%(number)s was closed by %(who)s. Nothing was changed.") % {
            "number": ticket.pk,
            "who": ticket.closed_by,
        }
        raise refuse("ticket_over", message)
    same_version(ticket, expected_version)
    return ticket


def _line(work: Work, line_id: int, expected_version: int | None) -> tuple[TicketLine, Ticket]:
    line = find(TicketLine, work.actor, line_id, _("ticket line"))
    ticket = open_for_change(work, line.ticket_id, expected_version)
    line = TicketLine.objects.select_related("joint__kind", "entry", "from_finding").get(pk=line_id)
    if line.state == TicketLine.State.DROPPED:
        raise refuse("line_dropped", _("This line was dropped."))
    return line, ticket


def _joint(vehicle: Vehicle, joint_id: int | None) -> Joint | None:
    if joint_id is None:
        return None
    joint = vehicle.joints.select_related("kind").filter(pk=joint_id).first()
    if joint is None:
        message = _("This vehicle has no such joint. Choose one from its list.")
        raise refuse("joint_not_on_vehicle", message, field="joint")
    return joint


def _complaint(vehicle: Vehicle, complaint_id: int | None) -> Complaint | None:
    if complaint_id is None:
        return None
    complaint = vehicle.complaints.filter(pk=complaint_id).first()
    if complaint is None:
        message = _("This complaint is not about this vehicle.")
        raise refuse("complaint_unknown", message, field="complaint")
    return complaint
