"""Tickets of one vehicle as they stood at a moment, and what was corrected by then."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.db.models import Q, QuerySet

from fleet.reads.cut import Cut
from fleet.records.models import (
    LineEntry,
    MeterReading,
    RoadRelease,
    RoadTest,
    SecondCheck,
    Ticket,
    TicketLine,
    TrailEntry,
    Vehicle,
)


@dataclass
class LineThen:
    line: TicketLine
    entry: LineEntry | None
    dropped: bool


@dataclass
class Job:
    """One ticket with its lines and steps; `ended` is closed, cancelled or open, as it was then."""

    ticket: Ticket
    ended: str
    lines: list[LineThen] = field(default_factory=list)
    checks: list[SecondCheck] = field(default_factory=list)
    releases: list[RoadRelease] = field(default_factory=list)
    tests: list[RoadTest] = field(default_factory=list)


@dataclass(frozen=True)
class Correction:
    """Something recorded before that was set right, taken back or dropped."""

    at: datetime
    kind: str
    row: Any
    who: str


def jobs(vehicle: Vehicle, cut: Cut, first: datetime | None) -> list[Job]:
    """Tickets that were open at any time of the span, oldest first; eight queries."""
    rows = Ticket.objects.filter(cut.by("opened_at"), vehicle=vehicle)
    if first is not None:
        rows = rows.filter(Q(closed_at=None) | Q(closed_at__gte=first))
    tickets = list(rows.select_related("opened_by", "closed_by", "complaint").order_by("id"))
    cancelled = set(_ids(cut, vehicle, "cancel_ticket"))
    found = {ticket.pk: Job(ticket, _ended(ticket, cut, cancelled)) for ticket in tickets}
    _put_lines(found, vehicle, cut)
    _put_steps(found, cut)
    return list(found.values())


def _ended(ticket: Ticket, cut: Cut, cancelled: set[int]) -> str:
    closed = ticket.closed_at is not None and (cut.before is None or ticket.closed_at < cut.before)
    if ticket.pk in cancelled:
        return str(Ticket.State.CANCELLED)
    return str(Ticket.State.CLOSED if closed else Ticket.State.OPEN)


def _ids(cut: Cut, vehicle: Vehicle, verb: str) -> QuerySet[TrailEntry, int]:
    """What a step of the trail was about, where it was taken by then."""
    rows = cut.told(verb).filter(vehicle_id=vehicle.pk)
    return rows.values_list("subject_id", flat=True)


def _put_lines(found: dict[int, Job], vehicle: Vehicle, cut: Cut) -> None:
    entries = {
        entry.line_id: entry
        for entry in cut.of(LineEntry.objects.filter(cut.stands(""), line__ticket__in=found))
        .select_related("by").order_by("occurred_at", "id")
    }  # fmt: skip
    dropped = set(_ids(cut, vehicle, "drop_line"))
    rows = TicketLine.objects.filter(ticket__in=found).exclude(pk__in=_added_later(vehicle, cut))
    for line in rows.select_related("joint__kind"):
        gone = line.pk in dropped
        found[line.ticket_id].lines.append(LineThen(line, entries.get(line.pk), gone))


def _added_later(vehicle: Vehicle, cut: Cut) -> QuerySet[TrailEntry, int]:
    rows = TrailEntry.objects.filter(vehicle_id=vehicle.pk, verb="add_line").order_by()
    ids = rows.values_list("subject_id", flat=True)
    return ids.none() if cut.before is None else ids.filter(received_at__gte=cut.before)


def _put_steps(found: dict[int, Job], cut: Cut) -> None:
    """Checks, outings and road tests, oldest first."""
    steps: dict[str, Any] = {"checks": SecondCheck, "releases": RoadRelease, "tests": RoadTest}
    for name, model in steps.items():
        rows = cut.of(model.objects.filter(ticket__in=found)).select_related("by")
        for row in rows.order_by("occurred_at", "id"):
            getattr(found[row.ticket_id], name).append(row)


def corrections(vehicle: Vehicle, span: Any, cut: Cut) -> list[Correction]:
    """Entries recorded again, readings withdrawn, lines dropped: by then, oldest first."""
    again = span.of(LineEntry.objects.filter(line__ticket__vehicle=vehicle), vehicle)
    again = again.exclude(replaces=None).select_related(
        "by", "replaces", "line__joint__kind", "line__ticket"
    )
    gone = span.of(MeterReading.objects.filter(vehicle=vehicle), vehicle).exclude(withdraws=None)
    found = [Correction(row.occurred_at, "again", row, row.by.name) for row in again]
    for row in gone.select_related("by", "withdraws"):
        found.append(Correction(row.occurred_at, "withdrawn", row, row.by.name))
    return sorted(found, key=lambda one: one.at)
