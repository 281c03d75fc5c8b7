"""Leave for a self re-check: whether it stands for somebody on a ticket."""

from datetime import datetime

from fleet.records.models import LeaveTakenBack, Person, SelfCheckLeave, Ticket


def taken_back(leave: SelfCheckLeave) -> LeaveTakenBack | None:
    return getattr(leave, "taken_back", None)


def leave_stands(leave: SelfCheckLeave, moment: datetime) -> bool:
    """Given before that moment, not lapsed by then, and not taken back since."""
    return taken_back(leave) is None and leave.occurred_at <= moment < leave.until


def last_leave(ticket: Ticket, person: Person) -> SelfCheckLeave | None:
    """The newest leave that somebody has on a ticket, standing or not."""
    rows = SelfCheckLeave.objects.filter(ticket=ticket, technician=person)
    return rows.select_related("by", "technician", "taken_back").first()


def standing_leave(ticket: Ticket, person: Person, moment: datetime) -> SelfCheckLeave | None:
    """The leave by which a person may check a ticket themselves at a moment."""
    rows = SelfCheckLeave.objects.filter(ticket=ticket, technician=person, taken_back=None)
    return rows.filter(occurred_at__lte=moment, until__gt=moment).select_related("by").first()
