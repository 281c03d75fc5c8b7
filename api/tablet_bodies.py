"""The body of each operation that a tablet sends: what it carries, by verb."""

from typing import Any

from rest_framework import serializers

from api.checks import CheckIn, ReleaseIn, RoadTestIn
from api.fields import MOST_WHOLE, ById, InScope, Strict, Text, Typed, TypedOrFlag, Whole
from api.lines import LineIn
from api.sheets import SheetIn
from api.tickets import CloseIn, TicketIn
from fleet.records.models import Joint, Vehicle


class TicketRef(serializers.Field[Any, Any, Any, Any]):
    """A ticket by its id, or by the uid of what opens it."""

    default_error_messages = {"not_ticket": "A ticket's id, or the uid of what opens it."}

    def to_internal_value(self, data: Any) -> int | str:
        number = isinstance(data, int) and not isinstance(data, bool) and 0 < data <= MOST_WHOLE
        if not number and not isinstance(data, str):
            self.fail("not_ticket")
        found: int | str = data
        return found

    def to_representation(self, value: Any) -> Any:
        return value


class LineRef(Strict):
    """A line by its id, or by its work and joint on a ticket."""

    id = Whole(required=False, min_value=1)
    ticket = TicketRef(required=False)
    action = Text(required=False, max_length=40)
    joint = Whole(required=False, allow_null=True, min_value=1)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if "id" not in attrs and not {"ticket", "action"} <= set(attrs):
            raise serializers.ValidationError("Name the line by its id, or its ticket and work.")
        return attrs


class SawField(serializers.ListField):
    """The uids of the entries that somebody had before them."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(child=serializers.UUIDField(), max_length=200, **kwargs)

    def to_internal_value(self, data: Any) -> Any:
        return frozenset(super().to_internal_value(data))


class HoldBody(Strict):
    vehicle = InScope(Vehicle, "unit_number")
    text = Text(max_length=300)
    joint = ById(Joint, required=False, allow_null=True)


class MeterBody(Strict):
    vehicle = InScope(Vehicle, "unit_number")
    reading = Typed(max_length=40)


class AddLineBody(LineIn):
    ticket = TicketRef()


class DropLineBody(Strict):
    line = LineRef()
    reason = Text(max_length=200)


class RecordLineBody(Strict):
    line = LineRef()
    typed = serializers.DictField(child=TypedOrFlag())
    done_by = Text(required=False, allow_blank=True, max_length=120)
    saw = serializers.UUIDField(allow_null=True)


class CheckBody(CheckIn):
    ticket = TicketRef()
    saw = SawField()


class ReleaseBody(ReleaseIn):
    ticket = TicketRef()


class RoadTestBody(RoadTestIn):
    ticket = TicketRef()


class CloseBody(CloseIn):
    ticket = TicketRef()
    saw = SawField()


class SetAsideBody(Strict):
    operation = serializers.UUIDField()
    reason = Text(max_length=300)


BODIES: dict[str, type[Strict]] = {
    "record_inspection": SheetIn,
    "place_hold": HoldBody,
    "record_meter": MeterBody,
    "open_ticket": TicketIn,
    "add_line": AddLineBody,
    "drop_line": DropLineBody,
    "record_line": RecordLineBody,
    "second_check": CheckBody,
    "release": ReleaseBody,
    "road_test": RoadTestBody,
    "close_ticket": CloseBody,
    "set_aside": SetAsideBody,
}
