"""One photo as a file: to whoever may read the vehicle's history, and to no page's scripts."""

from typing import cast
from uuid import UUID

from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.utils.cache import patch_cache_control

from fleet.reads.photos import open_photo, photos
from fleet.web.doors import in_scope, needs, reader

YEAR_S = 31_536_000
# Nothing that stands in the file may load or run anything.
POLICY = "default-src 'none'; frame-ancestors 'none'"


@needs("view_history")
def photo(request: HttpRequest, uid: UUID) -> HttpResponse:
    """A photo never changes, so that a browser asks for it once."""
    row = in_scope(photos(reader(request)), uid=uid)
    try:
        file = open_photo(row)
    except FileNotFoundError as gone:
        raise Http404 from gone
    # A streaming answer is a response, though not of the class that every view is said to give.
    answer = cast(HttpResponse, FileResponse(file, content_type=row.kind))
    answer["Content-Disposition"] = "inline"
    answer["Content-Security-Policy"] = POLICY
    answer["X-Content-Type-Options"] = "nosniff"
    patch_cache_control(answer, private=True, immutable=True, max_age=YEAR_S)
    return answer
