"""One vehicle's record: on screen section by section, and as the file that goes out."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from fleet.operations.actor import Actor
from fleet.operations.take_out import Taken, take_out
from fleet.papers import reports, vehicle_file
from fleet.papers.reports import FORMS, PDF
from fleet.papers.table import shown_rows
from fleet.papers.vehicle_tables import Sections
from fleet.reads.cut import KNOWN
from fleet.reads.days import today_at, zone_of
from fleet.reads.files import file_requests
from fleet.reads.reports.vehicle_record import Span
from fleet.reads.vehicle_file import vehicles_with_all_shown
from fleet.records.models import Vehicle
from fleet.web.about import about_vehicle
from fleet.web.doors import in_scope, needs, page_of, reader
from fleet.web.handing import handed, may_be_long, reader_of
from fleet.web.report_forms import RecordForm

WRONG = 400


@needs("take_file")
@about_vehicle
@may_be_long
def vehicle_record(request: HttpRequest, vehicle: Vehicle) -> HttpResponse:
    """Choose days, look at each section, take the file out."""
    form = RecordForm(request.GET, today_at(vehicle.yard, timezone.now()))
    form.is_valid()
    said = form.cleaned_data
    span = Span(said.get("since"), said.get("until"), said.get("basis") or KNOWN)
    wanted = request.GET.get("as", "")
    if wanted in FORMS and not form.errors:
        return _out(request, vehicle, span, wanted)
    return _page(request, vehicle, form, span)


@needs("view_files")
@may_be_long
def file_paper(request: HttpRequest, request_id: int) -> HttpResponse:
    """The file that a request asks for, of the days that it names."""
    asked = in_scope(file_requests(reader(request)), pk=request_id)
    vehicle = in_scope(vehicles_with_all_shown(reader(request)), pk=asked.vehicle_id)
    with timezone.override(zone_of(vehicle.yard)):
        span = Span(asked.since, asked.until)
        return _out(request, vehicle, span, PDF, request_id=asked.pk)


def _out(
    request: HttpRequest, vehicle: Vehicle, span: Span, form: str, request_id: int | None = None
) -> HttpResponse:
    """Made first, noted in the trail, and only then handed over."""
    who = reader_of(request, [vehicle.yard])
    sections = reports.record(who, vehicle, span)
    made = reports.record_file(sections, form, who, request.GET.get("section", ""))
    taken = Taken(form, span.since, span.until, span.basis, request_id)
    take_out(Actor(who.person, "web"), vehicle.pk, taken, at=who.at)
    return handed(made)


def _page(request: HttpRequest, vehicle: Vehicle, form: RecordForm, span: Span) -> HttpResponse:
    sections = reports.record(reader_of(request, [vehicle.yard]), vehicle, span)
    tables = sections.all()
    chosen = reports.section_of(sections, request.GET.get("section", ""))
    page = page_of(request, chosen.rows)
    context = {
        "vehicle": vehicle,
        "form": form,
        "tables": tables,
        "table": chosen,
        "page": page,
        "rows": shown_rows(chosen, list(page)),
        "forms": list(FORMS),
        **_said(sections),
    }
    return render(request, "reports/record.html", context, status=WRONG if form.errors else 200)


def _said(sections: Sections) -> dict[str, object]:
    """What the file is, as of when, and what identifies the vehicle."""
    return {
        "title": vehicle_file.title(),
        "what_it_is": vehicle_file.what_it_is(),
        "as_it_stood": vehicle_file.as_it_stood(sections.record),
        "identification": vehicle_file.identification(sections),
        "items": vehicle_file.items_of_the_rule(),
    }
