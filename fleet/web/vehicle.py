"""One vehicle's page."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone

from fleet.reads.days import zone_of
from fleet.reads.photos import photos_of_vehicle
from fleet.reads.timeline import events, looks_that_found, whole_timeline
from fleet.reads.toe_plot import toe_plot
from fleet.reads.vehicle_file import open_ticket, vehicle_file, vehicles_with_all_shown
from fleet.reads.vehicle_picture import vehicle_picture
from fleet.reads.vehicles import holds_on, read_over_on
from fleet.reads.yard_moves import move_on
from fleet.records.models import Vehicle
from fleet.web.doors import in_scope, needs, page_of, reader
from fleet.web.front_end import Address, front_end_of

TIMELINE_SIZE = 25
# Asked for whole, to be printed: a truck looked at every week for twenty years has 1,040 looks.
WHOLE = 5_000


@needs("view_vehicle")
def vehicle_page(request: HttpRequest, unit_number: str) -> HttpResponse:
    person = reader(request)
    vehicle = in_scope(vehicles_with_all_shown(person), unit_number=unit_number)
    with timezone.override(zone_of(vehicle.yard)):
        if not person.may("view_history"):
            return _drivers_page(request, vehicle)
        now = timezone.now()
        size = WHOLE if "whole" in request.GET else TIMELINE_SIZE
        whole = whole_timeline(vehicle)
        page = page_of(request, whole, size)
        file, found = vehicle_file(person, vehicle, now), looks_that_found(vehicle)
        context = {
            "vehicle": vehicle,
            "file": file,
            "front": front_end_of(vehicle, file.joints, now, _page_of(vehicle)),
            "toe_picture": toe_plot(file.toe_chart, person.units, timezone.localdate(now)),
            "picture": vehicle_picture(vehicle, whole, found, now),
            "photos": photos_of_vehicle(person, vehicle),
            "now": now,
            "page": page,
            "events": events(page),
        }
        return render(request, "vehicle/page.html", context)


def _page_of(vehicle: Vehicle) -> Address:
    return lambda joint: reverse("joint", args=[vehicle.unit_number, joint.pk])


def _drivers_page(request: HttpRequest, vehicle: Vehicle) -> HttpResponse:
    """For a driver: may it go out, and whom to tell."""
    context = {
        "vehicle": vehicle,
        "holds": holds_on(vehicle),
        "read_over": read_over_on(vehicle),
        "move": move_on(vehicle),
        "now": timezone.now(),
        "ticket": open_ticket(vehicle),
    }
    return render(request, "vehicle/driver.html", context)
