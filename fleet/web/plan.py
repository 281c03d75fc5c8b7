"""The plan of a yard, a week at a time, as ruled day sheets; and the same on paper."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from fleet.operations.plan_days import lock_day, unlock_day
from fleet.papers.day_sheet import day_sheets
from fleet.reads.plan.hours import WEEK, week_of
from fleet.reads.plan.week import week
from fleet.reads.public import address
from fleet.records.models import Yard
from fleet.web.doors import needs, reader, yards
from fleet.web.forms import Ask
from fleet.web.handing import may_be_long, pdf
from fleet.web.plan_doors import (
    about_yard,
    day_said,
    plan_address,
    pressed,
    week_said,
)


@needs("view_plan")
def plan_home(request: HttpRequest) -> HttpResponse:
    """The first of the reader's yards."""
    mine = yards(request)
    if not mine:
        return render(request, "plan/page.html", {"yards": mine})
    return plan_yard(request, slug=mine[0].slug)


@needs("view_plan")
@about_yard
def plan_yard(request: HttpRequest, yard: Yard) -> HttpResponse:
    now = timezone.now()
    found = week(reader(request), yard, week_said(request), now)
    context = {
        "week": found, "yard": yard, "yards": yards(request), "this_week": week_of(found.today),
        "may_edit": reader(request).may("edit_plan"),
    }  # fmt: skip
    return render(request, "plan/page.html", context)


@needs("view_plan")
@about_yard
@may_be_long
def plan_paper(request: HttpRequest, yard: Yard) -> HttpResponse:
    """The week's day sheets, or one day's, for the wall and a pencil."""
    now, day = timezone.now(), day_said(request, "day")
    found = week(reader(request), yard, day or week_said(request), now, 1 if day else WEEK)
    path = plan_address(yard, found.first)
    opens = address(path, request.build_absolute_uri(path))
    content = day_sheets(found, reader(request).units, now, opens)
    return pdf(content, f"plan-{yard.slug}-{found.first.isoformat()}")


@needs("edit_plan")
@about_yard
def plan_lock(request: HttpRequest, yard: Yard) -> HttpResponse:
    """Lock or unlock one day."""
    day, locked = day_said(request, "day"), request.POST.get("locked") == "yes"
    if day is None:
        return redirect(plan_address(yard))

    def verb(ask: Ask, _version: int | None) -> Any:
        do = lock_day if locked else unlock_day
        return do(ask.actor, yard.pk, day, at=ask.at, request=ask.request)

    back = plan_address(yard, day, f"day-{day.isoformat()}")
    said = _("Locked: planning again leaves this day as it is.") if locked else _("Unlocked.")
    return pressed(request, verb, lambda _row: back, back, said)
