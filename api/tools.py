"""Torque tools and their calibrations: whether a reading is evidence."""

from typing import Any

from django.db.models import QuerySet
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Listed, Shown
from api.filters import ToolFilter
from api.paging import Cursor
from fleet.records.models import Calibration, TorqueTool


class ToolOut(serializers.ModelSerializer[TorqueTool]):
    yard = serializers.SlugRelatedField[TorqueTool](slug_field="slug", read_only=True)

    class Meta:
        model = TorqueTool
        fields = [
            "code", "name", "kind", "low_nm", "high_nm", "lever_typed", "lever_m", "yard",
            "in_use", "good_until", "doubted_since",
        ]  # fmt: skip
        read_only_fields = fields


class CalibrationOut(serializers.ModelSerializer[Calibration]):
    tool = serializers.SlugRelatedField[Calibration](slug_field="code", read_only=True)

    class Meta:
        model = Calibration
        fields = [
            "id", "tool", "occurred_at", "passed", "worst_deviation", "good_until", "certificate",
        ]  # fmt: skip
        read_only_fields = fields


class Tools(Listed, Shown):
    """Torque tools. A tool out of date or in doubt is no evidence on a hold joint."""

    model = TorqueTool
    serializer_class = ToolOut
    filterset_class = ToolFilter
    ability = {"list": "view_specs", "retrieve": "view_specs"}
    lookup_field = "code"
    lookup_value_regex = "[^/]+"

    def shown(self, rows: QuerySet[TorqueTool]) -> QuerySet[TorqueTool]:
        return rows.select_related("yard")


class Calibrations(Listed):
    """Calibrations of one tool, newest first."""

    model = Calibration
    serializer_class = CalibrationOut
    pagination_class = Cursor
    ability = {"list": "view_specs"}

    def shown(self, rows: QuerySet[Calibration]) -> QuerySet[Calibration]:
        return rows.select_related("tool").filter(tool__code=self.kwargs["code"])

    def list(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Calibrations of one tool; 404 for a tool outside the reader's yards."""
        self.within(TorqueTool, code=kwargs["code"])
        return super().list(request, *args, **kwargs)
