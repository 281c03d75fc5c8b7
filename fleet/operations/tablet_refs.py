"""What a tablet names: tickets and lines by their ids, or by the operation that makes them."""

from typing import Any
from uuid import UUID

from django.utils.translation import gettext as _

from fleet.operations.actor import Actor
from fleet.operations.errors import refuse
from fleet.operations.lines import LIVE
from fleet.operations.work import find, not_there
from fleet.records.models import TabletOperation, Ticket, TicketLine

_SETTLED = (
    TabletOperation.State.ACCEPTED, TabletOperation.State.ANSWERED, TabletOperation.State.SET_ASIDE,
)  # fmt: skip


class Waits(Exception):
    """It can't be judged before another operation, named here, has been accepted."""

    def __init__(self, because: UUID) -> None:
        self.because = because
        super().__init__(str(because))


def ticket_id(actor: Actor, ref: int | str) -> int:
    """The ticket that a tablet means. Raises Waits where it is not opened yet, and NotThere."""
    if isinstance(ref, int):
        return int(find(Ticket, actor, ref, _("ticket")).pk)
    try:
        uid = UUID(ref)
    except ValueError:
        raise not_there(_("ticket")) from None
    known = Ticket.visible_to(actor.person).filter(uid=uid).first()
    if known is not None:
        return int(known.pk)
    opened = _as_accepted(uid)
    if opened is None:
        raise Waits(uid)
    if opened.state == TabletOperation.State.SET_ASIDE:
        message = _("What would have opened this ticket was set aside.")
        raise refuse("ticket_set_aside", message, field="ticket")
    if opened.ticket_id is None:
        message = _("What was found calls for no ticket: open one for this work.")
        raise refuse("no_ticket", message, field="ticket")
    return int(find(Ticket, actor, opened.ticket_id, _("ticket")).pk)


def _as_accepted(uid: UUID) -> TabletOperation | None:
    """What came of an operation, or of the corrected one in its place; None while it waits."""
    found = TabletOperation.objects.filter(uid=uid).first()
    while found is not None and found.state == TabletOperation.State.ANSWERED:
        found = TabletOperation.objects.filter(
            instead_of=found.uid, state__in=_SETTLED
        ).order_by("-n").first()  # fmt: skip
    return found if found is not None and found.state in _SETTLED else None


def line_of(actor: Actor, ref: dict[str, Any]) -> TicketLine:
    """The line that a tablet means: by its id, or by its work and joint on a ticket."""
    if ref.get("id") is not None:
        return find(TicketLine, actor, ref["id"], _("ticket line"))
    on = ticket_id(actor, ref["ticket"])
    rows = TicketLine.visible_to(actor.person).filter(ticket=on, action=ref["action"])
    line = rows.filter(joint=ref.get("joint"), state__in=LIVE).first()
    if line is None:
        message = _("The ticket has no such line: add it, then record what was done.")
        raise refuse("line_not_there", message, field="line")
    return line
