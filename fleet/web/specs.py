"""Torque figures with their source, recheck rules, and the torque tools."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from fleet.reads.designs import designs_seen
from fleet.reads.rules import settings_now
from fleet.reads.specs import by_design, ladder_rows, ranges_behind, routine_rows, specs
from fleet.reads.tools import WARNING_DAYS, tool_rows, tools
from fleet.web.doors import needs, reader


@needs("view_specs")
def specs_page(request: HttpRequest) -> HttpResponse:
    person, now = reader(request), timezone.now()
    warned = int(settings_now().get("tool_warning_days", WARNING_DAYS))
    designs = by_design(specs(person))
    context = {
        "designs": designs,
        "bare": designs_seen(person).exclude(pk__in=[each.design.pk for each in designs]),
        "nut_factors": ranges_behind(designs),
        "ladders": ladder_rows(),
        "routine": routine_rows(),
        "tools": tool_rows(tools(person), now, warned),
    }
    return render(request, "specs/page.html", context)
