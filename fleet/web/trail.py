"""Who changed what, when."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from fleet.reads.filters import TrailFilter
from fleet.reads.trail import gestures, trail, trail_rows
from fleet.web.doors import needs, page_of, reader


@needs("view_trail")
def trail_list(request: HttpRequest) -> HttpResponse:
    chosen = TrailFilter(request.GET, queryset=trail(reader(request)), request=request)
    page = page_of(request, chosen.qs)
    context = {"filters": chosen, "page": page, "gestures": gestures(trail_rows(page))}
    return render(request, "trail/list.html", context)
