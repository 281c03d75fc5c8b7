"""Exceptions of one vehicle from the fleet's rules."""

from typing import Any

from django.db.models import QuerySet
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Listed
from api.due_examples import END_EXCEPTION, EXCEPTION
from api.fields import Flag, InScope, Strict, Text
from api.people import PersonRef
from api.rules import StepIn
from fleet.operations.exceptions import NewException, end_exception, set_exception
from fleet.operations.rule_figures import MOST_STEPS, Step
from fleet.records.models import RuleException, Vehicle


class ExceptionOut(serializers.ModelSerializer[RuleException]):
    """It stands while `ended_at` is null and its yard's date is not past `ends_on`."""

    vehicle = serializers.SlugRelatedField[RuleException](slug_field="unit_number", read_only=True)
    rungs = serializers.ListField(child=serializers.DictField(), read_only=True)
    set_by = PersonRef(read_only=True)

    class Meta:
        model = RuleException
        fields = ["id", "vehicle", "ladder", "rungs", "reason", "ends_on", "since", "set_by",
                  "ended_at", "end_reason"]  # fmt: skip
        read_only_fields = fields


class ExceptionIn(Strict):
    vehicle = InScope(Vehicle, "unit_number", help_text="Unit number.")
    kind = serializers.ChoiceField(choices=[("ladder", "ladder"), ("routine", "routine")])
    key = Text(max_length=60, help_text="Of the ladder; for a routine `routine`.")
    steps: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=StepIn(), max_length=MOST_STEPS
    )
    ends_on = serializers.DateField(help_text="The last day it stands for.")
    reason = Text(max_length=200)
    make_anew = Flag(required=False, default=False)


class EndExceptionIn(Strict):
    reason = Text(max_length=200)


class RuleExceptions(Listed):
    """One vehicle keeps other figures for a time. None from the law or from a rule that holds."""

    model = RuleException
    serializer_class = ExceptionOut
    ability = {"list": "view_specs", "create": "edit_rules", "end": "edit_rules"}
    keyed = frozenset({"create", "end"})
    takes = {"create": ExceptionIn, "end": EndExceptionIn}
    codes = {"end": 200}
    examples = {"create": EXCEPTION, "end": END_EXCEPTION}

    def shown(self, rows: QuerySet[RuleException]) -> QuerySet[RuleException]:
        return rows.select_related("vehicle", "set_by")

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Give one; what stood before from the same rule ends with it."""
        said = self.said()
        steps = tuple(Step(**step) for step in said["steps"])
        new = NewException(said["vehicle"].pk, said["kind"], said["key"], steps, said["ends_on"],
                           said["reason"], said["make_anew"])  # fmt: skip
        return self.made(set_exception(self.actor, new, at=self.now, request=self.key))

    def end(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """End one before its day; the rule stands again for what is made from now on."""
        row, said = self.get_object(), self.said()
        return self.done(end_exception(self.actor, row.pk, said["reason"], at=self.now,
                                       request=self.key))  # fmt: skip
