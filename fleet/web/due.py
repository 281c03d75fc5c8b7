"""Everything owed, first to fall due first."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from fleet.reads.due import due_items, owed
from fleet.reads.filters import DueFilter
from fleet.web.doors import needs, page_of, reader


@needs("view_due")
def due_list(request: HttpRequest) -> HttpResponse:
    now = timezone.now()
    chosen = DueFilter(
        request.GET, queryset=owed(reader(request)), request=request, today=timezone.localdate(now)
    )
    page = page_of(request, chosen.qs)
    context = {"filters": chosen, "page": page, "items": due_items(page, now), "now": now}
    return render(request, "due/list.html", context)
