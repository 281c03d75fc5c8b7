"""A file handed to the browser, or a page that says why there is none."""

from collections.abc import Callable
from functools import wraps
from typing import Any
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _

from fleet.papers.reports import PDF, Made, Reader, too_long
from fleet.papers.typeset import NotSet
from fleet.reads.reports.vehicle_record import TooLong
from fleet.records.models import Yard
from fleet.web.doors import View, reader

TOO_LARGE, FAILED = 413, 500


def handed(made: Made) -> HttpResponse:
    """PDF opens in the browser, tables are saved. No cache keeps a copy."""
    answer = HttpResponse(made.content, content_type=made.media_type)
    way = "inline" if made.name.endswith(f".{PDF}") else "attachment"
    answer["Content-Disposition"] = f'{way}; filename="{made.name}"'
    answer["Cache-Control"] = "private, no-store"
    return answer


def pdf(content: bytes, name: str) -> HttpResponse:
    return handed(Made(content, "application/pdf", f"{name}.{PDF}"))


def reader_of(request: HttpRequest, yards: list[Yard]) -> Reader:
    """In the zone in force, which is the yard's where one is chosen."""
    person, zone = reader(request), timezone.get_current_timezone()
    return Reader(person, yards, person.units, timezone.now(), ZoneInfo(str(zone)))


def may_be_long(view: View) -> View:
    """Say in words that a document is too long, and what makes it shorter."""

    @wraps(view)
    def told(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        try:
            return view(request, *args, **kwargs)
        except TooLong as long:
            return _page(request, too_long(long), TOO_LARGE)
        except NotSet:
            said = _("The document could not be made.")
            return _page(request, said, FAILED)

    guarded: Callable[..., HttpResponse] = told
    return guarded


def _page(request: HttpRequest, said: str, status: int) -> HttpResponse:
    context = {"said": said, "back": request.path}
    return render(request, "reports/too_long.html", context, status=status)
