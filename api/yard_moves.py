"""Leave to move a held vehicle to the yard only. The hold stays."""

from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Listed, Shown
from api.examples import YARD_MOVE, YARD_MOVE_END
from api.fields import Figure, Flag, InScope, Moment, Strict, Text, Typed
from api.filters import YardMoveFilter
from api.people import PersonRef
from fleet.operations.yard_moves import End, Leave, decide_move, end_move
from fleet.reads.yard_moves import Standing, standing
from fleet.records.models import Vehicle, YardMove, YardMoveEnd


class YardMoveIn(Strict):
    """Only a trained person decides, and is named with it."""

    vehicle = InScope(Vehicle, "unit_number", help_text="Unit number.")
    route = Text(max_length=200, help_text="By which roads it goes to the yard.")
    speed_typed = Typed(max_length=30, help_text='How fast at most: "20 mph".')
    hours = Figure(required=False, allow_null=True, min_value=0, help_text="Else the longest.")
    why_not_towed = Text(
        required=False, allow_blank=True, max_length=500,
        help_text="After an axle oscillation it is towed; here, in words, why it can't be.",
    )  # fmt: skip
    tow_ruled_out = Flag(required=False, help_text="Confirms that it can't be towed.")


class EndIn(Strict):
    how = serializers.ChoiceField(choices=YardMoveEnd.How.choices)
    note = Text(required=False, allow_blank=True, max_length=300)
    at = Moment(required=False, source="occurred_at", help_text="When it arrived; else now.")


class EndOut(serializers.ModelSerializer[YardMoveEnd]):
    by = PersonRef(read_only=True)

    class Meta:
        model = YardMoveEnd
        fields = ["id", "uid", "move", "how", "note", "occurred_at", "by"]
        read_only_fields = fields


class YardMoveOut(serializers.ModelSerializer[YardMove]):
    vehicle = serializers.SlugRelatedField[YardMove](slug_field="unit_number", read_only=True)
    by = PersonRef(read_only=True, help_text="Who decided it.")
    end = EndOut(read_only=True, allow_null=True)
    standing = serializers.SerializerMethodField(help_text="How it stands now.")

    class Meta:
        model = YardMove
        fields = [
            "id", "uid", "vehicle", "standing", "route", "speed_typed", "speed_m_s", "until",
            "after_oscillation", "why_not_towed", "tow_ruled_out", "occurred_at", "by", "end",
        ]  # fmt: skip
        read_only_fields = fields

    @extend_schema_field(serializers.ChoiceField(choices=[each.value for each in Standing]))
    def get_standing(self, move: YardMove) -> str:
        return standing(move, timezone.now()).value


class YardMoves(Listed, Shown):
    """Leaves to move a held vehicle to the yard and nowhere else, newest first.

    A vehicle with axle oscillation is towed. A vehicle that is towed needs no leave.
    """

    model = YardMove
    serializer_class = YardMoveOut
    filterset_class = YardMoveFilter
    ability = {
        "list": "view_history",
        # The vehicle's driver reads the one that stands.
        "retrieve": "view_vehicle",
        "create": "decide_move",
        "end": "end_move",
    }
    keyed = frozenset({"create", "end"})
    takes = {"create": YardMoveIn, "end": EndIn}
    gives = {"end": EndOut}
    examples = {"create": YARD_MOVE, "end": YARD_MOVE_END}

    def shown(self, rows: QuerySet[YardMove]) -> QuerySet[YardMove]:
        return rows.select_related("vehicle", "by", "end__by")

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Let a held vehicle be moved to the yard only, until a time. The hold stays.

        After an axle oscillation it is towed: the move is refused unless it is said in words why
        it can't be, and confirmed. Two at once there are not.
        """
        said = self.said()
        leave = Leave(vehicle_id=said.pop("vehicle").pk, **said)
        return self.made(decide_move(self.actor, leave, at=self.now, request=self.key))

    def end(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Say that it has arrived, or take the leave back before its time."""
        move, end = self.get_object(), End(**self.said())
        return self.made(end_move(self.actor, move.pk, end, at=self.now, request=self.key))
