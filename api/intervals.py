"""Adaptive intervals: how long joints hold by the fleet's record, and what was decided of it."""

from typing import Any

from django.db.models import QuerySet
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Listed, Shown
from api.examples import DECIDE_INTERVAL, DECLINE_INTERVAL
from api.fields import Strict, Text
from fleet.operations.intervals import (
    BY_COST,
    BY_RECORD,
    Decision,
    accept_interval,
    decline_interval,
    take_interval_back,
)
from fleet.reads.filters import IntervalFilter
from fleet.reads.intervals.rows import newest_first
from fleet.records.models import IntervalProposal


class IntervalOut(serializers.ModelSerializer[IntervalProposal]):
    """Use in metres, or in seconds where `meter` is hours. The manufacturer's interval governs."""

    kind = serializers.SlugRelatedField[IntervalProposal](slug_field="code", read_only=True)
    axle = serializers.SlugRelatedField[IntervalProposal](slug_field="code", read_only=True)
    offers = serializers.BooleanField(read_only=True, help_text="Whether it waits for a decision.")
    now_from = serializers.DictField(read_only=True, help_text="The rule of today's interval.")
    curve = serializers.DictField(
        read_only=True,
        help_text="Shares still tight: `since` the turning and `on` from where the interval "
        "begins, each [use, best, low, high]; `steps` without any formula, [use, share].",
    )
    missing = serializers.CharField(
        read_only=True, help_text="What is missing before anything can be proposed; else empty."
    )
    have = serializers.FloatField(read_only=True, allow_null=True, help_text="How much there is.")
    need = serializers.FloatField(read_only=True, allow_null=True, help_text="How much it takes.")

    class Meta:
        model = IntervalProposal
        fields = [
            "id", "uid", "key", "state", "offers", "kind", "axle", "duty", "practice", "first",
            "meter", "spells", "finds", "vehicles", "longest_tight_si", "now_si", "now_from",
            "age_si", "target", "confidence", "allowed_si", "limited_by", "missing", "have",
            "need", "offered_si", "held_back_by", "shape", "scale_si", "curve", "made_at",
            "as_of", "decided_at", "reason", "rule", "version",
        ]  # fmt: skip
        read_only_fields = fields


class AcceptIn(Strict):
    basis = serializers.ChoiceField(
        choices=[(BY_RECORD, "the share still tight"), (BY_COST, "the cost")],
        required=False,
        default=BY_RECORD,
        help_text="Past the safe interval the cheapest is refused where a loose joint can hold.",
    )
    reason = Text(required=False, allow_blank=True, max_length=200)


class IntervalReasonIn(Strict):
    reason = Text(max_length=200, help_text="Why.")


class Intervals(Listed, Shown):
    """The newest reckoning of every cell: joint kind, axle layout, duty and practice."""

    model = IntervalProposal
    serializer_class = IntervalOut
    filterset_class = IntervalFilter
    ability = {
        "list": "view_specs", "retrieve": "view_specs", "accept": "judge_interval",
        "decline": "judge_interval", "take_back": "judge_interval",
    }  # fmt: skip
    keyed = matched = frozenset({"accept", "decline", "take_back"})
    takes = {"accept": AcceptIn, "decline": IntervalReasonIn, "take_back": IntervalReasonIn}
    codes = {"accept": 200, "decline": 200, "take_back": 200}
    examples = {
        "accept": DECIDE_INTERVAL, "decline": DECLINE_INTERVAL, "take_back": DECLINE_INTERVAL
    }  # fmt: skip

    def shown(self, rows: QuerySet[IntervalProposal]) -> QuerySet[IntervalProposal]:
        return newest_first(rows)

    def accept(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Put the proposed interval in force for rechecks that are made from now on."""
        return self._decide(accept_interval)

    def decline(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Leave today's interval as it is. Asked again at a fifth more finds."""
        return self._decide(decline_interval)

    def take_back(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """What stood before the last acceptance stands again."""
        return self._decide(take_interval_back)

    def _decide(self, verb: Any) -> Response:
        row, said = self.get_object(), self.said()
        decision = Decision(row.pk, said.get("reason", ""), said.get("basis", BY_RECORD))
        done = verb(self.actor, decision, at=self.now, expected_version=self.expected,
                    request=self.key)  # fmt: skip
        return self.done(done)
