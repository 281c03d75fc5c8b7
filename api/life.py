"""One joint's whole life: its figures, parts, torques, findings, rechecks and patterns."""

from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Door
from api.due import RecheckOut
from api.fittings import FittingOut
from api.patterns import PatternOut
from api.people import PersonRef
from api.reference import SpecOut
from fleet.reads.joint_life import JointLife, joint_life
from fleet.records.models import Finding, Joint, PartChange, Recheck, TorqueReading


class PartOut(serializers.ModelSerializer[PartChange]):
    by = PersonRef(read_only=True)

    class Meta:
        model = PartChange
        fields = [
            "id", "fitted", "number", "lot", "use_si", "line_entry", "came_from", "occurred_at",
            "by",
        ]  # fmt: skip
        read_only_fields = fields


class TorqueOut(serializers.ModelSerializer[TorqueReading]):
    by = PersonRef(read_only=True)
    tool = serializers.SlugRelatedField[TorqueReading](slug_field="code", read_only=True)

    class Meta:
        model = TorqueReading
        fields = [
            "id", "typed", "extension_typed", "extension_m", "torque_nm", "band", "spec", "tool",
            "tool_in_date",
            "thread_condition", "turned", "degrees", "assembled", "new_fastener", "line_entry",
            "finding", "use_si", "occurred_at", "by",
        ]  # fmt: skip
        read_only_fields = fields


class LifeFindingOut(serializers.ModelSerializer[Finding]):
    by = PersonRef(read_only=True)

    class Meta:
        model = Finding
        fields = [
            "id", "inspection", "code", "method", "turned", "degrees", "play_typed", "play_m",
            "limit_m", "limit_citation", "answer", "response", "reason", "note", "why", "use_si",
            "rule_version", "occurred_at", "by",
        ]  # fmt: skip
        read_only_fields = fields


class PastRecheckOut(serializers.ModelSerializer[Recheck]):
    class Meta:
        model = Recheck
        fields = [
            "id", "kind", "state", "ladder", "rung", "started_at", "due_on", "due_use_si",
            "done_at", "done_by_finding", "done_by_line", "drop_reason",
        ]  # fmt: skip
        read_only_fields = fields


class LifeOut(serializers.Serializer[JointLife]):
    """Newest first. The manufacturer's service information governs the figures."""

    specs = serializers.SerializerMethodField()
    parts = PartOut(many=True, read_only=True)
    fittings = FittingOut(many=True, read_only=True)
    torques = TorqueOut(many=True, read_only=True)
    findings = LifeFindingOut(many=True, read_only=True)
    owed = serializers.SerializerMethodField()
    past_rechecks = PastRecheckOut(many=True, read_only=True)
    patterns = serializers.SerializerMethodField()

    @extend_schema_field(SpecOut(many=True))
    def get_specs(self, life: JointLife) -> Any:
        return SpecOut(life.specs if self._may("view_specs") else [], many=True).data

    @extend_schema_field(RecheckOut(many=True))
    def get_owed(self, life: JointLife) -> Any:
        items = {item.recheck.pk: item for item in life.owed}
        rows = [item.recheck for item in life.owed]
        return RecheckOut(rows, many=True, context={**self.context, "items": items}).data

    @extend_schema_field(PatternOut(many=True))
    def get_patterns(self, life: JointLife) -> Any:
        rows = [row.pattern for row in life.patterns] if self._may("view_patterns") else []
        return PatternOut(rows, many=True, context=self.context).data

    def _may(self, ability: str) -> bool:
        """A role that may not ask for a list elsewhere is given an empty one here."""
        return bool(self.context["request"].user.may(ability))


class Life(Door):
    """Everything recorded of one joint."""

    model = Joint
    ability = {"show": "view_history"}
    gives = {"show": LifeOut}

    def shown(self, rows: QuerySet[Joint]) -> QuerySet[Joint]:
        return rows.select_related(
            "vehicle__yard", "vehicle__use", "vehicle__design", "kind", "state"
        )

    def show(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """A joint's whole life, newest first."""
        life = joint_life(self.actor.person, self.get_object(), self.now)
        return Response(LifeOut(life, context=self.get_serializer_context()).data)
