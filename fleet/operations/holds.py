"""Holds: placed at once, lifted only after a passed second check."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _

from fleet.operations import moves
from fleet.operations.actor import Actor
from fleet.operations.errors import Refused, refuse
from fleet.operations.once import Request
from fleet.operations.work import Done, Work, find, run
from fleet.records.models import (
    Hold,
    Joint,
    MeterReading,
    Recheck,
    RoadRelease,
    RoadTest,
    SecondCheck,
    Ticket,
    Vehicle,
)

# A held truck may be pushed about the yard; further than this it was driven (own): one mile,
# or a quarter of an hour.
STIRRED_SI = {"mi": 1_609, "km": 1_609, "h": 900}


@dataclass(frozen=True)
class Check:
    """How the second check of a hold without a ticket was made."""

    dry_steer: bool
    note: str
    how: str = SecondCheck.How.IN_PERSON


def place_hold(
    actor: Actor, vehicle_id: int, text: str, *, at: datetime, joint_id: int | None = None,
    request: Request | None = None,
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
        return place(work, vehicle, Hold.Reason.PERSON, text.strip(), joint=joint, **carrier)

    return run("place_hold", actor, at, apply, request)


def place(work: Work, vehicle: Vehicle, reason: str, text: str, **why: Any) -> Hold:
    """Place a hold inside an open transaction; the same reason twice is one hold.

    An open ticket that carries it is opened again: its second check came before the hold.
    """
    same = Hold.objects.filter(
        vehicle=vehicle, reason=reason, lifted_at=None, joint=why.get("joint"),
        complaint=why.get("complaint"), recheck=why.get("recheck"),
    ).first()  # fmt: skip
    if same is not None and reason != Hold.Reason.PERSON:
        return same
    why.setdefault("ticket", open_ticket_of(vehicle))
    ticket = why["ticket"]
    if ticket is not None and ticket.state != Ticket.State.OPEN:
        moves.reopen(ticket)
    hold = Hold.objects.create(
        vehicle=vehicle, reason=reason, text=text[:300], placed_at=work.at,
        placed_by=work.actor.person, **why,
    )  # fmt: skip
    work.trail("place_hold", hold, vehicle=vehicle, after={"reason": reason, "text": hold.text})
    return hold


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
        lift(work, hold, proof)
        return hold

    return run("lift_hold", actor, at, apply, request)


def lift(work: Work, hold: Hold, proof: SecondCheck) -> None:
    """Lift inside an open transaction; an already lifted hold is left as it was."""
    rows = Hold.objects.filter(pk=hold.pk, lifted_at=None)
    if rows.update(lifted_at=work.at, lifted_by=work.actor.person, lifted_by_check=proof):
        hold.refresh_from_db()
        work.trail("lift_hold", hold, vehicle=hold.vehicle, after={"check": proof.pk})


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
    if not check.dry_steer:
        message = _("Confirm the dry steer on the floor, wheels chocked.")
        raise refuse("dry_steer_missing", message, field="dry_steer")
    if not check.note.strip():
        raise refuse("note_missing", _("Say what was checked."), field="note")


def open_ticket_of(vehicle: Vehicle) -> Ticket | None:
    """The one ticket that is not over, if any."""
    over = (Ticket.State.CLOSED, Ticket.State.CANCELLED)
    return Ticket.objects.filter(vehicle=vehicle).exclude(state__in=over).first()


def notice_use_while_held(work: Work, vehicle: Vehicle, reading: MeterReading) -> None:
    """A meter that moves while the vehicle is held raises it at once, unless on a road test."""
    held = Hold.objects.filter(vehicle=vehicle, lifted_at=None).order_by("placed_at").first()
    if held is None:
        return
    since = _stands_since(held)
    if reading.occurred_at < since:
        return
    rows = MeterReading.objects.filter(vehicle=vehicle, withdrawn_by=None, occurred_at__gte=since)
    seen = list(
        rows.exclude(kind=MeterReading.Kind.WITHDRAWS).order_by("occurred_at", "id")
        .values_list("use_si", flat=True)
    )  # fmt: skip
    if seen and seen[-1] - seen[0] > STIRRED_SI[vehicle.meter_unit]:
        text = _("The meter moved while the vehicle was held. Ask who and why, and inspect it.")
        place(work, vehicle, Hold.Reason.USED, text, ticket=None)


def _stands_since(held: Hold) -> datetime:
    """From when on the vehicle should stand: found so, back from its last road test, or since
    somebody asked who had moved it."""
    found = held.finding.occurred_at if held.finding else held.placed_at
    moments = [min(found, held.placed_at)]
    outing = RoadRelease.objects.filter(ticket__vehicle=held.vehicle_id).order_by("-until").first()
    if outing is not None:
        test = RoadTest.objects.filter(release=outing).first()
        moments.append(test.occurred_at if test else outing.until)
    asked = Hold.objects.filter(
        vehicle=held.vehicle_id, reason=Hold.Reason.USED, lifted_at__isnull=False
    )
    moments += [hold.lifted_at for hold in asked if hold.lifted_at is not None]
    return max(moments)


def refuse_out_of_fleet(vehicle: Vehicle) -> None:
    """Nothing more is done to a vehicle that has left."""
    if vehicle.status == Vehicle.Status.OUT:
        raise refuse("out_of_fleet", _("This vehicle has left the fleet."))


__all__ = ["Check", "Refused", "lift", "lift_hold", "place", "place_hold"]
