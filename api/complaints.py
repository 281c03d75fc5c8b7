"""Complaints: what a driver felt. The worst kinds hold the vehicle at once."""

from typing import Any

from django.db.models import Prefetch, QuerySet
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Listed, Shown
from api.examples import ANSWER, COMPLAINT
from api.fields import FactIn, Flag, InScope, Strict, Text, Typed
from api.filters import ComplaintFilter
from api.paging import Cursor
from api.people import PersonRef
from fleet.operations.complain import Report, answer_complaint, report_complaint
from fleet.reads.triage import LookStep, OrderOfLooking, order_of_looking
from fleet.records.models import Complaint, ComplaintAnswer, ComplaintKind, Vehicle


class ComplaintIn(FactIn):
    vehicle = InScope(Vehicle, "unit_number", help_text="Unit number.")
    kind = serializers.ChoiceField(choices=ComplaintKind.choices)
    text = Text(required=False, allow_blank=True, max_length=4000)
    speed_typed = Typed(required=False, allow_blank=True, max_length=30)
    after_bump = Flag(required=False, allow_null=True)
    under_braking = Flag(required=False, allow_null=True)
    stopped_only_when_slowed = Flag(required=False, allow_null=True)
    sudden = Flag(required=False, allow_null=True)
    steering_changed = Flag(required=False, allow_null=True)
    tyre_pressures = Text(required=False, allow_blank=True, max_length=80)
    load = Text(required=False, allow_blank=True, max_length=80)


class AnswerIn(Strict):
    text = Text(max_length=4000)


class AnswerOut(serializers.ModelSerializer[ComplaintAnswer]):
    class Meta:
        model = ComplaintAnswer
        fields = ["id", "complaint", "text", "occurred_at"]
        read_only_fields = fields


class ComplaintOut(serializers.ModelSerializer[Complaint]):
    vehicle = serializers.SlugRelatedField[Complaint](slug_field="unit_number", read_only=True)
    by = PersonRef(read_only=True)
    answers = AnswerOut(many=True, read_only=True)
    on_call_number = serializers.CharField(
        source="vehicle.yard.on_call_number", read_only=True,
        help_text="When `held` is true: stop, do not drive on, call this number.",
    )  # fmt: skip

    class Meta:
        model = Complaint
        fields = [
            "id", "uid", "vehicle", "kind", "text", "speed_typed", "speed_m_s", "after_bump",
            "under_braking", "stopped_only_when_slowed", "sudden", "steering_changed",
            "tyre_pressures", "load", "held", "on_call_number", "use_si", "occurred_at",
            "received_at", "by", "answers",
        ]  # fmt: skip
        read_only_fields = fields


class LookStepOut(serializers.Serializer[LookStep]):
    """Joints that are looked at together. Shares are among what this vehicle has."""

    key = serializers.CharField(help_text="A kind of joint, or a group of kinds.")
    title = serializers.CharField()
    joints = serializers.SerializerMethodField(help_text="Ids, in walking order.")
    first = serializers.BooleanField(help_text="Looked at before all others, whatever was found.")
    prior = serializers.FloatField(help_text="Share by practice and by what the driver told.")
    found = serializers.IntegerField(help_text="Like tickets that it was found behind.")
    share = serializers.FloatField(help_text="Practice and finds together.")
    reason = serializers.CharField()

    def get_joints(self, step: LookStep) -> list[int]:
        return [joint.pk for joint in step.joints]


class OrderOut(serializers.Serializer[OrderOfLooking]):
    """The order of looking. A share says where to look first, not what is sound."""

    steps = LookStepOut(many=True)
    rest = serializers.SerializerMethodField(help_text="The other joints, in walking order.")
    like = serializers.IntegerField(
        help_text="Closed tickets of like complaints, counted over the whole fleet."
    )
    tells = serializers.ListField(
        child=serializers.CharField(), help_text="What the driver told that moved the weights."
    )
    grave = serializers.ListField(
        child=serializers.CharField(), help_text="What the driver told that may call for a hold."
    )
    basis = serializers.CharField(help_text="Where the weights come from.")

    def get_rest(self, order: OrderOfLooking) -> list[int]:
        return [joint.pk for joint in order.rest]


class Complaints(Listed, Shown):
    """Complaints, newest first."""

    model = Complaint
    serializer_class = ComplaintOut
    filterset_class = ComplaintFilter
    pagination_class = Cursor
    ability = {
        "list": "view_history",
        "retrieve": "view_history",
        "create": "report_complaint",
        "answer": "answer_complaint",
        "order": "view_history",
    }
    keyed = frozenset({"create", "answer"})
    takes = {"create": ComplaintIn, "answer": AnswerIn}
    gives = {"answer": AnswerOut, "order": OrderOut}
    examples = {"create": COMPLAINT, "answer": ANSWER}

    def shown(self, rows: QuerySet[Complaint]) -> QuerySet[Complaint]:
        answers = ComplaintAnswer.visible_to(self.actor.person)
        return rows.select_related("vehicle__yard", "by").prefetch_related(
            Prefetch("answers", answers)
        )

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Report what was felt. Oscillation and binding hold the vehicle at once.

        A vehicle whose whole axle oscillates is not driven on.
        """
        said = self.said()
        vehicle, when = said.pop("vehicle"), said.pop("at", None)
        report = Report(vehicle_id=vehicle.pk, occurred_at=when, **said)
        return self.made(report_complaint(self.actor, report, at=self.now, request=self.key))

    def order(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Where to look first on this vehicle, likeliest first, with the reason for each place."""
        return Response(OrderOut(order_of_looking(self.get_object())).data)

    def answer(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Tell the driver what came of it."""
        complaint, said = self.get_object(), self.said()
        done = answer_complaint(
            self.actor, complaint.pk, said["text"], at=self.now, request=self.key
        )
        return self.made(done)
