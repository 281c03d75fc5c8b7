"""Reference data: designs, joint kinds, the rules in force, torque figures."""

from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from api.answers import ReckonedOut
from api.base import Listed, Shown
from api.filters import JointKindFilter, RuleFilter, SpecFilter
from fleet.reads.clamp_checks import spec_check, with_factory
from fleet.records.models import Design, JointKind, Rule, TorqueSpec


class DesignOut(serializers.ModelSerializer[Design]):
    axle = serializers.SlugRelatedField[Design](slug_field="code", read_only=True)
    linkage = serializers.SlugRelatedField[Design](slug_field="code", read_only=True)
    knuckle = serializers.SlugRelatedField[Design](slug_field="code", read_only=True)
    hub = serializers.SlugRelatedField[Design](slug_field="code", read_only=True)

    class Meta:
        model = Design
        fields = [
            "id", "name", "make", "axle", "linkage", "knuckle", "hub", "toe_typed", "toe_low_m",
            "toe_high_m", "toe_source", "caster_typed", "caster_low_degrees",
            "caster_high_degrees", "caster_source", "camber_typed", "camber_low_degrees",
            "camber_high_degrees", "camber_source", "tie_rod_ahead", "steering_arm_m",
            "steering_arm_typed", "tie_rod_lead_m", "tie_rod_other_lead_m",
            "tie_rod_thread_typed", "tie_rod_other_typed", "pitman_arm_m", "pitman_arm_typed",
            "gear_ratio", "drag_link_lead_m", "drag_link_other_lead_m",
            "drag_link_thread_typed", "drag_link_other_typed", "longer_link_turns_right",
            "linkage_source",
        ]  # fmt: skip
        read_only_fields = fields


class JointKindOut(serializers.ModelSerializer[JointKind]):
    names = serializers.DictField(child=serializers.CharField(), read_only=True)
    moved_methods = serializers.ListField(child=serializers.CharField(), read_only=True)
    play_methods = serializers.ListField(child=serializers.CharField(), read_only=True)

    class Meta:
        model = JointKind
        fields = [
            "code", "names", "group", "sided", "holds", "held_by", "moved_methods",
            "play_methods", "limit", "response", "minutes", "ride_height", "opens_steering",
            "may_be_absent",
        ]  # fmt: skip
        read_only_fields = fields


class RuleOut(serializers.ModelSerializer[Rule]):
    class Meta:
        model = Rule
        fields = ["id", "kind", "key", "version", "is_current", "data", "since", "reason"]
        read_only_fields = fields
        extra_kwargs = {"data": {"help_text": "What the rule says, in its own shape."}}


class SpecOut(serializers.ModelSerializer[TorqueSpec]):
    """A figure with its source. The manufacturer's service information governs."""

    design = serializers.SlugRelatedField[TorqueSpec](slug_field="name", read_only=True)
    kind = serializers.SlugRelatedField[TorqueSpec](slug_field="code", read_only=True)
    clamp_check = serializers.SerializerMethodField(
        help_text="What the figure does to its bolt, as the Reckoner gives it; refused where "
        "T = K d F does not hold or the fastener is not on file. About clamp load only."
    )

    class Meta:
        model = TorqueSpec
        fields = [
            "id", "design", "kind", "origin", "is_target", "typed", "low_nm", "high_nm",
            "angle_degrees", "sequence", "thread_condition", "new_fastener", "thread",
            "strength_class", "source", "reason", "version", "is_current", "since", "clamp_check",
        ]  # fmt: skip
        read_only_fields = fields

    @extend_schema_field(ReckonedOut)
    def get_clamp_check(self, spec: TorqueSpec) -> dict[str, Any]:
        return ReckonedOut(spec_check(spec).answer).data


class Designs(Listed, Shown):
    """Vehicles of one make and pattern: the same layout, fasteners and figures."""

    model = Design
    serializer_class = DesignOut
    ability = {"list": "view_vehicle", "retrieve": "view_vehicle"}

    def shown(self, rows: QuerySet[Design]) -> QuerySet[Design]:
        return rows.select_related("axle", "linkage", "knuckle", "hub")


class JointKinds(Listed, Shown):
    """Kinds of joint: how each is held, what can see it move, whether it warrants a hold."""

    model = JointKind
    serializer_class = JointKindOut
    filterset_class = JointKindFilter
    ability = {"list": "view_vehicle", "retrieve": "view_vehicle"}
    lookup_field = "code"


class Rules(Listed, Shown):
    """The fleet's rules in force; `all_versions=true` gives the old ones too."""

    model = Rule
    serializer_class = RuleOut
    filterset_class = RuleFilter
    ability = {"list": "view_specs", "retrieve": "view_specs"}


class Specs(Listed, Shown):
    """Torque figures, factory and shop kept apart.

    The manufacturer's service information for the vehicle at hand governs.
    """

    model = TorqueSpec
    serializer_class = SpecOut
    filterset_class = SpecFilter
    ability = {"list": "view_specs", "retrieve": "view_specs"}

    def shown(self, rows: QuerySet[TorqueSpec]) -> QuerySet[TorqueSpec]:
        return with_factory(rows).select_related("design", "kind")
