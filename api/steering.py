"""A vehicle's steering as its records show it: bump steer, and toe from visit to visit."""

from typing import Any

from django.db.models import QuerySet
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.answers import ReckonedOut
from api.base import Door
from fleet.reads.geometry import bump_of
from fleet.reads.toe_visits import drifts
from fleet.reads.vehicle_file import toes_of
from fleet.records.models import Vehicle

#: The newest readings that are compared; a truck is set a few times in its life.
MOST_READINGS = 200


class BumpOut(serializers.Serializer[Any]):
    """Never a clearance to drive; or names of what is to be measured first."""

    answer = ReckonedOut(allow_null=True)
    missing = serializers.ListField(child=serializers.CharField())


class DriftOut(serializers.Serializer[Any]):
    """From one visit's as left to a later one's as found."""

    since = serializers.DateTimeField()
    reading = serializers.IntegerField(source="found.pk")
    at = serializers.DateTimeField(source="found.occurred_at")
    answer = ReckonedOut()


class SteeringOut(serializers.Serializer[Any]):
    bump_steer = BumpOut(
        allow_null=True, help_text="Null where ride height and arm are as built, or no bar crosses."
    )
    toe_drifts = DriftOut(many=True)


class Steering(Door):
    """One vehicle's drag link, track bar and toe, judged. Service information governs."""

    model = Vehicle
    ability = {"show": "view_history"}
    gives = {"show": SteeringOut}
    lookup_field = "unit_number"
    lookup_value_regex = "[^/]+"

    def shown(self, rows: QuerySet[Vehicle]) -> QuerySet[Vehicle]:
        return rows.select_related("design__axle", "design__linkage")

    def show(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Whether the axle steers over bumps, and what toe did since it was left."""
        vehicle = self.get_object()
        told = {
            "bump_steer": bump_of(vehicle),
            "toe_drifts": drifts(list(toes_of(vehicle)[:MOST_READINGS])),
        }
        return Response(SteeringOut(told).data)
