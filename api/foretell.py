"""What a look at a joint would be recorded as. Nothing is recorded."""

from typing import Any

from django.db.models import QuerySet
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Door
from api.fields import Moment
from api.problems import ProblemItemOut
from api.sheets import LookIn, look_of, tools_named
from fleet.operations.foretell import Foretold, foretell
from fleet.records.models import Finding, Joint, TorqueReading


class LookAsked(LookIn):
    """As a finding of a sheet, but for its notes."""

    at = Moment(required=False, help_text="When it was looked at; else now.")


class LegalLineOut(serializers.Serializer[Any]):
    """A published line as its rule prints it. A legal line is not a service limit."""

    value_m = serializers.FloatField(source="value")
    as_printed = serializers.CharField()
    unit = serializers.CharField(help_text="in, or deg where the rule gives an angle at the rim.")
    citation = serializers.CharField()
    note = serializers.CharField(help_text="Why this row of the table: next_lower, by_angle, ...")


class ForetoldOut(serializers.Serializer[Foretold]):
    """The answer and what it would do; all null where the look would be refused."""

    answer = serializers.ChoiceField(
        choices=Finding.Answer.choices, source="judged.verdict.answer", default=None,
        allow_null=True, help_text="Of measured play. None of them means that a joint is good.",
    )  # fmt: skip
    line = LegalLineOut(source="judged.verdict.limit", default=None, allow_null=True)
    response = serializers.ChoiceField(
        choices=Finding.Response.choices, source="judged.verdict.response", default=None,
        allow_null=True,
    )  # fmt: skip
    rule_version = serializers.IntegerField(
        source="judged.rule.version", default=None, allow_null=True
    )
    play_m = serializers.FloatField(source="seen.play_m", default=None, allow_null=True)
    torque_nm = serializers.FloatField(
        source="seen.torque_nm", default=None, allow_null=True, help_text="At the fastener."
    )
    extension_m = serializers.FloatField(source="seen.extension_m", default=None, allow_null=True)
    band = serializers.ChoiceField(choices=TorqueReading.Band.choices, allow_blank=True)
    problems = ProblemItemOut(many=True)


class Foretell(Door):
    """A look at one joint, read and judged as recording would."""

    model = Joint
    ability = {"show": "inspect"}
    asks = {"show": LookAsked}
    gives = {"show": ForetoldOut}

    def shown(self, rows: QuerySet[Joint]) -> QuerySet[Joint]:
        return rows.select_related("vehicle__design", "vehicle__yard")

    def show(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """What this look would be recorded as now: its answer, the line, note or hold."""
        joint, said = self.get_object(), self.asked()
        when = said.pop("at", None) or self.now
        said |= {"joint": joint.pk}
        look = look_of(said, tools_named([said], self.actor.person))
        (told,) = foretell(self.actor.person, joint.vehicle, (look,), when)
        return Response(ForetoldOut(told).data)
