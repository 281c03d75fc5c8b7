"""Views about one thing in the reader's scope, shown in the time zone of its yard."""

from functools import wraps
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from fleet.reads.days import zone_of
from fleet.reads.tickets import tickets
from fleet.reads.vehicle_file import vehicles_with_all_shown
from fleet.web.doors import View, in_scope, reader


def about_vehicle(view: View) -> View:
    """Hand the view the vehicle of its address, or answer 404."""

    @wraps(view)
    def found(request: HttpRequest, unit_number: str, **more: Any) -> HttpResponse:
        rows = vehicles_with_all_shown(reader(request))
        vehicle = in_scope(rows, unit_number=unit_number)
        with timezone.override(zone_of(vehicle.yard)):
            return view(request, vehicle, **more)

    return found


def about_ticket(view: View) -> View:
    """Hand the view the ticket of its address, or answer 404."""

    @wraps(view)
    def found(request: HttpRequest, ticket_id: int, **more: Any) -> HttpResponse:
        rows = tickets(reader(request)).select_related(
            *(f"vehicle__design__{axis}" for axis in ("axle", "linkage", "knuckle", "hub")),
            "vehicle__yard",
            "vehicle__use",
            "closed_by",
        )
        ticket = in_scope(rows, pk=ticket_id)
        with timezone.override(zone_of(ticket.vehicle.yard)):
            return view(request, ticket, **more)

    return found
