"""Yards: where vehicles live and are worked on."""

from dataclasses import fields
from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Listed, Shown
from api.examples import YARD, YARD_CHANGE
from api.fields import Flag, Strict, Text, Whole
from fleet.operations.yards import MOST_BAYS, NewYard, add_yard, change_yard
from fleet.reads.yards import version_of
from fleet.records.models import Yard

UNITS = Yard._meta.get_field("units").choices or []


class YardIn(Strict):
    name = Text(max_length=40)
    time_zone = Text(max_length=64, help_text="A zone of the IANA database: America/Denver.")
    on_call_number = Text(max_length=40, help_text="What a driver calls from the road.")
    far = Flag(required=False)
    bays = Whole(required=False, min_value=1, max_value=MOST_BAYS)
    working_days = serializers.ListField(
        child=Whole(min_value=0, max_value=6), required=False, help_text="Monday is 0."
    )
    units = serializers.ChoiceField(choices=UNITS, required=False)


class YardOut(serializers.ModelSerializer[Yard]):
    class Meta:
        model = Yard
        fields = [
            "slug", "name", "time_zone", "on_call_number", "far", "bays", "working_days", "units",
        ]  # fmt: skip
        read_only_fields = fields


class Yards(Listed, Shown):
    """Yards that the reader is posted to. Monday is working day 0."""

    model = Yard
    serializer_class = YardOut
    ability = {
        "list": "view_vehicle",
        "retrieve": "view_vehicle",
        "create": "edit_yards",
        "partial_update": "edit_yards",
    }
    keyed = frozenset({"create"})
    takes = {"create": YardIn, "partial_update": YardIn}
    examples = {"create": YARD, "partial_update": YARD_CHANGE}
    lookup_field = "slug"

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Put a yard on file; its slug is made of its first name and stays."""
        new = NewYard(**self.said())
        return self.made(add_yard(self.actor, new, at=self.now, request=self.key))

    def partial_update(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Change what is said of a yard; before and after stand in the trail."""
        yard = self.get_object()
        read = version_of(yard)
        stands = {each.name: getattr(yard, each.name) for each in fields(NewYard)}
        new = NewYard(**{**stands, **self.said(partial=True)})
        return self.done(change_yard(self.actor, yard.pk, new, at=self.now, expected_version=read))
