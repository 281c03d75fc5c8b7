"""The first page: the yard for those who run it, the vehicles for those who drive them."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from fleet.reads.filters import VehicleFilter
from fleet.reads.set_up import set_up
from fleet.reads.vehicles import vehicles
from fleet.reads.yard_day import yard_day
from fleet.records.models import Vehicle, Yard
from fleet.web.doors import needs, page_of, reader, yards
from fleet.web.set_up_steps import next_step


@needs("view_vehicle")
def home(request: HttpRequest) -> HttpResponse:
    if not reader(request).may("view_history"):
        return drivers_home(request)
    return _yard_page(request, yards(request), None)


@needs("view_history")
def one_yard(request: HttpRequest, slug: str) -> HttpResponse:
    for yard in yards(request):
        if yard.slug == slug:
            return _yard_page(request, [yard], yard)
    raise Http404


def _yard_page(request: HttpRequest, shown: list[Yard], yard: Yard | None) -> HttpResponse:
    now, person = timezone.now(), reader(request)
    day = yard_day(person, shown, now)
    begins = day.nothing_here and person.may("name_fleet")
    context: dict[str, Any] = {
        "yard": yard,
        "yards": yards(request),
        "day": day,
        # Where there is nothing to show yet, the page says what comes next.
        "next": next_step(set_up(person, yards(request), now)) if begins else None,
        "now": now,
        "only": f"yard={yard.slug}" if yard else "",
    }
    return render(request, "yard/page.html", context)


def drivers_home(request: HttpRequest) -> HttpResponse:
    """A driver finds the vehicle and reports what was felt."""
    fleet = vehicles(reader(request)).exclude(status=Vehicle.Status.OUT)
    chosen = VehicleFilter(request.GET, queryset=fleet, request=request)
    context = {"page": page_of(request, chosen.qs), "filters": chosen, "yards": yards(request)}
    return render(request, "yard/driver.html", context)
