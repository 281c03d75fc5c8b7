"""Holds: placed in one request by anybody who works here, lifted by a manager with a check."""

from typing import Any

from django.db.models import QuerySet
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Listed, Shown
from api.examples import HOLD, LIFT
from api.fields import ById, Flag, InScope, Strict, Text
from api.filters import HoldFilter
from api.people import PersonRef
from fleet.operations.holds import Check, lift_hold, place_hold
from fleet.records.models import Hold, Joint, SecondCheck, Vehicle


class HoldIn(Strict):
    vehicle = InScope(Vehicle, "unit_number", help_text="Unit number.")
    text = Text(max_length=300, help_text="Why it must not go out.")
    joint = ById(Joint, required=False, allow_null=True, help_text="Joint, by its id.")


class LiftIn(Strict):
    """The second check that allows it; nobody lifts a hold of their own placing."""

    dry_steer = Flag(help_text="Dry steer on the floor, wheels chocked, was done.")
    note = Text(max_length=2000, help_text="What was checked.")
    how = serializers.ChoiceField(choices=SecondCheck.How.choices, required=False)


class HoldOut(serializers.ModelSerializer[Hold]):
    vehicle = serializers.SlugRelatedField[Hold](slug_field="unit_number", read_only=True)
    placed_by = PersonRef(read_only=True)
    lifted_by = PersonRef(read_only=True, allow_null=True)
    text = serializers.CharField(source="words", read_only=True, help_text=(
        "Why it must not go out: as typed, or in the reader's language where no person wrote it."
    ))  # fmt: skip

    class Meta:
        model = Hold
        fields = [
            "id", "uid", "vehicle", "reason", "text", "joint", "finding", "complaint", "recheck",
            "ticket", "placed_at", "placed_by", "lifted_at", "lifted_by", "lifted_by_check",
        ]  # fmt: skip
        read_only_fields = fields


class Holds(Listed, Shown):
    """Holds, newest first. A vehicle must not go out while any of its holds is open."""

    model = Hold
    serializer_class = HoldOut
    filterset_class = HoldFilter
    ability = {
        # Lifted ones are here too, with who lifted them: more than the vehicle's page tells.
        "list": "view_history",
        "retrieve": "view_history",
        "create": "place_hold",
        "lift": "lift_hold",
    }
    keyed = frozenset({"create", "lift"})
    takes = {"create": HoldIn, "lift": LiftIn}
    codes = {"lift": 200}
    examples = {"create": HOLD, "lift": LIFT}

    def shown(self, rows: QuerySet[Hold]) -> QuerySet[Hold]:
        return rows.select_related("vehicle", "placed_by", "lifted_by")

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Hold a vehicle. Placing needs nobody's acceptance."""
        said = self.said()
        joint = said.get("joint")
        return self.made(
            place_hold(
                self.actor,
                said["vehicle"].pk,
                said["text"],
                at=self.now,
                joint_id=joint.pk if joint else None,
                request=self.key,
            )
        )

    def lift(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Lift a hold that no ticket carries; closing a ticket lifts those it carries."""
        hold = self.get_object()
        check = Check(**self.said())
        return self.done(lift_hold(self.actor, hold.pk, check, at=self.now, request=self.key))
