"""Round every page: the reader's language, yards and time zone, and compression."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.middleware.gzip import GZipMiddleware
from django.utils import timezone, translation

from fleet.reads.days import zone_of
from fleet.reads.postings import yards_of_reader


class PersonMiddleware:
    """Sets `request.yards` (the reader's, by name) and the zone of the first of them."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        # The API speaks UTC and the problem texts of its caller's Accept-Language.
        if request.path.startswith("/api/") or not request.user.is_authenticated:
            return self.get_response(request)
        yards = yards_of_reader(request.user)
        request.yards = yards  # type: ignore[attr-defined]  # a request carries what it is given
        zone = zone_of(yards[0] if yards else None)
        language = request.user.language
        with translation.override(language), timezone.override(zone):
            answer = self.get_response(request)
        # Django's own middleware would name the language of the browser here.
        answer.headers.setdefault("Content-Language", language)
        return answer


class PagesGzip(GZipMiddleware):
    """Pages go compressed; the API does not, since its ETags are strong."""

    def process_response(
        self, request: HttpRequest, response: HttpResponseBase
    ) -> HttpResponseBase:
        if request.path.startswith("/api/"):
            return response
        return super().process_response(request, response)
