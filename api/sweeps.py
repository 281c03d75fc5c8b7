"""Sweeps: every joint that a doubted tool, lot or way of tightening has touched."""

from typing import Any

from django.db.models import QuerySet
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Listed, Shown
from api.examples import CLOSE_SWEEP, OPEN_SWEEP
from api.fields import Strict, Text
from fleet.operations.sweeps import NewSweep, close_sweep, open_sweep, take_sweep_back
from fleet.reads.filters import SweepFilter, SweepJointFilter
from fleet.reads.sweeps.progress import BECAME, joints_of, progress_of, sweeps
from fleet.records.models import Sweep, SweepJoint, TorqueTool


class SweepOut(serializers.ModelSerializer[Sweep]):
    tool = serializers.SlugRelatedField[Sweep](slug_field="code", read_only=True)
    counts = serializers.SerializerMethodField(
        help_text="How many joints of the reader's yards came to what."
    )

    class Meta:
        model = Sweep
        fields = [
            "id", "uid", "of", "tool", "number", "lot", "practice", "since", "until", "reason",
            "state", "opened_at", "ended_at", "said", "counts", "figure", "version",
        ]  # fmt: skip
        read_only_fields = fields

    def get_counts(self, row: Sweep) -> dict[str, int]:
        return progress_of(row).counts


class SweepIn(Strict):
    of = serializers.ChoiceField(choices=Sweep.Of.choices)
    tool = Text(required=False, max_length=20, help_text="The code on the tool.")
    number = Text(required=False, allow_blank=True, max_length=60)
    lot = Text(required=False, max_length=60)
    practice = Text(required=False, max_length=60, help_text="Like 'factory, dry'.")
    since = serializers.DateTimeField(
        required=False,
        help_text="The last moment it was known to be good; of a tool its last calibration "
        "before it failed, where this is left out.",
    )
    reason = Text(max_length=200, help_text="Why it is doubted.")


class SweepEndIn(Strict):
    said = Text(required=False, allow_blank=True, max_length=300, help_text="What came of it.")


class Sweeps(Listed, Shown):
    """Every joint that something doubted has touched since its last good day."""

    model = Sweep
    serializer_class = SweepOut
    filterset_class = SweepFilter
    ability = {
        "list": "view_specs", "retrieve": "view_specs", "create": "sweep", "close": "sweep",
        "take_back": "sweep",
    }  # fmt: skip
    keyed = frozenset({"create", "close", "take_back"})
    matched = frozenset({"close", "take_back"})
    takes = {"create": SweepIn, "close": SweepEndIn, "take_back": SweepEndIn}
    codes = {"create": 201, "close": 200, "take_back": 200}
    examples = {"create": OPEN_SWEEP, "close": CLOSE_SWEEP, "take_back": CLOSE_SWEEP}

    def get_queryset(self) -> QuerySet[Sweep]:
        """With what became of the joints in the reader's yards."""
        if getattr(self, "swagger_fake_view", False):
            return super().get_queryset()
        return sweeps(self.actor.person)

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """List every joint it touched, and make a recheck at each that needs a look."""
        said = self.said()
        code = said.pop("tool", None)
        tool = self.within(TorqueTool, code=code) if code else None
        new = NewSweep(tool_id=tool.pk if tool else None, **said)
        return self.made(open_sweep(self.actor, new, at=self.now, request=self.key))

    def close(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """End it with its figure; what is not looked at yet stays owed and needs a word."""
        return self._end(close_sweep)

    def take_back(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """It was opened by mistake: what it alone made is owed no longer."""
        return self._end(take_sweep_back)

    def _end(self, verb: Any) -> Response:
        row, said = self.get_object(), self.said()
        done = verb(self.actor, row.pk, said.get("said", ""), at=self.now,
                    expected_version=self.expected, request=self.key)  # fmt: skip
        return self.done(done)


class SweepJointOut(serializers.ModelSerializer[SweepJoint]):
    vehicle = serializers.CharField(source="joint.vehicle.unit_number", read_only=True)
    kind = serializers.CharField(source="joint.kind.code", read_only=True)
    side = serializers.CharField(source="joint.side", read_only=True)
    became = serializers.ChoiceField(choices=list(BECAME.items()), read_only=True)

    class Meta:
        model = SweepJoint
        fields = [
            "id", "vehicle", "joint", "kind", "side", "stands", "became", "touched_at", "torque",
            "part", "recheck",
        ]  # fmt: skip
        read_only_fields = fields


class SweepJoints(Listed):
    """The joints of one sweep in the reader's yards, what is still to do first."""

    model = SweepJoint
    serializer_class = SweepJointOut
    filterset_class = SweepJointFilter
    ability = {"list": "view_specs"}

    def get_queryset(self) -> QuerySet[SweepJoint]:
        if getattr(self, "swagger_fake_view", False):
            return super().get_queryset()
        sweep = self.within(Sweep, pk=self.kwargs["pk"])
        return joints_of(self.actor.person, sweep)
