"""Uses of a torque tool on work that is not in this record."""

from typing import Any

from django.db.models import QuerySet
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Door, Listed
from api.due_examples import request
from api.fields import Strict, Text, Whole
from api.paging import Cursor
from api.people import PersonRef
from fleet.operations.tool_uses import MOST, NewUse, correct_tool_use, record_tool_use
from fleet.records.models import ToolUse, TorqueTool

USED = request(
    "forty pulls elsewhere",
    {"uses": 40, "on": "2026-11-25", "reason": "wheel studs of the hay trailers"},
)
CORRECTED = request("four, not forty", {"uses": 4, "reason": "typed one nought too many"})


class ToolUseOut(serializers.ModelSerializer[ToolUse]):
    """Told, never changed: one that was wrong is corrected by a later one."""

    tool = serializers.SlugRelatedField[ToolUse](slug_field="code", read_only=True)
    by = PersonRef(read_only=True)
    counts = serializers.SerializerMethodField(
        help_text="False where a later one corrects it: then that one counts."
    )

    class Meta:
        model = ToolUse
        fields = ["id", "uid", "tool", "occurred_at", "uses", "reason", "corrects", "counts", "by"]
        read_only_fields = fields

    def get_counts(self, row: ToolUse) -> bool:
        return not hasattr(row, "corrected_by")


class ToolUseIn(Strict):
    uses = Whole(min_value=1, max_value=MOST)
    on = serializers.DateField(help_text="The last day, where there were several.")
    reason = Text(required=False, allow_blank=True, max_length=200)


class CorrectionIn(Strict):
    uses = Whole(min_value=0, max_value=MOST, help_text="0 where there was no such use.")
    reason = Text(max_length=200)


class ToolUses(Listed):
    """Uses of one tool on other work, newest first. They count to its calibration's uses."""

    model = ToolUse
    serializer_class = ToolUseOut
    pagination_class = Cursor
    ability = {"list": "view_specs", "create": "edit_tools"}
    keyed = frozenset({"create"})
    takes = {"create": ToolUseIn}
    examples = {"create": USED}

    def shown(self, rows: QuerySet[ToolUse]) -> QuerySet[ToolUse]:
        rows = rows.select_related("tool", "by", "corrected_by")
        return rows.filter(tool__code=self.kwargs["code"])

    def list(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Uses of one tool; 404 for a tool outside the reader's yards."""
        self.within(TorqueTool, code=kwargs["code"])
        return super().list(request, *args, **kwargs)

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Tell of uses on other work. Pulls in this record are counted by themselves."""
        tool, said = self.within(TorqueTool, code=kwargs["code"]), self.said()
        new = NewUse(tool.pk, said["uses"], said["on"], said.get("reason", ""))
        return self.made(record_tool_use(self.actor, new, at=self.now, request=self.key))


class ToolUseCorrections(Door):
    """One of them, corrected."""

    model = ToolUse
    serializer_class = ToolUseOut
    ability = {"correct": "edit_tools"}
    keyed = frozenset({"correct"})
    takes = {"correct": CorrectionIn}
    examples = {"correct": CORRECTED}

    def shown(self, rows: QuerySet[ToolUse]) -> QuerySet[ToolUse]:
        return rows.select_related("tool", "by", "corrected_by")

    def correct(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Another number in the place of one that was wrong; both stay on file."""
        wrong, said = self.get_object(), self.said()
        done = correct_tool_use(self.actor, wrong.pk, said["uses"], said["reason"], at=self.now,
                           request=self.key)  # fmt: skip
        return self.made(done)
