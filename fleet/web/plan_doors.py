"""What every page of the plan shares: the yard of an address, the week asked for, and buttons."""

from collections.abc import Callable
from datetime import date
from functools import wraps
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.dateparse import parse_date

from fleet.operations.work import Done
from fleet.reads.days import zone_of
from fleet.reads.plan.hours import week_of
from fleet.records.models import Visit, Yard
from fleet.web.doors import View, yards
from fleet.web.forms import ActForm, Ask, carry_out

# Where a press on the plan leads back to, beside its yard: the week that was open.
WEEK = "week"
FIRST_YEAR, LAST_YEAR = 2000, 9000


def about_yard(view: View) -> View:
    """Hand the view a yard of the reader's, or answer 404; in the yard's own time zone."""

    @wraps(view)
    def found(request: HttpRequest, slug: str, **more: Any) -> HttpResponse:
        yard = next((each for each in yards(request) if each.slug == slug), None)
        if yard is None:
            raise Http404
        with timezone.override(zone_of(yard)):
            return view(request, yard, **more)

    return found


def day_said(request: HttpRequest, name: str = WEEK) -> date | None:
    """A day in the address or the form; None where there is none or it is no day."""
    said = request.POST.get(name) or request.GET.get(name) or ""
    try:
        return parse_date(said)
    except ValueError:
        return None


def week_said(request: HttpRequest) -> date | None:
    """The first day of the week that was asked for, if one was."""
    day = day_said(request)
    # The calendar of the program ends with the year 9999.
    return week_of(day) if day is not None and FIRST_YEAR <= day.year < LAST_YEAR else None


def plan_address(yard: Yard, day: date | None = None, at: str = "") -> str:
    """The week of a day, at a visit or a day of it."""
    address = reverse("plan_yard", args=[yard.slug])
    asked = f"?{urlencode({WEEK: week_of(day).isoformat()})}" if day else ""
    return f"{address}{asked}{f'#{at}' if at else ''}"


def visit_address(visit: Visit) -> str:
    return plan_address(visit.yard, visit.day, f"visit-{visit.pk}")


class Press(ActForm):
    """A button without a field of its own: the version read and the key travel with it."""


def pressed(
    request: HttpRequest, verb: Callable[[Ask, int | None], Done[Any]],
    then: Callable[[Any], str], back: str, said: str = "",
) -> HttpResponse:  # fmt: skip
    """Do what a button stands for and go on; a refusal is told on the page one came from."""
    form = Press(request.POST)
    if request.method != "POST" or not form.is_valid():
        return redirect(back)
    row = carry_out(request, form, lambda ask: verb(ask, form.cleaned_data["version"]))
    if row is None:
        for told in form.non_field_errors():
            messages.error(request, str(told))
        return redirect(back)
    if said:
        messages.success(request, said)
    return redirect(then(row))
