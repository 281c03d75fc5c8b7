"""Filters of lists that only this door has; those it shares with the pages are in reads."""

import django_filters as filters
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from fleet.reads.filters import HouseFilter, unit_number, yard_choice
from fleet.records.models import (
    Complaint,
    ComplaintKind,
    Finding,
    FindingCode,
    Hold,
    Inspection,
    InspectionKind,
    Joint,
    JointKind,
    MeterReading,
    Rule,
    TorqueSpec,
    TorqueTool,
    YardMove,
)


class _Happened(HouseFilter):
    """When it happened, from and until, as moments with their offset."""

    since = filters.IsoDateTimeFilter(
        field_name="occurred_at", lookup_expr="gte", label=_("Happened at or after")
    )
    until = filters.IsoDateTimeFilter(
        field_name="occurred_at", lookup_expr="lt", label=_("Happened before")
    )


class ReadingFilter(_Happened):
    yard = yard_choice("vehicle__yard")
    vehicle = unit_number("vehicle__unit_number")

    class Meta:
        model = MeterReading
        fields: list[str] = []


class ComplaintFilter(_Happened):
    yard = yard_choice("vehicle__yard")
    vehicle = unit_number("vehicle__unit_number")
    kind = filters.ChoiceFilter(choices=ComplaintKind.choices)
    held = filters.BooleanFilter(label=_("Held the vehicle"))

    class Meta:
        model = Complaint
        fields: list[str] = []


class InspectionFilter(_Happened):
    yard = yard_choice("vehicle__yard")
    vehicle = unit_number("vehicle__unit_number")
    kind = filters.ChoiceFilter(choices=InspectionKind.choices)

    class Meta:
        model = Inspection
        fields: list[str] = []


class FindingFilter(_Happened):
    yard = yard_choice("joint__vehicle__yard")
    vehicle = unit_number("joint__vehicle__unit_number")
    joint = filters.NumberFilter(label=_("Joint, by its id"), min_value=1, max_value=2**63 - 1)
    kind = filters.CharFilter(field_name="joint__kind__code", label=_("Joint kind, by its code"))
    code = filters.ChoiceFilter(choices=FindingCode.choices)
    response = filters.ChoiceFilter(choices=Finding.Response.choices)

    class Meta:
        model = Finding
        fields: list[str] = []


class HoldFilter(HouseFilter):
    yard = yard_choice("vehicle__yard")
    vehicle = unit_number("vehicle__unit_number")
    reason = filters.ChoiceFilter(choices=Hold.Reason.choices)
    open = filters.BooleanFilter(field_name="lifted_at", lookup_expr="isnull", label=_("Open"))

    class Meta:
        model = Hold
        fields: list[str] = []


class YardMoveFilter(_Happened):
    yard = yard_choice("vehicle__yard")
    vehicle = unit_number("vehicle__unit_number")

    class Meta:
        model = YardMove
        fields: list[str] = []


class JointFilter(HouseFilter):
    kind = filters.CharFilter(field_name="kind__code", label=_("Joint kind, by its code"))
    mark = filters.CharFilter(field_name="state__mark", label=_("Mark of the last look"))

    class Meta:
        model = Joint
        fields: list[str] = []


class JointKindFilter(HouseFilter):
    group = filters.CharFilter(label=_("Group"))
    holds = filters.BooleanFilter(label=_("Warrants a hold"))

    class Meta:
        model = JointKind
        fields: list[str] = []


class _Versions(HouseFilter):
    """Rows with versions: the current ones, unless all are asked for."""

    all_versions = filters.BooleanFilter(method="with_old", label=_("Old versions too"))

    def with_old(self, rows: QuerySet[Rule], name: str, wanted: bool) -> QuerySet[Rule]:
        return rows

    def filter_queryset(self, queryset: QuerySet[Rule]) -> QuerySet[Rule]:
        rows: QuerySet[Rule] = super().filter_queryset(queryset)
        return rows if self.form.cleaned_data.get("all_versions") else rows.filter(is_current=True)


class RuleFilter(_Versions):
    kind = filters.CharFilter(label=_("Kind"))
    key = filters.CharFilter(label=_("Key"))

    class Meta:
        model = Rule
        fields: list[str] = []


class SpecFilter(_Versions):
    design = filters.CharFilter(field_name="design__name", label=_("Design, by its name"))
    kind = filters.CharFilter(field_name="kind__code", label=_("Joint kind, by its code"))
    origin = filters.ChoiceFilter(choices=TorqueSpec.Origin.choices)

    class Meta:
        model = TorqueSpec
        fields: list[str] = []


class ToolFilter(HouseFilter):
    yard = yard_choice("yard")
    in_use = filters.BooleanFilter(label=_("In use"))

    class Meta:
        model = TorqueTool
        fields: list[str] = []
