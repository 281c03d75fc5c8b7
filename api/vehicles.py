"""Vehicles, and the joints on them."""

from typing import Any

from django.db.models import Exists, OuterRef, QuerySet, Subquery
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Listed, Shown
from api.examples import CHANGE, VEHICLE
from api.fields import Figure, Flag, InScope, Strict, Text, Typed, UnitNumber, Whole
from api.filters import JointFilter
from fleet.operations.vehicles import NewVehicle, add_vehicle, change_vehicle
from fleet.reads.filters import VehicleFilter
from fleet.reads.yard_moves import standing_moves
from fleet.records.holds import keeping_in
from fleet.records.models import (
    Design,
    Duty,
    Hold,
    Joint,
    JointState,
    MeterUnit,
    Recheck,
    TorqueReading,
    Vehicle,
    VehicleUse,
    Yard,
)


class UseOut(serializers.ModelSerializer[VehicleUse]):
    """What the meter last said. Use is continuous over replaced meters.

    Rates are SI a day as seen at the last reading; null until there are readings enough.
    """

    typed = serializers.CharField(source="last_reading.typed", default=None, allow_null=True)
    use_si = serializers.IntegerField(
        source="last_use_si", allow_null=True, help_text="Metres; seconds for an hour meter."
    )

    class Meta:
        model = VehicleUse
        fields = ["typed", "use_si", "last_at", "rate_low", "rate_likely", "rate_high"]
        read_only_fields = fields


class VehicleOut(serializers.ModelSerializer[Vehicle]):
    design = serializers.SlugRelatedField[Vehicle](slug_field="name", read_only=True)
    yard = serializers.SlugRelatedField[Vehicle](slug_field="slug", read_only=True)
    held = serializers.BooleanField(read_only=True, help_text="A hold is open: it must not go out.")
    yard_move = serializers.IntegerField(
        read_only=True, allow_null=True,
        help_text="The leave by which it may be moved to the yard only, while one stands.",
    )  # fmt: skip
    steers_over_bumps = serializers.BooleanField(
        read_only=True, help_text="A drop arm with no matching bracket (common practice)."
    )
    meter = UseOut(source="use", read_only=True, allow_null=True)

    class Meta:
        model = Vehicle
        fields = [
            "unit_number", "vin", "vin_note", "design", "yard", "model_year", "status", "held",
            "yard_move",
            "duty", "steering_side", "gross_weight_kg", "corrosion", "tyre_size",
            "wheel_diameter_m", "wheel_offset_m", "steering_wheel_m", "power_steering",
            "meter_unit", "meter", "lift_m", "drop_arm", "lowered_bracket", "adjustable_bar",
            "steers_over_bumps", "drag_link_degrees", "drag_link_typed", "drag_link_m",
            "track_bar_degrees", "track_bar_typed", "track_bar_m", "owner_name",
            "in_fleet_since", "left_fleet_on", "version",
        ]  # fmt: skip
        read_only_fields = fields


class TorqueShort(serializers.ModelSerializer[TorqueReading]):
    tool = serializers.SlugRelatedField[TorqueReading](slug_field="code", read_only=True)

    class Meta:
        model = TorqueReading
        fields = [
            "id", "typed", "extension_typed", "extension_m", "torque_nm", "band", "turned", "tool",
            "occurred_at",
        ]  # fmt: skip
        read_only_fields = fields


class RecheckShort(serializers.ModelSerializer[Recheck]):
    class Meta:
        model = Recheck
        fields = ["id", "kind", "state", "falls_on", "due_on", "due_use_si"]
        read_only_fields = fields


class StateOut(serializers.ModelSerializer[JointState]):
    """The joint now: the last look, the last torque, the part in place, what is owed next."""

    last_finding = serializers.PrimaryKeyRelatedField[Any](read_only=True)
    last_torque = TorqueShort(read_only=True, allow_null=True)
    part_number = serializers.CharField(source="part.number", default=None, allow_null=True)
    part_lot = serializers.CharField(source="part.lot", default=None, allow_null=True)
    part_since = serializers.DateTimeField(source="part.occurred_at", default=None, allow_null=True)
    due = RecheckShort(source="due_recheck", read_only=True, allow_null=True)

    class Meta:
        model = JointState
        fields = [
            "mark", "last_finding", "last_look_at", "last_look_use_si", "last_torque",
            "last_turned_at", "last_turned_use_si", "loosenings", "part_number", "part_lot",
            "part_since", "due",
        ]  # fmt: skip
        read_only_fields = fields


class JointOut(serializers.ModelSerializer[Joint]):
    vehicle = serializers.SlugRelatedField[Joint](slug_field="unit_number", read_only=True)
    kind = serializers.SlugRelatedField[Joint](slug_field="code", read_only=True)
    names = serializers.DictField(
        source="kind.names", child=serializers.CharField(), read_only=True
    )
    holds = serializers.BooleanField(source="kind.holds", read_only=True)
    held_by = serializers.CharField(source="kind.held_by", read_only=True)
    state = StateOut(read_only=True, allow_null=True)

    class Meta:
        model = Joint
        fields = [
            "id", "vehicle", "kind", "names", "side", "order", "fitted", "holds", "held_by",
            "state",
        ]  # fmt: skip
        read_only_fields = fields


SIDES = Vehicle._meta.get_field("steering_side").choices or []


