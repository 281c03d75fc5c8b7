"""The list of vehicles."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from fleet.reads.filters import VehicleFilter
from fleet.reads.vehicles import vehicles
from fleet.web.doors import needs, page_of, reader


@needs("view_vehicle")
def vehicle_list(request: HttpRequest) -> HttpResponse:
    chosen = VehicleFilter(request.GET, queryset=vehicles(reader(request)), request=request)
    context = {"filters": chosen, "page": page_of(request, chosen.qs)}
    return render(request, "vehicle/list.html", context)
