"""What every view of this door stands on: scope, ability, request key, version, strict JSON."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any, ClassVar, cast

from django.core.exceptions import ImproperlyConfigured
from django.db.models import Model, QuerySet
from django.http import Http404
from django.utils import timezone, translation
from django.utils.cache import patch_vary_headers
from django.utils.translation import gettext as _
from rest_framework import serializers, status
from rest_framework.exceptions import ValidationError
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request as HttpRequest
from rest_framework.response import Response
from rest_framework.viewsets import GenericViewSet

from api.etags import etag_of, expected_version, is_known
from api.idempotency import request_key
from api.paging import params_of
from api.parsing import StrictJSON
from api.schema import HouseSchema
from fleet.operations.actor import Actor
from fleet.operations.once import Request
from fleet.operations.work import Done
from fleet.records.base import Record
from fleet.records.models import Person

SerializerClass = type[serializers.BaseSerializer[Any]]


class Door(GenericViewSet[Any]):
    """A noun of the API.

    `ability` maps each action to a line of the abilities table, and an action without one is
    refused. `keyed` actions need an Idempotency-Key, `matched` ones an If-Match,
    and `may_match` ones heed it where it is sent. `takes` and
    `gives` say for each action what the request and the answer look like; `gives` falls back to
    the serializer_class. `asks` says what the address of a GET may carry.
    """

    model: ClassVar[type[Record] | type[Person]]
    ability: ClassVar[Mapping[str, str]] = {}
    keyed: ClassVar[frozenset[str]] = frozenset()
    matched: ClassVar[frozenset[str]] = frozenset()
    may_match: ClassVar[frozenset[str]] = frozenset()
    takes: ClassVar[Mapping[str, SerializerClass]] = {}
    gives: ClassVar[Mapping[str, SerializerClass]] = {}
    asks: ClassVar[Mapping[str, SerializerClass]] = {}
    http_method_names = ["get", "post", "patch", "delete", "head"]
    parser_classes = [StrictJSON]
    metadata_class = None
    schema = HouseSchema()

    key: Request
    expected: int | None = None

    def initial(self, request: HttpRequest, *args: Any, **kwargs: Any) -> None:
        """After sign-in and ability: what the headers of this action must say."""
        super().initial(request, *args, **kwargs)
        if any("\x00" in str(part) for part in kwargs.values()):
            raise Http404
        heeded = self.action in self.may_match and "If-Match" in request.headers
        if heeded or self.action in self.matched:
            self.expected = expected_version(request)
        if self.action in self.keyed:
            self.key = request_key(request)

    def perform_authentication(self, request: HttpRequest) -> None:
        """Whoever asks for no language is answered in their own."""
        super().perform_authentication(request)
        if "Accept-Language" not in request.headers and request.user.is_authenticated:
            translation.activate(request.user.language)

    def finalize_response(
        self, request: HttpRequest, response: Any, *args: Any, **kwargs: Any
    ) -> Response:
        """Nothing here is for anyone's cache but the reader's own."""
        answer = super().finalize_response(request, response, *args, **kwargs)
        patch_vary_headers(answer, ["Authorization", "Cookie", "Accept-Language"])
        answer.headers.setdefault("Cache-Control", "private, no-cache")
        return answer

    @property
    def actor(self) -> Actor:
        return Actor(cast(Person, self.request.user), "api")

    @property
    def now(self) -> datetime:
        return timezone.now()

    def get_queryset(self) -> QuerySet[Any]:
        """Every list and look-up: the reader's scope, with what the answer shows of it."""
        if getattr(self, "swagger_fake_view", False):
            return QuerySet(self.model).none()
        return self.shown(self.model.visible_to(self.actor.person))

    def shown(self, rows: QuerySet[Any]) -> QuerySet[Any]:
        """Joins and annotations of the answer; a noun overrides it."""
        return rows

    def get_serializer_class(self) -> SerializerClass:
        found = self.gives.get(self.action or "", self.serializer_class)
        if found is None:
            raise ImproperlyConfigured(f"{type(self).__name__}.{self.action} gives nothing")
        return found

    def within(self, model: type[Record], **named: Any) -> Any:
        """A record that the address names, or 404 outside the reader's scope."""
        return get_object_or_404(model.visible_to(self.actor.person), **named)

    def said(self, partial: bool = False) -> dict[str, Any]:
        """The request's body, judged by this action's `takes`."""
        asked = self.takes[self.action or ""](
            data=self.request.data, partial=partial, context=self.get_serializer_context()
        )
        asked.is_valid(raise_exception=True)
        return cast(dict[str, Any], asked.validated_data)

    def asked(self) -> dict[str, Any]:
        """What the address carries, judged by this action's `asks`."""
        asked = self.asks[self.action or ""](
            data=self.request.query_params.dict(), context=self.get_serializer_context()
        )
        asked.is_valid(raise_exception=True)
        return cast(dict[str, Any], asked.validated_data)

    def done(self, done: Done[Any], code: int = status.HTTP_200_OK) -> Response:
        """Answer a verb: the row as it now reads, and whether it was done before."""
        response = self.shows(done.row, code)
        if done.replayed:
            response["Idempotency-Replayed"] = "true"
        return response

    def made(self, done: Done[Any]) -> Response:
        """The same for a row that the verb made."""
        return self.done(done, status.HTTP_201_CREATED)

    def shows(self, row: Model, code: int = status.HTTP_200_OK) -> Response:
        """One row, read again with all that the answer shows of it."""
        full = self.get_queryset_for(row).get(pk=row.pk)
        serializer = self.get_serializer_class()(full, context=self.get_serializer_context())
        response = Response(serializer.data, code)
        if hasattr(full, "version"):
            response["ETag"] = etag_of(full)
        return response

    def get_queryset_for(self, row: Model) -> QuerySet[Any]:
        """Where an answered row is read again; rows of a noun's own by default."""
        if isinstance(row, self.model):
            return self.get_queryset()
        model: type[Any] = type(row)
        rows: QuerySet[Any] = model.visible_to(self.actor.person)
        return rows


class Listed(Door):
    """GET of the list: filtered, paged, and a mistyped parameter is told."""

    def list(self, request: HttpRequest, *args: Any, **kwargs: Any) -> Response:
        self._refuse_unknown_parameters()
        rows = self.filter_queryset(self.get_queryset())
        page = self.paginate_queryset(rows)
        serializer = self.get_serializer(page, many=True)
        return self.get_paginated_response(serializer.data)

    def _refuse_unknown_parameters(self) -> None:
        filters = getattr(self, "filterset_class", None)
        known = set(filters.base_filters) if filters else set()
        unknown = set(self.request.query_params) - known - params_of(self.paginator)
        if unknown:
            message = _("There is no such parameter here.")
            raise ValidationError(dict.fromkeys(sorted(unknown), message), "unknown_parameter")


class Shown(Door):
    """GET of one, with its ETag where it has versions."""

    def retrieve(self, request: HttpRequest, *args: Any, **kwargs: Any) -> Response:
        row = self.get_object()
        if not hasattr(row, "version"):
            return Response(self.get_serializer(row).data)
        headers = {"ETag": etag_of(row)}
        if is_known(request, headers["ETag"]):
            return Response(status=status.HTTP_304_NOT_MODIFIED, headers=headers)
        return Response(self.get_serializer(row).data, headers=headers)