class VehicleFacts(Strict):
    """What may be changed on a vehicle once it is in; its design and meter unit stay."""

    yard = InScope(Yard, "slug", help_text="Slug of the yard.")
    vin = Text(required=False, allow_blank=True, max_length=17)
    model_year = Whole(required=False, allow_null=True, min_value=1900, max_value=2100)
    duty = serializers.ChoiceField(choices=Duty.choices)
    steering_side = serializers.ChoiceField(choices=SIDES, required=False)
    gross_weight_kg = Whole(required=False, allow_null=True, min_value=1)
    corrosion = serializers.ChoiceField(choices=Vehicle.Corrosion.choices, required=False)
    tyre_size = Text(required=False, allow_blank=True, max_length=30)
    wheel_diameter_m = Figure(required=False, allow_null=True, min_value=0)
    wheel_offset_m = Figure(required=False, allow_null=True)
    steering_wheel_m = Figure(required=False, allow_null=True, min_value=0)
    power_steering = Flag(required=False)
    lift_m = Figure(required=False)
    drop_arm = Flag(required=False)
    lowered_bracket = Flag(required=False)
    adjustable_bar = Flag(required=False)
    drag_link_degrees = Figure(required=False, allow_null=True, min_value=-90, max_value=90)
    track_bar_degrees = Figure(required=False, allow_null=True, min_value=-90, max_value=90)
    drag_link_typed = Typed(
        required=False, allow_blank=True, max_length=40,
        help_text="Length between the centers of its joints, as measured.",
    )  # fmt: skip
    track_bar_typed = Typed(
        required=False, allow_blank=True, max_length=40,
        help_text="Length between the centers of its joints, as measured.",
    )  # fmt: skip
    owner_name = Text(required=False, allow_blank=True, max_length=120)
    in_fleet_since = serializers.DateField(required=False, allow_null=True)


class VehicleIn(VehicleFacts):
    unit_number = UnitNumber(max_length=20)
    design = InScope(Design, "name", help_text="Name of the design: its joints come from it.")
    meter_unit = serializers.ChoiceField(choices=MeterUnit.choices)
    meter = Typed(required=False, allow_blank=True, max_length=40, help_text="Its first reading.")


class VehicleChange(VehicleFacts):
    reason = Text(required=False, allow_blank=True, max_length=300)


class Vehicles(Listed, Shown):
    """Vehicles of the reader's yards, by unit number."""

    model = Vehicle
    serializer_class = VehicleOut
    filterset_class = VehicleFilter
    ability = {
        "list": "view_vehicle",
        "retrieve": "view_vehicle",
        "create": "edit_vehicles",
        "partial_update": "edit_vehicles",
    }
    keyed = frozenset({"create"})
    matched = frozenset({"partial_update"})
    takes = {"create": VehicleIn, "partial_update": VehicleChange}
    examples = {"create": VEHICLE, "partial_update": CHANGE}
    lookup_field = "unit_number"
    lookup_value_regex = "[^/]+"

    def shown(self, rows: QuerySet[Vehicle]) -> QuerySet[Vehicle]:
        open_holds = Hold.visible_to(self.actor.person).filter(
            keeping_in(self.now), vehicle=OuterRef("pk")
        )
        moves = standing_moves(self.now).filter(vehicle=OuterRef("pk"))
        return rows.select_related("design", "yard", "use__last_reading").annotate(
            held=Exists(open_holds), yard_move=Subquery(moves.values("pk")[:1])
        )

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Take a vehicle into the fleet; its joints come from its design's layout."""
        said = self.said()
        new = NewVehicle(
            unit_number=said.pop("unit_number"),
            design_id=said.pop("design").pk,
            yard_id=said.pop("yard").pk,
            duty=said.pop("duty"),
            meter_unit=said.pop("meter_unit"),
            meter=said.pop("meter", ""),
            facts=said,
        )
        return self.made(add_vehicle(self.actor, new, at=self.now, request=self.key))

    def partial_update(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Change what may be changed; before and after stand in the trail."""
        vehicle, said = self.get_object(), self.said(partial=True)
        reason = said.pop("reason", "")
        if "yard" in said:
            said["yard_id"] = said.pop("yard").pk
        done = change_vehicle(
            self.actor,
            vehicle.pk,
            said,
            at=self.now,
            expected_version=self.expected,
            reason=reason,
        )
        return self.done(done)


JOINT_PARTS = (
    "vehicle", "kind", "state__last_torque__tool", "state__part", "state__due_recheck",
)  # fmt: skip


class Joints(Shown):
    """One joint with its state; the manufacturer's service information governs the figures."""

    model = Joint
    serializer_class = JointOut
    ability = {"retrieve": "view_history"}

    def shown(self, rows: QuerySet[Joint]) -> QuerySet[Joint]:
        return rows.select_related(*JOINT_PARTS)


class VehicleJoints(Listed):
    """Joints of one vehicle, in the order of the walk."""

    model = Joint
    serializer_class = JointOut
    filterset_class = JointFilter
    ability = {"list": "view_history"}

    def shown(self, rows: QuerySet[Joint]) -> QuerySet[Joint]:
        return rows.select_related(*JOINT_PARTS).filter(
            vehicle__unit_number=self.kwargs["unit_number"]
        )

    def list(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Joints of one vehicle; 404 for a vehicle outside the reader's yards."""
        self.within(Vehicle, unit_number=kwargs["unit_number"])
        return super().list(request, *args, **kwargs)
