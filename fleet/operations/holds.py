"""Holds: placed at once, lifted only after a passed second check."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _

from fleet.operations import moves
from fleet.operations.actor import Actor
from fleet.operations.errors import Refused, refuse
from fleet.operations.once import Request
from fleet.operations.work import EVENTS, Done, Work, find, run
from fleet.reads.yard_moves import newest_moves
from fleet.records.base import in_every_language
from fleet.records.models import (
    Hold,
    Joint,
    Recheck,
    SecondCheck,
    Ticket,
    Vehicle,
    YardMoveEnd,
)

# What is newly seen or said; the clock's own holds tell nothing new of the truck.
NEWS = (Hold.Reason.COMPLAINT, Hold.Reason.FINDING, Hold.Reason.APART, Hold.Reason.PERSON)


@dataclass(frozen=True)
class Check:
    """How the second check of a hold without a ticket was made."""

    dry_steer: bool
    note: str
    how: str = SecondCheck.How.IN_PERSON


def place_hold(
    actor: Actor, vehicle_id: int, text: str, *, at: datetime, joint_id: int | None = None,
    occurred_at: datetime | None = None, request: Request | None = None,
) -> Done[Hold]:  # fmt: skip
    """Hold a vehicle. Placing needs nobody's acceptance."""
    actor.need("place_hold")
    if not text.strip():
        raise refuse("text_missing", _("Say why the vehicle is held."), field="text")

    def apply(work: Work) -> Hold:
        vehicle = work.lock(vehicle_id)
        joint = vehicle.joints.filter(pk=joint_id).first() if joint_id else None
        if joint_id and joint is None:
            message = _("This vehicle has no such joint. Choose one from its list.")
            raise refuse("joint_not_on_vehicle", message, field="joint")
        # A ticket's work answers for a joint; for anything else somebody has to lift it.
        carrier = {"ticket": None} if joint is None else {}
        placed_at = work.moment(occurred_at)
        return place(work, vehicle, Hold.Reason.PERSON, text.strip(), joint=joint,
                     placed_at=placed_at, **carrier)  # fmt: skip

    return run("place_hold", actor, at, apply, request)


def place(
    work: Work, vehicle: Vehicle, reason: str, said: str | dict[str, str], **why: Any
) -> Hold:
    """Place a hold inside an open transaction; the same reason twice is one hold.

    `said` is what somebody typed, or what the program says in every language.

    An open ticket that carries it is opened again: its second check came before the hold.
    """
    same = Hold.objects.filter(
        vehicle=vehicle, reason=reason, lifted_at=None, joint=why.get("joint"),
        complaint=why.get("complaint"), recheck=why.get("recheck"),
    ).first()  # fmt: skip
    if same is not None and reason != Hold.Reason.PERSON:
        return same
    why.setdefault("ticket", open_ticket_of(vehicle))
    why.setdefault("placed_at", work.at)
    ticket = why["ticket"]
    if ticket is not None and ticket.state != Ticket.State.OPEN:
        moves.reopen(ticket)
    hold = Hold.objects.create(
        vehicle=vehicle, reason=reason, placed_by=work.actor.person,
        **columns_of(said, "text"), **why,
    )  # fmt: skip
    after = {"reason": reason, "text": hold.said or hold.text}
    work.trail("place_hold", hold, vehicle=vehicle, after=after, tell=EVENTS)
    if reason in NEWS:
        # Who let it be moved to the yard did not know of this.
        _end_leave(work, vehicle, in_every_language(
            lambda: _("Held anew, so decide again: %(why)s") % {"why": hold.words}
        ))  # fmt: skip
    return hold


def columns_of(said: str | dict[str, str], column: str) -> dict[str, Any]:
    """What the program says in every language goes beside its English; what was typed, alone."""
    if isinstance(said, str):
        return {column: said[:300]}
    return {column: said["en"][:300], "said": said}


def _end_leave(work: Work, vehicle: Vehicle, said: dict[str, str]) -> None:
    """Take back what leave stands to move a vehicle to the yard."""
    for move in newest_moves().filter(vehicle=vehicle, end=None, until__gt=work.at):
        row = YardMoveEnd.objects.create(
            **work.fact(None), move=move, how=YardMoveEnd.How.TAKEN_BACK, **columns_of(said, "note")
        )
        work.trail("end_move", row, vehicle=vehicle, after={"how": row.how}, reason=row.note)


