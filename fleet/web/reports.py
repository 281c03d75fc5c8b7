"""The screen Reports: what there is, and the reports of the whole fleet."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.papers import report_tables, reports
from fleet.papers.reports import FORMS, Reader
from fleet.papers.table import Table, shown_rows
from fleet.reads.days import zone_of
from fleet.reads.reports.kept import first_day
from fleet.reads.reports.part_life import DISTANCE, PartAsked
from fleet.records.models import Vehicle
from fleet.web.doors import needs, page_of, reader, yards
from fleet.web.handing import handed, may_be_long, reader_of
from fleet.web.report_forms import DaysForm, FleetForm, PartsForm, YardForm

WRONG = 400
FLEET_REPORTS = [
    (
        "report_parts",
        gettext_lazy("Life by part number and lot"),
        gettext_lazy("How many were fitted, how long they ran, and what was found."),
    ),
    (
        "report_fleet",
        gettext_lazy("Fleet state"),
        gettext_lazy("Each vehicle with its holds, its worst joint, and what it owes."),
    ),
    (
        "report_kept",
        gettext_lazy("Rechecks kept on time"),
        gettext_lazy("Owed, done in time, late and missed, by yard and month."),
    ),
]


@needs("take_file")
def report_list(request: HttpRequest) -> HttpResponse:
    """The fleet's reports for who may see them, and the way to one vehicle's file."""
    person, typed = reader(request), request.GET.get("vehicle", "").strip()
    if typed:
        found = Vehicle.visible_to(person).filter(unit_number__iexact=typed.replace("\0", ""))
        vehicle = found.first()
        if vehicle is not None:
            return redirect("vehicle_record", vehicle.unit_number)
    context = {
        "reports": FLEET_REPORTS if person.may("view_reports") else [],
        "typed": typed,
        "wrong": _("No vehicle of your yards is called so. Type its unit number.") if typed else "",
    }
    return render(request, "reports/list.html", context, status=WRONG if typed else 200)


@needs("view_reports")
@may_be_long
def report_parts(request: HttpRequest) -> HttpResponse:
    form = PartsForm(request.GET, yards(request))
    form.is_valid()
    said = form.cleaned_data
    asked = PartAsked(said.get("since"), said.get("until"), said.get("run_in") or DISTANCE)
    days = report_tables.days_said(asked.since, asked.until)
    return _report(request, form, lambda who: reports.parts(who, asked), days)


@needs("view_reports")
@may_be_long
def report_fleet(request: HttpRequest) -> HttpResponse:
    form = FleetForm(request.GET, yards(request))
    form.is_valid()
    not_since = form.cleaned_data.get("not_since")
    days = ""
    if not_since is not None:
        days = _("No full look since %(day)s") % {"day": not_since.isoformat()}
    return _report(request, form, lambda who: reports.fleet(who, not_since), days)


@needs("view_reports")
@may_be_long
def report_kept(request: HttpRequest) -> HttpResponse:
    """Opens with the last year."""
    typed: Any = request.GET
    if "since" not in typed:
        first = first_day(yards(request), timezone.now())
        typed = request.GET.dict() | {"since": first.isoformat()}
    form = DaysForm(typed, yards(request))
    form.is_valid()
    since, until = form.cleaned_data.get("since"), form.cleaned_data.get("until")
    days = report_tables.days_said(since, until)
    return _report(request, form, lambda who: reports.kept(who, since, until), days)


def _report(request: HttpRequest, form: YardForm, ask: Any, days: str) -> HttpResponse:
    """The page, or the file that the address asks for; a wrong choice shows the page."""
    chosen = form.yards
    zone = zone_of(chosen[0]) if len(chosen) == 1 else timezone.get_current_timezone()
    with timezone.override(zone):
        who = reader_of(request, chosen)
        table = ask(who)
        wanted = request.GET.get("as", "")
        if wanted in FORMS and not form.errors:
            return handed(reports.report_file(table, wanted, who, [_yards(who), days]))
        return _page(request, form, table)


def _yards(who: Reader) -> str:
    return _("Yards: %(names)s") % {"names": ", ".join(yard.name for yard in who.yards)}


def _page(request: HttpRequest, form: YardForm, table: Table) -> HttpResponse:
    page = page_of(request, table.rows)
    context = {
        "form": form,
        "table": table,
        "page": page,
        "rows": shown_rows(table, list(page)),
        "forms": list(FORMS),
    }
    return render(request, "reports/report.html", context, status=WRONG if form.errors else 200)
