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
from fleet.reads.patterns import Names, names_for, sentence
from fleet.records.models import Pattern


class PatternOut(serializers.ModelSerializer[Pattern]):
    yard = serializers.SlugRelatedField[Pattern](slug_field="slug", read_only=True)
    vehicle = serializers.SlugRelatedField[Pattern](slug_field="unit_number", read_only=True)
    evidence = serializers.DictField(
        child=serializers.ListField(child=serializers.IntegerField()), read_only=True,
        help_text="Ids of the facts it rests on, by their noun.",
    )  # fmt: skip
    statistic = serializers.DictField(read_only=True, help_text="The rule and its figures.")
    sentence = serializers.SerializerMethodField(
        help_text="What it says, in the words of the page and the reader's language."
    )
    is_explained = serializers.SerializerMethodField(
        help_text="Whether another pattern explains this one: then it is shown under that one."
    )
    verdict = serializers.DictField(
        read_only=True,
        help_text="Did it help: verdict, predicted, seen, expected, p, until; empty before that.",
    )
    next_look = serializers.ListField(
        child=serializers.CharField(), read_only=True, help_text="What to look at next, in order."
    )

    class Meta:
        model = Pattern
        fields = [
            "id", "uid", "kind", "state", "sentence", "is_explained", "yard", "vehicle", "joint",
            "evidence", "statistic", "next_look", "opened_at", "last_evidence_at", "cause",
            "action", "acted_at", "set_aside_reason", "set_aside_at", "verdict", "version",
        ]  # fmt: skip
        read_only_fields = fields

    known: Names | None = None

    def get_sentence(self, pattern: Pattern) -> str:
        return sentence(pattern, self._names(pattern))

    def get_is_explained(self, pattern: Pattern) -> bool:
        return bool(pattern.statistic.get("explained_by"))

    def _names(self, pattern: Pattern) -> Names:
        """Of all that are answered together, looked up once."""
        if self.known is None:
            together: Any = getattr(self.parent, "instance", None)
            self.known = names_for(together or [pattern], self.context["request"].user)
        return self.known


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
        return rows.select_related("yard", "vehicle", "joint__kind")

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
