"""The way in: who may open a page, and what an address outside one's scope answers."""

from collections.abc import Callable
from functools import wraps
from typing import Any, TypeVar, cast

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import ObjectDoesNotExist, PermissionDenied
from django.core.paginator import Page, Paginator
from django.db.models import Model, QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django_htmx.http import HttpResponseClientRedirect

from fleet.records.models import Person, Yard

View = Callable[..., HttpResponse]
Row = TypeVar("Row", bound=Model)

PAGE_SIZE = 50


def needs(*abilities: str) -> Callable[[View], View]:
    """Let in those whose role has every one of `abilities`.

    Somebody not signed in is sent to sign in and back; a role that may not gets 403.
    """

    def guard(view: View) -> View:
        @wraps(view)
        def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
            if not request.user.is_authenticated:
                return _to_sign_in(request)
            if not all(reader(request).may(ability) for ability in abilities):
                raise PermissionDenied
            return view(request, *args, **kwargs)

        guarded.needs = abilities  # type: ignore[attr-defined]  # read by the permission test
        return guarded

    return guard


def _to_sign_in(request: HttpRequest) -> HttpResponse:
    """To the sign-in page and back; a part of a page that is asked for sends the whole page."""
    address = redirect_to_login(request.get_full_path())
    if getattr(request, "htmx", False):
        return HttpResponseClientRedirect(address.url)
    return address


def reader(request: HttpRequest) -> Person:
    """The person behind a guarded request."""
    return cast(Person, request.user)


def yards(request: HttpRequest) -> list[Yard]:
    """The reader's yards by name, read once a request by the middleware."""
    return cast(list[Yard], getattr(request, "yards", []))


def in_scope(rows: QuerySet[Row], **wanted: Any) -> Row:
    """The one row, or 404: a stranger can't tell what is elsewhere from what is nowhere."""
    # PostgreSQL stores no NUL, so nothing is called by one.
    if any("\0" in value for value in wanted.values() if isinstance(value, str)):
        raise Http404
    try:
        return rows.get(**wanted)
    except (ObjectDoesNotExist, OverflowError) as missing:
        raise Http404 from missing


def page_of(
    request: HttpRequest, rows: Any, size: int = PAGE_SIZE, kind: "type[Paginator[Any]]" = Paginator
) -> Page[Any]:
    """One page of a long list; a page number past the end gives the last page."""
    return kind(rows, size).get_page(request.GET.get("page"))
