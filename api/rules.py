"""A rule changed over HTTP, with what that would move told first."""

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Door
from api.due_examples import CHANGE_RULE
from api.fields import Flag, Strict, Text, Typed, Whole
from api.reference import RuleOut
from fleet.operations.rule_anew import Redrawn
from fleet.operations.rule_change import change_rule
from fleet.operations.rule_data import NewRule
from fleet.operations.rule_figures import MOST_STEPS, Step
from fleet.operations.rule_preview import Preview, YardMoves, preview_rule
from fleet.records.models import Rule


class StepIn(Strict):
    distance = Typed(
        required=False, allow_blank=True, max_length=20, help_text='"500 mi" or "800 km".'
    )
    days = Typed(required=False, allow_blank=True, max_length=20)
    hours = Typed(required=False, allow_blank=True, max_length=20)


class RuleIn(Strict):
    """The whole rule as it shall read, or the version to go back to."""

    steps: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=StepIn(), required=False, max_length=MOST_STEPS + 1
    )
    value = Typed(
        required=False, allow_blank=True, max_length=20,
        help_text="A setting's figure; the months of the legal inspection; after a move the "
        "hundredths of the last interval; the minutes that work takes.",
    )  # fmt: skip
    people = Whole(
        required=False, allow_null=True, min_value=1, max_value=2,
        help_text="How many at once, where the rule is of the minutes that work takes.",
    )  # fmt: skip
    from_where = Text(
        required=False, allow_blank=True, max_length=200,
        help_text="Where the figures are from; empty for the fleet's own.",
    )  # fmt: skip
    reason = Text(max_length=200)
    make_anew = Flag(
        required=False, default=False,
        help_text="Makes what is owed now anew by it. Without it, what is owed keeps its time.",
    )  # fmt: skip
    take_back = Flag(required=False, default=False, help_text="Ends a weight class's own rule.")
    back_to = Whole(required=False, allow_null=True, min_value=1)


class MovedOut(serializers.Serializer[Redrawn]):
    recheck = serializers.IntegerField(source="row.pk")
    vehicle = serializers.CharField(source="row.vehicle.unit_number")
    yard = serializers.CharField(source="row.vehicle.yard.slug")
    joint = serializers.IntegerField(source="row.joint_id", allow_null=True)
    falls_on = serializers.DateField(source="row.falls_on")
    would_fall_on = serializers.DateField(source="falls_on")
    late_at_once = serializers.BooleanField(source="late")


class YardMovesOut(serializers.Serializer[YardMoves]):
    yard = serializers.CharField(source="yard.slug")
    moving = serializers.IntegerField()
    late = serializers.IntegerField()


class PreviewOut(serializers.Serializer[Preview]):
    """What a change would move if what is owed is made anew; nothing is written."""

    before = serializers.CharField()
    after = serializers.CharField()
    owed = serializers.IntegerField(help_text="Owed by the rule in the caller's yards.")
    moving = serializers.IntegerField()
    sooner = serializers.IntegerField()
    later = serializers.IntegerField()
    late = serializers.IntegerField(help_text="Late at once; they would fall due today.")
    kept = serializers.IntegerField(help_text="With a time of their own, which they keep.")
    missed = serializers.IntegerField(help_text="Missed; they stay so.")
    yards = YardMovesOut(many=True)
    first = MovedOut(many=True, help_text="The first twenty, those late at once first.")


class RuleChanges(Door):
    """Ladders, routines, legal inspection, tools, meters, minutes: what a manager may change."""

    model = Rule
    serializer_class = RuleOut
    ability = {"change": "edit_rules", "preview": "edit_rules"}
    keyed = matched = frozenset({"change"})
    takes = {"change": RuleIn, "preview": RuleIn}
    gives = {"preview": PreviewOut}
    codes = {"change": 200, "preview": 200}
    examples = {"change": CHANGE_RULE, "preview": CHANGE_RULE}

    def change(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Put the next version in force. If-Match takes the rule's version, "0" for a first one."""
        done = change_rule(self.actor, self._new(), at=self.now, expected_version=self.expected,
                           request=self.key)  # fmt: skip
        return self.done(done)

    def preview(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """What the same body would move. Refused like the change itself."""
        found = preview_rule(self.actor, self._new(), now=self.now)
        return Response(PreviewOut(found).data)

    def _new(self) -> NewRule:
        said = self.said()
        steps = tuple(Step(**step) for step in said.get("steps", []))
        return NewRule(
            self.kwargs["kind"], self.kwargs["key"], steps, said.get("value", ""),
            said.get("from_where", ""), said["reason"], anew=said["make_anew"],
            take_back=said["take_back"], back_to=said.get("back_to"), people=said.get("people"),
        )  # fmt: skip
