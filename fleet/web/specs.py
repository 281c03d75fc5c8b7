"""Torque figures with their source, recheck rules, and the torque tools."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from fleet.reads.designs import designs_seen
from fleet.reads.rules import settings_now
from fleet.reads.specs import (
    by_design,
    designs_on_file,
    ladder_rows,
    ranges_behind,
    routine_rows,
    specs,
)
from fleet.reads.tools import MOST_USES, WARNING_DAYS, tool_rows, tools, with_uses
from fleet.web.doors import needs, reader


@needs("view_specs")
def specs_page(request: HttpRequest) -> HttpResponse:
    person, now, settings = reader(request), timezone.now(), settings_now()
    warned = int(settings.get("tool_warning_days", WARNING_DAYS))
    uses = int(settings.get("tool_interval_uses", MOST_USES))
    designs = designs_on_file(person)
    # A hand-written or an old address shows the first design rather than nothing.
    chosen = next((one for one in designs if str(one.pk) == request.GET.get("design")), None)
    chosen = chosen or (designs[0] if designs else None)
    shown = by_design(specs(person).filter(design=chosen))
    context = {
        "designs": designs,
        "bare": designs_seen(person).exclude(pk__in=[one.pk for one in designs]),
        "chosen": chosen,
        "shown": shown,
        "nut_factors": ranges_behind(shown),
        "ladders": ladder_rows(),
        "routine": routine_rows(),
        "tools": tool_rows(with_uses(tools(person)), now, warned, uses),
    }
    return render(request, "specs/page.html", context)
