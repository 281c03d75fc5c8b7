"""Inspections and their findings."""

from typing import Any

from django.db.models import Prefetch, QuerySet
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Listed, Shown
from api.examples import SHEET
from api.filters import FindingFilter, InspectionFilter
from api.paging import Cursor
from api.people import PersonRef
from api.sheets import SheetIn, sheet_of
from fleet.operations.inspect import record_inspection
from fleet.records.models import Finding, Inspection, TorqueReading


class FindingTorque(serializers.ModelSerializer[TorqueReading]):
    tool = serializers.SlugRelatedField[TorqueReading](slug_field="code", read_only=True)

    class Meta:
        model = TorqueReading
        fields = [
            "id", "typed", "extension_typed", "extension_m", "torque_nm", "band", "tool",
            "tool_in_date", "spec",
        ]  # fmt: skip
        read_only_fields = fields


class FindingOut(serializers.ModelSerializer[Finding]):
    """What a check said of one joint, and what the rules made of it."""

    vehicle = serializers.CharField(source="joint.vehicle.unit_number", read_only=True)
    kind = serializers.CharField(source="joint.kind.code", read_only=True)
    side = serializers.CharField(source="joint.side", read_only=True)
    by = PersonRef(read_only=True)
    torque = FindingTorque(read_only=True, default=None, allow_null=True)

    class Meta:
        model = Finding
        fields = [
            "id", "uid", "inspection", "vehicle", "joint", "kind", "side", "code", "method",
            "turned", "degrees", "play_typed", "play_m", "limit_m", "limit_citation", "answer",
            "response", "reason", "note", "why", "use_si", "torque", "due_recheck", "due_on",
            "due_use_si", "rule_version", "spec", "occurred_at", "received_at", "by",
        ]  # fmt: skip
        read_only_fields = fields


class InspectionShort(serializers.ModelSerializer[Inspection]):
    vehicle = serializers.SlugRelatedField[Inspection](slug_field="unit_number", read_only=True)
    by = PersonRef(read_only=True)
    second_person = PersonRef(read_only=True, allow_null=True)

    class Meta:
        model = Inspection
        fields = [
            "id", "uid", "vehicle", "kind", "complaint", "second_person", "at_wheel", "on_wheels",
            "engine_on", "ride_height", "plough_on", "reading", "use_si", "note", "occurred_at",
            "received_at", "by",
        ]  # fmt: skip
        read_only_fields = fields


class InspectionOut(InspectionShort):
    findings = FindingOut(many=True, read_only=True)

    class Meta(InspectionShort.Meta):
        fields = [*InspectionShort.Meta.fields, "findings"]
        read_only_fields = fields


FINDING_PARTS = ("joint__vehicle", "joint__kind", "by", "torque__tool")


class Findings(Listed, Shown):
    """Findings over all vehicles, newest first."""

    model = Finding
    serializer_class = FindingOut
    filterset_class = FindingFilter
    pagination_class = Cursor
    ability = {"list": "view_history", "retrieve": "view_history"}

    def shown(self, rows: QuerySet[Finding]) -> QuerySet[Finding]:
        return rows.select_related(*FINDING_PARTS)


class Inspections(Listed, Shown):
    """Inspections, newest first; one alone shows its findings."""

    model = Inspection
    serializer_class = InspectionOut
    filterset_class = InspectionFilter
    pagination_class = Cursor
    ability = {"list": "view_history", "retrieve": "view_history", "create": "inspect"}
    keyed = frozenset({"create"})
    takes = {"create": SheetIn}
    gives = {"list": InspectionShort}
    examples = {"create": SHEET}

    def shown(self, rows: QuerySet[Inspection]) -> QuerySet[Inspection]:
        rows = rows.select_related("vehicle", "by", "second_person")
        if self.action == "list":
            return rows
        findings = Finding.visible_to(self.actor.person).select_related(*FINDING_PARTS)
        return rows.prefetch_related(Prefetch("findings", findings.order_by("joint__order")))

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Record a sheet whole, or have it refused whole with every problem named.

        Raised looks are made engine off, on stands. A dry steer is made on the floor on its
        wheels, brake set, wheels chocked, out of gear, hands clear of pinch points.
        """
        sheet = sheet_of(self.said(), self.actor.person)
        return self.made(record_inspection(self.actor, sheet, at=self.now, request=self.key))
