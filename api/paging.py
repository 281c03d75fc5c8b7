"""Pages for short lists, a cursor for those that only grow."""

import base64
import binascii
from datetime import datetime
from typing import Any

from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _
from rest_framework.exceptions import NotFound, ValidationError
from rest_framework.pagination import BasePagination, PageNumberPagination
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.utils.urls import replace_query_param

from fleet.reads.due_parts import PartsPaginator

MOST = 200
LARGEST_ID = 2**63 - 1


class _Sized(BasePagination):
    """A page size that can't be kept is refused, not bent."""

    page_size: int | None = 50
    page_size_query_param = "page_size"

    def get_page_size(self, request: Request) -> int | None:
        said = request.query_params.get("page_size")
        if said is None:
            return self.page_size
        if not (said.isascii() and said.isdigit() and 0 < int(said[:9]) <= MOST):
            message = _("From 1 to %(most)d.") % {"most": MOST}
            raise ValidationError({"page_size": message})
        return int(said)


class Pages(_Sized, PageNumberPagination):
    """`page` and `page_size`; the answer counts all."""

    page_size_query_param = "page_size"
    max_page_size = MOST


class DuePages(Pages):
    """The same of the due list, which stands in parts."""

    django_paginator_class = PartsPaginator


class Cursor(_Sized):
    """`cursor` and `page_size`, newest first: a place that stays put while the list grows.

    The place is the moment and the id of the last row given, so that rows of the same moment
    are neither given twice nor left out.
    """

    cursor_query_param = "cursor"
    moment = "occurred_at"
    next: str | None = None

    def paginate_queryset(self, queryset: Any, request: Request, view: Any = None) -> list[Any]:
        size = self.get_page_size(request) or MOST
        rows = self.ordered(queryset)
        if said := request.query_params.get(self.cursor_query_param):
            rows = rows.filter(self.after(*_place(said)))
        page = list(rows[: size + 1])
        if len(page) > size:
            text = self.place_of(page[size - 1])
            address = request.build_absolute_uri()
            self.next = replace_query_param(address, self.cursor_query_param, text)
        return page[:size]

    def ordered(self, rows: QuerySet[Any]) -> QuerySet[Any]:
        return rows.order_by(f"-{self.moment}", "-id")

    def after(self, moment: datetime, pk: int) -> Q:
        """Older, or of the same moment with a smaller id; said so that the index serves."""
        older = Q(**{f"{self.moment}__lt": moment}) | Q(id__lt=pk)
        return Q(**{f"{self.moment}__lte": moment}) & older

    def place_of(self, row: Any) -> str:
        moment: datetime = getattr(row, self.moment)
        return base64.urlsafe_b64encode(f"{moment.isoformat()}|{row.pk}".encode()).decode()

    def get_paginated_response(self, data: Any) -> Response:
        return Response({"next": self.next, "results": data})

    def get_paginated_response_schema(self, schema: dict[str, Any]) -> dict[str, Any]:
        link = {"type": "string", "format": "uri", "nullable": True}
        return {
            "type": "object",
            "required": ["next", "results"],
            "properties": {"next": link, "results": schema},
        }

    def get_schema_operation_parameters(self, view: Any) -> list[dict[str, Any]]:
        texts = {
            self.cursor_query_param: ("string", "A place in the list, as `next` gave it."),
            self.page_size_query_param: ("integer", f"Rows a page, from 1 to {MOST}."),
        }
        return [
            {"name": name, "required": False, "in": "query", "description": text,
             "schema": {"type": kind}}
            for name, (kind, text) in texts.items()
        ]  # fmt: skip


class TrailCursor(Cursor):
    """The trail is in the order of its ids."""

    moment = "at"

    def ordered(self, rows: QuerySet[Any]) -> QuerySet[Any]:
        return rows.order_by("-id")

    def after(self, moment: datetime, pk: int) -> Q:
        return Q(id__lt=pk)


def _place(said: str) -> tuple[datetime, int]:
    """A cursor is the server's own text; one that was tampered with points nowhere."""
    try:
        text = base64.urlsafe_b64decode(said.encode("ascii")).decode("ascii")
        moment, _bar, pk = text.partition("|")
        place = datetime.fromisoformat(moment), int(pk)
    except (ValueError, binascii.Error):
        raise NotFound(_("No such cursor.")) from None
    if place[0].tzinfo is None or not 0 < place[1] <= LARGEST_ID:
        raise NotFound(_("No such cursor."))
    return place


def params_of(paginator: Any) -> set[str]:
    """The query parameters that a paginator reads."""
    names = ("page_query_param", "page_size_query_param", "cursor_query_param")
    return {getattr(paginator, name) for name in names if hasattr(paginator, name)}
