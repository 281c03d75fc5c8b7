"""Meter readings: one at a time, or a file's worth at once."""

from typing import Any

from django.db.models import QuerySet
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Listed
from api.examples import READING, REASON
from api.fields import FactIn, Flag, InScope, Strict, Text, Typed
from api.filters import ReadingFilter
from api.paging import Cursor
from api.people import PersonRef
from fleet.operations.meters import Reading, record_meter, withdraw_reading
from fleet.records.models import MeterReading, MeterUnit, Vehicle


class ReadingIn(FactIn):
    vehicle = InScope(Vehicle, "unit_number", help_text="Unit number.")
    meter = Typed(max_length=40, help_text='As the meter shows it: "48,210".')
    unit = serializers.ChoiceField(
        choices=MeterUnit.choices, required=False, help_text="Left out: the vehicle's own."
    )
    new_meter = Flag(required=False, help_text="The first reading of a new meter.")
    old_meter = Typed(
        required=False, allow_blank=True, max_length=40,
        help_text="With new_meter: where the old one stood, if somebody looked.",
    )  # fmt: skip
    reason = Text(
        required=False, allow_blank=True, max_length=200,
        help_text="A manager's reason for taking a reading that the checks refuse.",
    )  # fmt: skip


class WithdrawIn(Strict):
    reason = Text(max_length=200)


class ReadingOut(serializers.ModelSerializer[MeterReading]):
    vehicle = serializers.SlugRelatedField[MeterReading](slug_field="unit_number", read_only=True)
    by = PersonRef(read_only=True)
    use_si = serializers.IntegerField(
        read_only=True,
        help_text="Metres, or seconds for an hour meter; continuous over replaced meters.",
    )

    class Meta:
        model = MeterReading
        fields = [
            "id", "uid", "vehicle", "kind", "typed", "value", "unit", "use_si", "withdraws",
            "reason", "occurred_at", "received_at", "by",
        ]  # fmt: skip
        read_only_fields = fields


class Readings(Listed):
    """Meter readings, newest first."""

    model = MeterReading
    serializer_class = ReadingOut
    filterset_class = ReadingFilter
    pagination_class = Cursor
    ability = {
        "list": "view_history",
        "create": "record_meter",
        "withdraw": "accept_reading",
    }
    keyed = frozenset({"create", "withdraw"})
    takes = {"create": ReadingIn, "withdraw": WithdrawIn}
    examples = {"create": READING, "withdraw": REASON}

    def shown(self, rows: QuerySet[MeterReading]) -> QuerySet[MeterReading]:
        return rows.select_related("vehicle", "by")

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Record one reading. One that runs backwards or too fast is refused, saying why."""
        said = self.said()
        reading = Reading(
            vehicle_id=said["vehicle"].pk,
            typed=said["meter"],
            unit=said.get("unit", ""),
            occurred_at=said.get("at"),
            new_meter=said.get("new_meter", False),
            old_meter=said.get("old_meter", ""),
            reason=said.get("reason", ""),
            uid=said.get("uid"),
        )
        return self.made(record_meter(self.actor, reading, at=self.now, request=self.key))

    def withdraw(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Say that a reading was wrong: it stays on file and counts no more."""
        wrong, said = self.get_object(), self.said()
        done = withdraw_reading(self.actor, wrong.pk, said["reason"], at=self.now, request=self.key)
        return self.made(done)
