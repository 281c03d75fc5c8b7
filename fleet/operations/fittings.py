"""Whether a joint is fitted: taken apart, left out, put together again."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.utils.translation import gettext as _

from fleet.operations import holds, looks, moves, rechecks, state, use
from fleet.operations.actor import Actor
from fleet.operations.errors import Problem, Refused, refuse
from fleet.operations.once import Request
from fleet.operations.owing import Owing
from fleet.operations.words import spoken_date, too_long
from fleet.operations.work import Done, Work, find, run
from fleet.reads.rules import rules
from fleet.records.base import in_every_language
from fleet.records.models import (
    Hold,
    Joint,
    JointFitting,
    JointKind,
    Person,
    Ticket,
    TicketLine,
    Vehicle,
)
from fleet.records.tickets import MENDS_NOTHING

F = Joint.Fitted
# What a joint that is fitted again owes, where no ladder of its own kind is on file.
FITTED_AGAIN = "fitted_again"
PROVES = (TicketLine.State.COMPLETE, TicketLine.State.CLOSED)


@dataclass(frozen=True)
class Fitting:
    """What a joint becomes, and why."""

    joint_id: int
    to: str
    reason: str
    occurred_at: datetime | None = None
    uid: UUID | None = None


def set_fitting(
    actor: Actor, new: Fitting, *, at: datetime, request: Request | None = None
) -> Done[JointFitting]:
    """Set a joint apart, not fitted, or fitted again.

    Apart holds the vehicle unless it is laid up. Not fitted drops what the joint owes. Fitted
    again, a joint that may take steering or axle away needs the line that put it together.
    """
    actor.need("set_fitting")
    return run("set_fitting", actor, at, lambda work: _apply(work, new), request)


def _apply(work: Work, new: Fitting) -> JointFitting:
    vehicle = work.lock(find(Joint, work.actor, new.joint_id, _("joint")).vehicle_id)
    joint = vehicle.joints.select_related("kind").get(pk=new.joint_id)
    holds.refuse_out_of_fleet(vehicle)
    fact = work.fact(new.occurred_at, new.uid)
    problems = _problems(work, vehicle, joint, new, fact["occurred_at"])
    if problems:
        raise Refused(tuple(problems))
    row = JointFitting.objects.create(
        **fact, joint=joint, fitted=new.to, reason=new.reason.strip(),
        use_si=use.use_now(vehicle), line=_proof(vehicle, joint) if new.to == F.FITTED else None,
    )  # fmt: skip
    work.trail("set_fitting", row, vehicle=vehicle, before={"fitted": joint.fitted},
               after={"fitted": row.fitted, "joint": joint.pk}, reason=row.reason)  # fmt: skip
    state.refresh_fitted([joint.pk])
    _follow(work, vehicle, joint, row)
    state.refresh([joint.pk])
    return row


def _problems(
    work: Work, vehicle: Vehicle, joint: Joint, new: Fitting, when: datetime
) -> list[Problem]:
    """Everything against it, each with what to do instead."""
    found = too_long(JointFitting, {"reason": new.reason})
    if not new.reason.strip():
        found.append(Problem("reason_missing", _("Say why."), field="reason"))
    if new.to not in F.values:
        found.append(Problem("fitted_unknown", _("Choose what it is from the list."), field="to"))
        return found
    if new.to == joint.fitted:
        message = _("%(joint)s is on file as %(fitted)s already.")
        words = {"joint": joint.name, "fitted": F(joint.fitted).label}
        found.append(Problem("same_already", message % words, field="to", joint=joint.name))
        return found
    found += _order(vehicle, joint, when)
    if new.to == F.NOT_FITTED:
        found += _absent(work, vehicle, joint)
    elif new.to == F.FITTED and joint.kind.holds:
        found += _unproven(vehicle, joint)
    return found


def _order(vehicle: Vehicle, joint: Joint, when: datetime) -> list[Problem]:
    """One after the other: what came before the last word on a joint changes nothing now."""
    last = joint.fittings.first()
    if last is None or when >= last.occurred_at:
        return []
    message = _("It was set %(fitted)s on %(when)s. Give a moment after that.") % {
        "fitted": last.get_fitted_display(),
        "when": spoken_date(last.occurred_at, vehicle, "DATETIME_FORMAT"),
    }
    return [Problem("out_of_order", message, field="occurred_at", joint=joint.name)]


def may_leave_out(person: Person, kind: JointKind) -> bool:
    """Whether this person may say that a vehicle has no joint of this kind."""
    return kind.may_be_absent and (not kind.holds or person.may("edit_vehicles"))


def _absent(work: Work, vehicle: Vehicle, joint: Joint) -> list[Problem]:
    words = {"joint": joint.name}
    if not joint.kind.may_be_absent:
        message = _("%(joint)s: every vehicle of this layout has one. Set it apart if it is off.")
        return [Problem("never_absent", message % words, field="to", joint=joint.name)]
    if not may_leave_out(work.actor.person, joint.kind):
        message = _(
            "%(joint)s may take steering or axle away: only a manager says that a vehicle has none."
        )
        return [Problem("manager_only", message % words, field="to", joint=joint.name)]
    held = Hold.objects.filter(vehicle=vehicle, joint=joint, lifted_at=None, ticket__isnull=False)
    if held.exclude(reason=Hold.Reason.APART).exists():
        message = _("%(joint)s holds the vehicle for what was found there: close its ticket first.")
        return [Problem("held_joint", message % words, joint=joint.name)]
    lines = joint.lines.filter(state__in=(TicketLine.State.OPEN, TicketLine.State.COMPLETE))
    if lines.exists():
        message = _("%(joint)s has a line on the open ticket: drop it or close the ticket first.")
        return [Problem("line_open", message % words, joint=joint.name)]
    return []


def _unproven(vehicle: Vehicle, joint: Joint) -> list[Problem]:
    """Putting it together is work on a ticket, with its torque where a wrench can tell."""
    words = {"joint": joint.name}
    if joint.fitted == F.NOT_FITTED:
        message = _(
            "%(joint)s may take steering or axle away: set it apart while it is put on, record its "
            "assembly with its torque on a ticket line, then set it fitted."
        )
        return [Problem("not_assembled", message % words, field="to", joint=joint.name)]
    if _proof(vehicle, joint) is None:
        message = _(
            "No complete line has put %(joint)s together since it was taken apart: record its "
            "assembly with its torque on a ticket line first."
        )
        return [Problem("not_assembled", message % words, field="to", joint=joint.name)]
    return []


def _proof(vehicle: Vehicle, joint: Joint) -> TicketLine | None:
    """The newest complete line that put a joint together since it was taken apart."""
    if not joint.kind.holds:
        return None
    taken = joint.fittings.filter(fitted=F.APART).first()
    lines = joint.lines.filter(state__in=PROVES).exclude(action__in=MENDS_NOTHING)
    if taken is not None:
        lines = lines.filter(entry__occurred_at__gte=taken.occurred_at)
    spec = looks.target_specs(vehicle).get(joint.kind_id)
    if not looks.never_retorqued(joint.kind, spec):
        lines = lines.filter(entry__torques__joint=joint)
    return lines.order_by("-entry__occurred_at", "-pk").first()


def _follow(work: Work, vehicle: Vehicle, joint: Joint, row: JointFitting) -> None:
    """What comes of it: a hold, rechecks dropped, or looks owed again."""
    ticket = holds.open_ticket_of(vehicle)
    if ticket is not None and ticket.state != Ticket.State.OPEN:
        moves.reopen(ticket)
    if row.fitted == F.APART and vehicle.status != Vehicle.Status.LAID_UP:
        said = in_every_language(
            lambda: _("%(joint)s is apart: %(why)s") % {"joint": joint.name, "why": row.reason}
        )
        holds.place(work, vehicle, Hold.Reason.APART, said, joint=joint)
    elif row.fitted == F.NOT_FITTED:
        owing = Owing(work, vehicle, use.state_of(vehicle))
        owing.drop_at(joint, row.reason)
        owing.write()
    elif row.fitted == F.FITTED and row.line is None:
        # A line's close makes what the line calls for.
        _owe_a_look(work, vehicle, joint, row)


def _owe_a_look(work: Work, vehicle: Vehicle, joint: Joint, row: JointFitting) -> None:
    by_kind = rules("action")["retorque"].data["ladder_by_kind"]
    key = by_kind.get(joint.kind.code, FITTED_AGAIN)
    start = rechecks.Start(row.occurred_at, row.use_si)
    owing = Owing(work, vehicle, use.state_of(vehicle))
    owing.start_ladders(rules("ladder"), key, start, joint)
    owing.write()


def last_of(vehicle: Vehicle) -> list[JointFitting]:
    """The last word on each joint that was ever apart or not fitted; one query."""
    rows = JointFitting.objects.filter(joint__vehicle=vehicle).order_by("occurred_at", "id")
    by_joint = {row.joint_id: row for row in rows.select_related("joint__kind", "line__ticket")}
    return sorted(by_joint.values(), key=lambda row: (row.joint.order, row.joint_id))


def in_the_way(vehicle: Vehicle) -> list[Problem]:
    """Joints that lie apart, and those put together by a line that no longer stands."""
    found = []
    for row in last_of(vehicle):
        words = {"joint": row.joint.name, "why": row.reason}
        if row.fitted == F.APART:
            message = _(
                "%(joint)s is apart (%(why)s): put it together on a ticket line, then set it "
                "fitted."
            )
            found.append(Problem("joint_apart", message % words, joint=row.joint.name))
        elif row.line is not None and _line_of(vehicle, row) is None:
            message = _(
                "The line that put %(joint)s together was dropped: record its assembly with its "
                "torque on another."
            )
            found.append(Problem("not_assembled", message % words, joint=row.joint.name))
    return found


def _line_of(vehicle: Vehicle, row: JointFitting) -> TicketLine | None:
    """The line that put a joint together; another one, where it was dropped since."""
    if row.line is not None and row.line.state == TicketLine.State.DROPPED:
        return _proof(vehicle, row.joint)
    return row.line


def refuse_half_done(vehicle: Vehicle) -> None:
    """A laid-up vehicle goes back in service whole: nothing apart, and what was put together
    checked and closed."""
    problems = in_the_way(vehicle)
    for row in last_of(vehicle) if not problems else ():
        line = _line_of(vehicle, row)
        if line is not None and line.state != TicketLine.State.CLOSED:
            message = _("%(joint)s was put together on ticket #%(number)s: close it first.") % {
                "joint": row.joint.name,
                "number": line.ticket_id,
            }
            problems.append(Problem("ticket_open", message, joint=row.joint.name))
    if problems:
        raise Refused(tuple(problems))


def refuse_not_fitted(joint: Joint) -> None:
    """No work is done on what is not there."""
    if joint.fitted == F.NOT_FITTED:
        message = _(
            "%(joint)s is on file as not fitted. If it is put on now, say so on the joint's own "
            "page first."
        )
        raise refuse("joint_not_fitted", message % {"joint": joint.name}, field="joint")
