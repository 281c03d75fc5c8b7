"""Read-over release: a far yard's work vouched for by a code over radio or telephone.

Two people's PINs on one enrolled tablet make the code; a manager enters it and reads the reply
back. What the ticket holds is let out for some days; without the record the holds return.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils.translation import gettext as _

from fleet.calc import read_over as codes
from fleet.operations.actor import Actor
from fleet.operations.checkers import did_a_line
from fleet.operations.errors import Problem, Refused, refuse
from fleet.operations.holds import open_ticket_of
from fleet.operations.once import Request
from fleet.operations.work import Done, Work, not_there, run
from fleet.reads.rules import settings_now
from fleet.records.holds import keeping_in
from fleet.records.models import Hold, Person, ReadOver, Tablet, TabletKey, Ticket

# A code is of the hour it was made in; it is read over within a day (own).
GOOD_HOURS = 24
# Of a fleet that was set up before there was such a setting.
LASTS_HOURS = 72


@dataclass(frozen=True)
class Heard:
    """What was read over: about which vehicle, who did the work, who checked it, the code."""

    vehicle_id: int
    worker_id: int
    checker_id: int
    code: str


def lasts_hours() -> float:
    """How long a release lets out without the record: the fleet's setting."""
    hours: float = settings_now().get("read_over_hours", LASTS_HOURS)
    return hours


def take_read_over(
    actor: Actor, heard: Heard, *, at: datetime, request: Request | None = None
) -> Done[ReadOver]:
    """Let the vehicle out by a code that is true; the row carries the reply to read back."""
    actor.need("lift_hold")

    def apply(work: Work) -> ReadOver:
        vehicle = work.lock(heard.vehicle_id)
        ticket = open_ticket_of(vehicle)
        if ticket is None:
            message = _("No ticket is open on this vehicle: there is nothing to let it out for.")
            raise refuse("no_ticket", message, field="vehicle")
        said = re.sub(r"[\s\-.]", "", heard.code)
        _people_may(work, ticket, heard)
        if len(said) != codes.CODE_DIGITS + 1 or not codes.heard_right(said):
            message = _("One digit was misheard or left out: have the ten digits read again.")
            raise refuse("misheard", message, field="code")
        asked, tablet = _true(ticket, heard, said, work.at)
        row = ReadOver.objects.create(
            **{**work.fact(None), "tablet": tablet}, ticket=ticket, vehicle=vehicle,
            worker_id=heard.worker_id, checker_id=heard.checker_id, code=said,
            reply=codes.reply(asked, said, bytes(tablet.data_key)),
            until=work.at + timedelta(hours=lasts_hours()),
        )  # fmt: skip
        held = Hold.objects.filter(keeping_in(work.at), ticket=ticket)
        let_out = held.update(out_until=row.until)
        work.trail("take_read_over", row, vehicle=vehicle,
                   after={"until": str(row.until), "held": let_out})  # fmt: skip
        return row

    return run("take_read_over", actor, at, apply, request)


def _people_may(work: Work, ticket: Ticket, heard: Heard) -> None:
    known = Person.visible_to(work.actor.person).filter(is_active=True)
    both = {heard.worker_id, heard.checker_id}
    found = known.in_bulk(both)
    if set(found) != both:
        raise not_there(_("person"))
    if heard.worker_id == heard.checker_id:
        message = _("Two people vouch for it: another one than who did the work checks it.")
        raise Refused((Problem("same_person", message, field="checker"),))
    if did_a_line(ticket, found[heard.checker_id]):
        message = _("%(who)s did a line of this ticket: somebody else makes the second check.")
        who = found[heard.checker_id].name
        raise Refused((Problem("same_person", message % {"who": who}, field="checker"),))


def _true(ticket: Ticket, heard: Heard, said: str, at: datetime) -> tuple[codes.Asked, Tablet]:
    """What the code vouches for, and the tablet that made it. Raises Refused for a false one."""
    for asked, tablet, worker, checker in _candidates(ticket, heard, at):
        if codes.code(asked, bytes(worker.secret), bytes(checker.secret)) == said:
            return asked, tablet
    message = _(
        "This code is not of this vehicle, ticket and these two people in the last 24 hours. Ask "
        "which names and which ticket stand on the tablet."
    )
    raise refuse("code_false", message, field="code")


def _candidates(
    ticket: Ticket, heard: Heard, at: datetime
) -> Iterator[tuple[codes.Asked, Tablet, TabletKey, TabletKey]]:
    vehicle = ticket.vehicle
    keys = TabletKey.objects.select_related("tablet").filter(
        tablet__yard=vehicle.yard_id, tablet__revoked_at=None,
        person__in=(heard.worker_id, heard.checker_id),
    )  # fmt: skip
    rows = list(keys)
    hours = [codes.hour_of(at + timedelta(hours=1 - back)) for back in range(GOOD_HOURS + 2)]
    for worker in (key for key in rows if key.person_id == heard.worker_id):
        for checker in (key for key in rows if key.person_id == heard.checker_id):
            if worker.tablet_id != checker.tablet_id:
                continue
            for hour in hours:
                yield codes.Asked(
                    str(worker.tablet.uid), vehicle.unit_number, ticket.pk, heard.worker_id,
                    heard.checker_id, hour,
                ), worker.tablet, worker, checker  # fmt: skip


def hold_again(actor: Actor, ticket_id: int, *, at: datetime) -> None:
    """The record came and was refused: what was let out by it is held again at once."""
    let_out = Hold.objects.filter(ticket=ticket_id, lifted_at=None, out_until__gt=at)
    vehicle_id = let_out.values_list("vehicle", flat=True).first()
    if vehicle_id is None:
        return

    def apply(work: Work) -> Hold:
        vehicle = work.lock(vehicle_id)
        hold: Hold = let_out.first() or Hold(vehicle=vehicle)
        let_out.update(out_until=None)
        work.trail("hold_again", hold, vehicle=vehicle)
        return hold

    run("hold_again", actor, at, apply)
