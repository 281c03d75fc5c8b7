"""What a ticket line's figures come to. Nothing is recorded."""

from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.answers import ReckonedOut
from api.base import Door
from api.examples import LINE_FIGURES
from api.fields import Strict, TypedOrFlag
from fleet.operations.foretell_line import LineTold, foretell_line
from fleet.reads.rules import rules
from fleet.records.models import TicketLine


class FiguresIn(Strict):
    figures = serializers.DictField(
        child=TypedOrFlag(),
        required=False,
        help_text="By field name of the action's rule, as recorded; left out: as on file.",
    )


class PullOut(serializers.Serializer[Any]):
    """What a torque does to its bolt. About clamp load only: no joint is called good."""

    field = serializers.CharField()
    flagged = serializers.BooleanField(
        help_text="Above the factory's figure on eased threads and it may pass proof load, or "
        "past proof load over the whole range."
    )
    check = ReckonedOut()


class TurnsOut(serializers.Serializer[Any]):
    """Turns of a sleeve, or codes of what is not on file to say so."""

    answer = ReckonedOut(allow_null=True)
    missing = serializers.ListField(
        child=serializers.CharField(), source="lacking.codes", default=list
    )


class LineToldOut(serializers.Serializer[LineTold]):
    pulls = serializers.SerializerMethodField()
    toe = ReckonedOut(source="toe.answer", default=None, allow_null=True)
    toe_turns = TurnsOut(source="toe.turns", default=None, allow_null=True)
    centring = TurnsOut(default=None, allow_null=True)

    @extend_schema_field(PullOut(many=True))
    def get_pulls(self, told: LineTold) -> Any:
        rows = [
            {"field": name, "flagged": check.flagged, "check": check.answer}
            for name, check in told.pulls.items()
        ]
        return PullOut(rows, many=True).data


class ForetellLine(Door):
    """A line's figures, read and reckoned as recording would read them."""

    model = TicketLine
    ability = {"answer": "record_line"}
    takes = {"answer": FiguresIn}
    gives = {"answer": LineToldOut}
    codes = {"answer": 200}
    examples = {"answer": LINE_FIGURES}
    records = False

    def shown(self, rows: QuerySet[TicketLine]) -> QuerySet[TicketLine]:
        return rows.select_related(
            "joint__kind", "entry", "ticket__vehicle__design__linkage", "ticket__vehicle__yard"
        )

    def answer(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """What the figures of this line come to: clamp load, toe, turns of the sleeves.

        What can't be read is left out here, and refused by field when it is recorded.
        """
        line, said = self.get_object(), self.said().get("figures")
        kept = line.entry.data if line.entry else {}
        typed = said if said is not None else {n: one.get("typed") for n, one in kept.items()}
        told = foretell_line(line, line.ticket.vehicle, rules("action")[line.action], typed)
        return Response(LineToldOut(told).data)
