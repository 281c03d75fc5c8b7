"""The plan's visits: which vehicle comes on which day to which bay, for what, and who does it."""

from typing import Any

from django.db.models import QuerySet
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Listed, Shown
from api.examples import MOVE_VISIT, PIN_VISIT
from api.fields import Flag, Strict, Whole
from fleet.operations.plan_visits import (
    Place,
    move_visit,
    pin_visit,
    take_out_visit,
    undo_move,
)
from fleet.reads.filters import VisitFilter
from fleet.reads.plan.visits import with_all_told
from fleet.records.models import Visit, VisitPerson, VisitWork

MOST_BAY = 200


class NamedOut(serializers.ModelSerializer[VisitPerson]):
    """Somebody named for a visit; the first does most of it."""

    id = serializers.IntegerField(source="person_id", read_only=True)
    name = serializers.CharField(source="person.name", read_only=True)

    class Meta:
        model = VisitPerson
        fields = ["id", "name", "minutes"]
        read_only_fields = fields


class WorkOut(serializers.ModelSerializer[VisitWork]):
    """One thing that a visit does: a recheck or a ticket."""

    people_at_once = serializers.IntegerField(source="hands", read_only=True)

    class Meta:
        model = VisitWork
        fields = ["recheck", "ticket", "minutes", "people_at_once"]
        read_only_fields = fields


class VisitOut(serializers.ModelSerializer[Visit]):
    """`day` is the yard's local day. `sequence` goes up with each change, `uid` stays."""

    vehicle = serializers.SlugRelatedField[Visit](slug_field="unit_number", read_only=True)
    yard = serializers.SlugRelatedField[Visit](slug_field="slug", read_only=True)
    people = NamedOut(source="crew", many=True, read_only=True)
    work = WorkOut(source="to_do", many=True, read_only=True)
    held = serializers.BooleanField(
        source="is_held", read_only=True, help_text="The vehicle must not go out."
    )
    can_undo = serializers.SerializerMethodField(help_text="Its last move can be undone.")

    class Meta:
        model = Visit
        fields = [
            "id", "uid", "vehicle", "yard", "day", "bay", "place", "minutes", "state", "pinned",
            "people", "work", "held", "can_undo", "sequence", "changed_at", "version",
        ]  # fmt: skip
        read_only_fields = fields

    def get_can_undo(self, row: Visit) -> bool:
        return bool(row.moved_from)


class MoveIn(Strict):
    day = serializers.DateField(help_text="A local day of the yard.")
    bay = Whole(
        required=False, allow_null=True, min_value=1, max_value=MOST_BAY,
        help_text="Left out: the one with most room; on the same day the one it has.",
    )  # fmt: skip
    people = serializers.ListField(
        child=Whole(min_value=1), required=False, max_length=8,
        help_text="Ids, the first of them leading. Left out: whoever can and has most time.",
    )  # fmt: skip
    pinned = Flag(required=False, help_text="True unless said: the planner leaves it there.")


class PinIn(Strict):
    pinned = Flag()


class NothingIn(Strict):
    """No field: what is meant stands in the address."""


class Visits(Listed, Shown):
    """Visits planned, done and taken out, by day. A technician reads their own."""

    model = Visit
    serializer_class = VisitOut
    filterset_class = VisitFilter
    ability = {
        "list": "view_plan", "retrieve": "view_plan", "move": "edit_plan", "pin": "edit_plan",
        "take_out": "edit_plan", "undo": "edit_plan",
    }  # fmt: skip
    keyed = matched = frozenset({"move", "pin", "take_out", "undo"})
    takes = {"move": MoveIn, "pin": PinIn, "take_out": NothingIn, "undo": NothingIn}
    codes = {"move": 200, "pin": 200, "take_out": 200, "undo": 200}
    examples = {"move": MOVE_VISIT, "pin": PIN_VISIT}

    def shown(self, rows: QuerySet[Visit]) -> QuerySet[Visit]:
        return with_all_told(rows)

    def move(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Move it to a day, a bay, other people; it is pinned there unless said otherwise."""
        row, said = self.get_object(), self.said()
        where = Place(said["day"], said.get("bay"), said.get("people"), said.get("pinned", True))
        return self.done(move_visit(self.actor, row.pk, where, **self._asked))

    def pin(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Pin it to its day, or let the planner move it again."""
        row, said = self.get_object(), self.said()
        return self.done(pin_visit(self.actor, row.pk, said["pinned"], **self._asked))

    def take_out(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Take it off the plan; its work stays owed."""
        row = self.get_object()
        self.said()
        return self.done(take_out_visit(self.actor, row.pk, **self._asked))

    def undo(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Put it back where it was before its last move, where nothing else came since."""
        row = self.get_object()
        self.said()
        return self.done(undo_move(self.actor, row.pk, **self._asked))

    @property
    def _asked(self) -> dict[str, Any]:
        return {"at": self.now, "expected_version": self.expected, "request": self.key}
