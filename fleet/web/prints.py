"""Papers for the day's work: hold tag, inspection sheet, ticket, pattern."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone

from fleet.papers.drawing import drawing_of
from fleet.papers.hold_tag import hold_tag
from fleet.papers.inspection_sheet import inspection_sheet
from fleet.papers.pattern_paper import MOST_ROWS, pattern_paper
from fleet.papers.ticket_paper import LinePaper, ticket_paper
from fleet.reads.days import zone_of
from fleet.reads.inspections import sheet_rows
from fleet.reads.patterns import pattern_story, patterns
from fleet.reads.patterns.group import finds_of, missed_of
from fleet.reads.patterns.kinds import MISSED, is_by_statistics
from fleet.reads.public import address
from fleet.reads.rules import rules
from fleet.reads.vehicles import holds_on
from fleet.records.base import in_language
from fleet.records.models import Ticket, Vehicle
from fleet.web.about import about_ticket, about_vehicle
from fleet.web.doors import in_scope, needs, reader
from fleet.web.handing import may_be_long, pdf
from fleet.web.ticket_work import LineWork, ticket_work


@needs("view_vehicle")
@about_vehicle
@may_be_long
def tag_paper(request: HttpRequest, vehicle: Vehicle) -> HttpResponse:
    """For the steering wheel; a vehicle that nothing holds has no tag."""
    holds = holds_on(vehicle)
    if not holds:
        raise Http404
    content = hold_tag(vehicle, holds, reader(request).units, timezone.now())
    return pdf(content, f"hold-tag-{vehicle.unit_number}")


@needs("view_history")
@about_vehicle
@may_be_long
def sheet_paper(request: HttpRequest, vehicle: Vehicle) -> HttpResponse:
    """For the floor, with a pencil."""
    now = timezone.now()
    rows = sheet_rows(vehicle, now)
    content = inspection_sheet(
        vehicle, rows, holds_on(vehicle), rules("method"),
        drawing_of(vehicle, [(row.row.joint, row.row.mark) for row in rows]),
        reader(request).units, now, sheet_address(request, vehicle),
    )  # fmt: skip
    return pdf(content, f"inspection-sheet-{vehicle.unit_number}")


def sheet_address(request: HttpRequest, vehicle: Vehicle) -> str:
    """Where a vehicle's inspection sheet is filled in, as others reach it."""
    path = reverse("inspection_new", args=[vehicle.unit_number])
    return address(path, request.build_absolute_uri(path))


@needs("view_history")
@about_ticket
@may_be_long
def ticket_print(request: HttpRequest, ticket: Ticket) -> HttpResponse:
    person = reader(request)
    work = ticket_work(ticket, person)
    lines = [_line(line, ticket) for line in work.lines]
    holds = [] if ticket.is_over else holds_on(ticket.vehicle)
    content = ticket_paper(ticket, lines, work.facts, holds, person.units, timezone.now())
    return pdf(content, f"ticket-{ticket.pk}")


def _line(work: LineWork, ticket: Ticket) -> LinePaper:
    """With what is still to be written in, while the ticket is open."""
    view = work.view
    fields = [] if ticket.is_over else view.fields(ticket.vehicle)
    blank = [in_language(each["label"]) for each in fields if each["name"] not in view.data]
    return LinePaper(
        view.line, view.name, work.recorded.pairs, blank, view.torques or (), work.facts
    )


@needs("view_patterns")
@may_be_long
def pattern_print(request: HttpRequest, uid: Any) -> HttpResponse:
    """With its picture and the newest of its finds."""
    person, now = reader(request), timezone.now()
    pattern = in_scope(patterns(person), uid=uid)
    with timezone.override(zone_of(pattern.yard)):
        rows = finds_of(pattern, person) if is_by_statistics(pattern) else None
        missed = missed_of(pattern, person)[:MOST_ROWS] if pattern.kind == MISSED else ()
        finds = list(rows[:MOST_ROWS]) if rows is not None else []
        more = rows.count() - len(finds) if rows is not None and len(finds) == MOST_ROWS else 0
        story = pattern_story(pattern, person, now)
        content = pattern_paper(story, finds, list(missed), more, person.units, now)
    return pdf(content, f"pattern-{pattern.pk}")
