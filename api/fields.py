"""Fields of requests: what was typed is taken as typed, and nothing else is guessed."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db.models import QuerySet
from django.utils.dateparse import parse_datetime
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers
from rest_framework.exceptions import ErrorDetail

from fleet.records.base import Record
from fleet.records.models import Person

MAX_TYPED = 80
MAX_ANSWER = 2000
MOST_FIGURE = 1e9
MOST_WHOLE = 2**31 - 1


class Strict(serializers.Serializer[Any]):
    """A request body whose every field is known: a typo is told, never lost in silence."""

    def to_internal_value(self, data: Any) -> Any:
        unknown = {
            str(name): [ErrorDetail(gettext("There is no such field here."), code="unknown_field")]
            for name in (data if isinstance(data, Mapping) else ())
            if name not in self.fields
        }
        try:
            values = super().to_internal_value(data)
        except serializers.ValidationError as error:
            known = error.detail if isinstance(error.detail, dict) else {}
            raise serializers.ValidationError({**known, **unknown}) from error
        if unknown:
            raise serializers.ValidationError(unknown)
        return values


class Typed(serializers.CharField):
    """A figure as it was typed, with its unit: "46 5/16 in". The operation reads it."""

    default_error_messages = {
        "not_text": _('Send the figure as text with its unit, as it was read: "60 lbf·ft".')
    }

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("max_length", MAX_TYPED)
        super().__init__(**kwargs)

    def to_internal_value(self, data: Any) -> str:
        if not isinstance(data, str):
            self.fail("not_text")
        return str(super().to_internal_value(data))


@extend_schema_field({"oneOf": [{"type": "string", "maxLength": 2000}, {"type": "boolean"}]})
class TypedOrFlag(serializers.Field[Any, Any, Any, Any]):
    """One answer on a line: text as typed, or true and false for a box."""

    default_error_messages = {
        "not_answer": _("Send text as it was typed, or true or false."),
        "too_long": _("Longer than %(most)d characters.") % {"most": MAX_ANSWER},
    }

    def to_internal_value(self, data: Any) -> str | bool:
        if not isinstance(data, str | bool):
            self.fail("not_answer")
        if isinstance(data, str) and len(data) > MAX_ANSWER:
            self.fail("too_long")
        return data

    def to_representation(self, value: Any) -> Any:
        return value


class Text(serializers.CharField):
    """Text, and no figure or truth value turned into text."""

    default_error_messages = {"not_text": _("Send text.")}

    def to_internal_value(self, data: Any) -> str:
        if not isinstance(data, str):
            self.fail("not_text")
        return str(super().to_internal_value(data))


class UnitNumber(Text):
    """It stands in addresses, so it has no slash and no question mark."""

    default_error_messages = {"not_address": _("Leave out / ? and #.")}

    def to_internal_value(self, data: Any) -> str:
        said = super().to_internal_value(data)
        if set(said) & set("/?#"):
            self.fail("not_address")
        return said


class Figure(serializers.FloatField):
    """A number, in the unit that the field's name says; not a number in quotes."""

    default_error_messages = {
        "not_figure": _("Send a number."),
        "too_large": _("No such figure is met with on a vehicle."),
    }

    def to_internal_value(self, data: Any) -> float:
        if isinstance(data, bool) or not isinstance(data, int | float):
            self.fail("not_figure")
        if abs(data) > MOST_FIGURE:
            self.fail("too_large")
        return float(data)


class Whole(serializers.IntegerField):
    """A whole number that a database keeps; not in quotes, not 5.0."""

    default_error_messages = {"not_whole": _("Send a whole number.")}

    def to_internal_value(self, data: Any) -> int:
        if isinstance(data, bool) or not isinstance(data, int) or abs(data) > MOST_WHOLE:
            self.fail("not_whole")
        return data


class Flag(serializers.BooleanField):
    """true or false; not "yes", not 1."""

    default_error_messages = {"not_flag": _("Send true or false.")}

    def to_internal_value(self, data: Any) -> bool:
        if not isinstance(data, bool):
            self.fail("not_flag")
        return data


class Moment(serializers.DateTimeField):
    """A moment with its offset from UTC; without one nobody knows which it is."""

    default_error_messages = {
        "no_zone": _("Say the offset from UTC, as in 2026-03-08T09:30:00-07:00 or ...Z."),
    }

    def to_internal_value(self, value: Any) -> datetime:
        said = _moment(value)
        if said is not None and said.tzinfo is None:
            self.fail("no_zone")
        return super().to_internal_value(value)


def _moment(value: Any) -> datetime | None:
    try:
        return parse_datetime(value) if isinstance(value, str) else None
    except ValueError:
        return None


@extend_schema_field(OpenApiTypes.STR)
class InScope(serializers.RelatedField[Any, Any, Any]):
    """A record named by its unit number, slug or code, looked for in the sender's scope only.

    One outside the scope and one that does not exist are told alike.
    """

    kind: type = str
    default_error_messages = {
        "not_there": _("There is no such one within your yards."),
        "not_name": _("Send its number or name."),
    }

    def __init__(self, model: type[Record] | type[Person], by: str, **kwargs: Any) -> None:
        self.model, self.by = model, by
        super().__init__(**kwargs)

    def get_queryset(self) -> QuerySet[Any]:
        return self.model.visible_to(self.context["request"].user)

    def to_internal_value(self, data: Any) -> Any:
        if not isinstance(data, self.kind) or isinstance(data, bool):
            self.fail("not_name")
        row = self.get_queryset().filter(**{self.by: data}).first()
        if row is None:
            self.fail("not_there")
        return row

    def to_representation(self, value: Any) -> Any:
        return getattr(value, self.by)


@extend_schema_field(OpenApiTypes.INT)
class ById(InScope):
    """The same for what has no name of its own: its id."""

    kind = int
    default_error_messages = {"not_name": _("Send its id, a whole number.")}

    def __init__(self, model: type[Record] | type[Person], **kwargs: Any) -> None:
        super().__init__(model, "pk", **kwargs)


class FactIn(Strict):
    """What every request that records a fact may say of itself."""

    at = Moment(
        required=False,
        help_text="When it happened, with offset from UTC. Left out: now. Never later than now.",
    )
    uid = serializers.UUIDField(
        required=False, help_text="An identity of the client's own making (UUIDv7)."
    )