def lift_hold(
    actor: Actor, hold_id: int, check: Check, *, at: datetime, request: Request | None = None
) -> Done[Hold]:
    """Lift a hold that no ticket carries, with the second check that allows it."""
    actor.need("lift_hold")

    def apply(work: Work) -> Hold:
        hold = find(Hold, actor, hold_id, _("hold"))
        vehicle = work.lock(hold.vehicle_id)
        hold.refresh_from_db()
        _may_lift(work, hold, check)
        proof = SecondCheck.objects.create(
            **work.fact(None), vehicle=vehicle, how=check.how, passed=True,
            dry_steer=check.dry_steer, note=check.note,
        )  # fmt: skip
        lift(work, vehicle, [hold], proof)
        return hold

    return run("lift_hold", actor, at, apply, request)


def lift(work: Work, vehicle: Vehicle, held: Sequence[Hold], proof: SecondCheck) -> None:
    """Lift open holds of a vehicle inside an open transaction, under its lock."""
    lifted = {"lifted_at": work.at, "lifted_by": work.actor.person, "lifted_by_check": proof}
    rows = Hold.objects.filter(pk__in=[hold.pk for hold in held], lifted_at=None)
    if rows.update(**lifted) != len(held):
        raise moves.changed_under_you(str(held[0]))
    for hold in held:
        for name, value in lifted.items():
            setattr(hold, name, value)
    after = {"check": proof.pk}
    work.trail_written(
        work.entry_written("lift_hold", hold, vehicle=vehicle, after=after) for hold in held
    )
    work.tell_written("lift_hold", held, EVENTS)
    if not Hold.objects.filter(vehicle=vehicle, lifted_at=None).exists():
        _end_leave(work, vehicle, in_every_language(lambda: _("Nothing holds it any more.")))


def _may_lift(work: Work, hold: Hold, check: Check) -> None:
    if hold.lifted_at is not None:
        raise refuse("lifted", _("This hold was lifted before."))
    if hold.ticket_id is not None:
        message = _("Closing ticket #%(number)s lifts this hold.") % {"number": hold.ticket_id}
        raise refuse("lifted_by_ticket", message)
    if hold.reason in (Hold.Reason.COMPLAINT, Hold.Reason.FINDING):
        message = _("Open a ticket for it: its second check, road test and close lift this hold.")
        raise refuse("needs_ticket", message)
    if hold.joint and hold.joint.fitted == Joint.Fitted.APART:
        message = _("%(joint)s is apart: put it together on a ticket line, or set it not fitted.")
        raise refuse("joint_apart", message % {"joint": hold.joint.name})
    if hold.recheck and hold.recheck.state in Recheck.LIVE:
        raise refuse("recheck_owed", _("Do the missed recheck first; then lift the hold."))
    if hold.placed_by_id == work.actor.person.pk:
        message = _("Whoever placed a hold does not lift it: another person checks and lifts.")
        raise refuse("same_person", message)
    if check.how not in SecondCheck.How.values or check.how == SecondCheck.How.SELF:
        message = _("Choose how it was checked from the list; a self re-check is a ticket's only.")
        raise refuse("how_unknown", message, field="how")
    if not check.dry_steer:
        message = _("Confirm the dry steer on the floor, wheels chocked.")
        raise refuse("dry_steer_missing", message, field="dry_steer")
    if not check.note.strip():
        raise refuse("note_missing", _("Say what was checked."), field="note")


def open_ticket_of(vehicle: Vehicle) -> Ticket | None:
    """The one ticket that is not over, if any."""
    over = (Ticket.State.CLOSED, Ticket.State.CANCELLED)
    return Ticket.objects.filter(vehicle=vehicle).exclude(state__in=over).first()


def refuse_out_of_fleet(vehicle: Vehicle) -> None:
    """Nothing more is done to a vehicle that has left."""
    if vehicle.status == Vehicle.Status.OUT:
        raise refuse("out_of_fleet", _("This vehicle has left the fleet."))


__all__ = ["Check", "Refused", "lift", "lift_hold", "place", "place_hold"]
