"""A figure or a VIN read back, as it would be understood if it were recorded."""

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Door
from api.fields import Strict, Text
from api.permissions import SIGNED_IN
from fleet.operations.understood import KINDS, LONGEST, Understood, understood
from fleet.records.models import Person


class FigureAsked(Strict):
    kind = serializers.ChoiceField(choices=[(kind, kind) for kind in KINDS])
    text = Text(max_length=LONGEST, help_text='As typed: "46 5/16", "85 ft-lb".')
    unit = Text(
        required=False, allow_blank=True, max_length=10,
        help_text="The unit of a bare number. Left out: in, lbf·ft or psi.",
    )  # fmt: skip
    signed = serializers.BooleanField(
        required=False, help_text="Whether a length may be below zero (toe, wheel offset)."
    )


class UnderstoodOut(serializers.Serializer[Understood]):
    kind = serializers.CharField()
    reading = serializers.CharField(help_text="As understood, in the unit it was typed in.")
    other = serializers.CharField(help_text="The same in the sender's other unit.")
    si = serializers.FloatField(allow_null=True, help_text="Metres, newton metres or pascals.")
    doubt = serializers.CharField(help_text="What to read again; no reason to refuse.")


class ReadBack(Door):
    """Figures read back. Nothing is recorded."""

    model = Person
    ability = {"show": SIGNED_IN}
    asks = {"show": FigureAsked}
    gives = {"show": UnderstoodOut}

    def show(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """A figure as it is understood, or 422 with an example to type instead."""
        said = self.asked()
        read = understood(
            said["kind"],
            said["text"],
            unit=said.get("unit", ""),
            system=self.actor.person.units,
            signed=said.get("signed", False),
        )
        return Response(UnderstoodOut(read).data)
