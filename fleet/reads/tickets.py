"""Tickets under way, and where each stands between work and close."""

from django.db.models import Exists, OuterRef, QuerySet

from fleet.records.models import Person, Ticket, TicketLine

OVER = (Ticket.State.CLOSED, Ticket.State.CANCELLED)


def tickets(person: Person) -> QuerySet[Ticket]:
    """Every ticket in scope, newest first."""
    return Ticket.visible_to(person).select_related("vehicle__yard", "complaint", "opened_by")


def under_way(rows: QuerySet[Ticket]) -> QuerySet[Ticket]:
    return rows.exclude(state__in=OVER)


def waiting_for_check(rows: QuerySet[Ticket]) -> QuerySet[Ticket]:
    """Open, with work on it, and every line of that work complete."""
    lines = TicketLine.objects.filter(ticket=OuterRef("pk"))
    return rows.filter(
        Exists(lines.filter(state=TicketLine.State.COMPLETE)),
        ~Exists(lines.filter(state=TicketLine.State.OPEN)),
        state=Ticket.State.OPEN,
    ).order_by("opened_at", "id")


def past_check(rows: QuerySet[Ticket]) -> QuerySet[Ticket]:
    """Second check passed, released for a road test, or road test passed: not closed yet."""
    wanted = (Ticket.State.CHECKED, Ticket.State.RELEASED, Ticket.State.TESTED)
    return rows.filter(state__in=wanted).order_by("opened_at", "id")
