"""Patterns: what keeps coming back, with its evidence and what to look at next."""

from typing import Any

from django.db.models import QuerySet
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Listed, Shown
from api.examples import JUDGE
from api.fields import Strict, Text
from fleet.operations.patterns import judge_pattern
from fleet.reads.filters import PatternFilter
from fleet.records.models import Pattern


class PatternOut(serializers.ModelSerializer[Pattern]):
    yard = serializers.SlugRelatedField[Pattern](slug_field="slug", read_only=True)
    vehicle = serializers.SlugRelatedField[Pattern](slug_field="unit_number", read_only=True)
    evidence = serializers.DictField(
        child=serializers.ListField(child=serializers.IntegerField()), read_only=True,
        help_text="Ids of the facts it rests on, by their noun.",
    )  # fmt: skip
    statistic = serializers.DictField(read_only=True, help_text="The rule and its figures.")
    next_look = serializers.ListField(
        child=serializers.CharField(), read_only=True, help_text="What to look at next, in order."
    )

    class Meta:
        model = Pattern
        fields = [
            "id", "uid", "kind", "state", "yard", "vehicle", "joint", "evidence", "statistic",
            "next_look", "opened_at", "last_evidence_at", "cause", "action", "set_aside_reason",
            "version",
        ]  # fmt: skip
        read_only_fields = fields


class JudgeIn(Strict):
    to = serializers.ChoiceField(choices=Pattern.State.choices)
    text = Text(
        required=False, allow_blank=True, max_length=4000,
        help_text="What was found, what was done, or why it is set aside.",
    )  # fmt: skip


class Patterns(Listed, Shown):
    """Findings over the history: never about named people."""

    model = Pattern
    serializer_class = PatternOut
    filterset_class = PatternFilter
    ability = {"list": "view_patterns", "retrieve": "view_patterns", "judge": "judge_pattern"}
    keyed = matched = frozenset({"judge"})
    takes = {"judge": JudgeIn}
    codes = {"judge": 200}
    examples = {"judge": JUDGE}

    def shown(self, rows: QuerySet[Pattern]) -> QuerySet[Pattern]:
        return rows.select_related("yard", "vehicle")

    def judge(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Say what was found, what was done, or why it is set aside. New evidence reopens it."""
        pattern, said = self.get_object(), self.said()
        done = judge_pattern(
            self.actor,
            pattern.pk,
            to=said["to"],
            text=said.get("text", ""),
            at=self.now,
            expected_version=self.expected,
            request=self.key,
        )
        return self.done(done)
