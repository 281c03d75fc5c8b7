"""Meter readings in bulk: all of them, or none and every problem by its index."""

from dataclasses import asdict
from typing import Any

from django.utils.translation import gettext as _
from rest_framework import serializers, status
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Door
from api.examples import READINGS, READINGS_DONE
from api.fields import FactIn, Flag, Strict, Text, Typed
from api.plain_rows import plain_rows
from fleet.operations.bring_in.readings import Recorded, record_readings
from fleet.operations.meters import Reading
from fleet.records.models import MeterReading, MeterUnit, Person, Vehicle

MOST = 5_000


class RowIn(FactIn):
    vehicle = Text(max_length=20, help_text="Unit number.")
    meter = Typed(max_length=40, help_text='As the meter shows it: "48,210".')
    unit = serializers.ChoiceField(
        choices=MeterUnit.choices, required=False, help_text="Left out: the vehicle's own."
    )
    new_meter = Flag(required=False, help_text="The first reading of a new meter.")
    reason = Text(required=False, allow_blank=True, max_length=200)


class ManyReadingsIn(Strict):
    readings: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=RowIn(), allow_empty=False, max_length=MOST
    )


class ManyReadingsOut(serializers.Serializer[Recorded]):
    """What became of the rows."""

    added = serializers.IntegerField()
    on_file = serializers.IntegerField(help_text="On file before; left alone.")
    repeated = serializers.IntegerField(help_text="Said twice in the same request.")


class ManyReadings(Door):
    """Readings in bulk, for programs that keep them elsewhere."""

    model = MeterReading
    ability = {"create": "record_meter"}
    keyed = frozenset({"create"})
    takes = {"create": ManyReadingsIn}
    gives = {"create": ManyReadingsOut}
    examples = {"create": [*READINGS, *READINGS_DONE]}
    throttle_scope = "bulk"

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Record up to 5,000 readings: all of them, or none and every problem by its index.

        Safe to repeat: a reading that is on file already is counted and left alone.
        """
        rows = readings_of(self._rows(), self.actor.person)
        recorded = record_readings(self.actor, rows, at=self.now, request=self.key)
        counts = asdict(recorded)
        replayed = counts.pop("replayed")
        headers = {"Idempotency-Replayed": "true"} if replayed else None
        return Response(counts, status.HTTP_201_CREATED, headers=headers)

    def _rows(self) -> list[dict[str, Any]]:
        plain = plain_rows(self.request.data, MOST)
        rows: list[dict[str, Any]] = self.said()["readings"] if plain is None else plain
        return rows


def readings_of(rows: list[dict[str, Any]], person: Person) -> list[Reading]:
    """The operation's readings; all unit numbers are looked up at once."""
    numbers = {row["vehicle"] for row in rows}
    seen = Vehicle.visible_to(person).filter(unit_number__in=numbers)
    ids = dict(seen.values_list("unit_number", "pk"))
    unknown = {
        str(index): {"vehicle": [_("There is no such one within your yards.")]}
        for index, row in enumerate(rows)
        if row["vehicle"] not in ids
    }
    if unknown:
        raise ValidationError({"readings": unknown}, "not_there")
    return [
        Reading(
            vehicle_id=ids[row["vehicle"]],
            typed=row["meter"],
            unit=row.get("unit", ""),
            occurred_at=row.get("at"),
            new_meter=row.get("new_meter", False),
            reason=row.get("reason", ""),
            uid=row.get("uid"),
        )
        for row in rows
    ]
