"""Every joint that something doubted has touched since its last good day, as it stands now."""

from dataclasses import dataclass, replace
from datetime import UTC, datetime

from django.db.models import (
    Case,
    CharField,
    F,
    IntegerField,
    Max,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Value,
    When,
)

from fleet.records.models import (
    Calibration,
    Joint,
    PartChange,
    Person,
    SweepJoint,
    ThreadCondition,
    ToolMishap,
    TorqueReading,
    TorqueSpec,
    TorqueTool,
    Vehicle,
)
from fleet.records.sweeps import Sweep

Of, Stands = Sweep.Of, SweepJoint.Stands


@dataclass(frozen=True)
class Doubt:
    """What is doubted, and between which moments."""

    of: str
    since: datetime
    until: datetime
    tool_id: int | None = None
    number: str = ""
    lot: str = ""
    practice: str = ""


def touched(person: Person, doubt: Doubt) -> QuerySet[Joint]:
    """The joints in scope that it touched; two queries at most, whatever there is.

    Each with `touched_at`, `torque_id` or `part_id` of the last time, and `stands`
    (`SweepJoint.Stands`): a joint that was tightened since by a tool that is believed needs no
    look, unless its part is what is doubted.
    """
    rows = Joint.visible_to(person).select_related("kind", "vehicle__yard", "vehicle__use")
    return (_with_part if doubt.of == Of.LOT else _with_torque)(rows, doubt).order_by(
        "vehicle__yard__name", "vehicle__unit_number", "order", "pk"
    )


def last_touched(person: Person, doubt: Doubt) -> datetime | None:
    """When it last touched a joint in scope before the time that is doubted; one query."""
    earlier = replace(doubt, since=datetime(1970, 1, 1, tzinfo=UTC), until=doubt.since)
    found: datetime | None = touched(person, earlier).aggregate(last=Max("touched_at"))["last"]
    return found


def _with_torque(rows: QuerySet[Joint], doubt: Doubt) -> QuerySet[Joint]:
    pulled = TorqueReading.objects.filter(
        _doubted(doubt), occurred_at__gte=doubt.since, occurred_at__lt=doubt.until
    )
    last = pulled.filter(joint=OuterRef("pk")).order_by("-occurred_at", "-id")
    last_torque = "state__last_torque__"
    since = Q(**{
        f"{last_torque}occurred_at__gt": F("touched_at"), f"{last_torque}tool_in_date": True,
    }) & ~Q(**{f"{last_torque}band": TorqueReading.Band.BELOW})  # fmt: skip
    return rows.filter(pk__in=pulled.values("joint")).annotate(
        touched_at=Subquery(last.values("occurred_at")[:1]),
        torque_id=Subquery(last.values("pk")[:1]),
        part_id=Value(None, IntegerField()),
        stands=Case(
            When(_gone(), then=Value(Stands.GONE)),
            When(since, then=Value(Stands.DONE_SINCE)),
            default=Value(Stands.LOOK),
            output_field=CharField(),
        ),
    )


def _doubted(doubt: Doubt) -> Q:
    """The pulls of a tool, or those of a way of tightening: whose figure, the threads as they
    were."""
    if doubt.of == Of.TOOL:
        return Q(tool_id=doubt.tool_id)
    said = doubt.practice.split(", ")
    origins = [one for one in said if one in TorqueSpec.Origin.values]
    threads = [one for one in said if one in ThreadCondition.values]
    return Q(
        **({"spec__origin": origins[0]} if origins else {"spec": None}),
        thread_condition=threads[0] if threads else "",
    )


def _with_part(rows: QuerySet[Joint], doubt: Doubt) -> QuerySet[Joint]:
    of_lot = {"lot__iexact": doubt.lot}
    if doubt.number:
        of_lot["number__iexact"] = doubt.number
    fitted = PartChange.objects.filter(
        fitted=True, occurred_at__gte=doubt.since, occurred_at__lt=doubt.until, **of_lot
    )
    last = fitted.filter(joint=OuterRef("pk")).order_by("-occurred_at", "-id")
    return rows.filter(pk__in=fitted.values("joint")).annotate(
        touched_at=Subquery(last.values("occurred_at")[:1]),
        part_id=Subquery(last.values("pk")[:1]),
        torque_id=Value(None, IntegerField()),
        stands=Case(
            When(_gone() | ~Q(state__part__in=fitted), then=Value(Stands.GONE)),
            default=Value(Stands.LOOK),
            output_field=CharField(),
        ),
    )


def _gone() -> Q:
    return ~Q(fitted=Joint.Fitted.FITTED) | Q(vehicle__status=Vehicle.Status.OUT)


@dataclass(frozen=True)
class Believed:
    """When a tool was last known to be right before it failed or was dropped, and when it was
    again; None where no calibration says so."""

    last_good: datetime | None
    good_again: datetime | None


def believed(tool: TorqueTool) -> Believed:
    """By its calibrations and mishaps; where nothing befell it, its last pass. Three queries."""
    bad = [
        rows.order_by("-occurred_at").values_list("occurred_at", flat=True).first()
        for rows in (
            Calibration.objects.filter(tool=tool, passed=False),
            ToolMishap.objects.filter(tool=tool),
        )
    ]
    passes = list(
        Calibration.objects.filter(tool=tool, passed=True)
        .order_by("occurred_at")
        .values_list("occurred_at", flat=True)
    )
    last_bad = max((moment for moment in bad if moment is not None), default=None)
    if last_bad is None:
        return Believed(passes[-1] if passes else None, None)
    before = [moment for moment in passes if moment < last_bad]
    after = [moment for moment in passes if moment > last_bad]
    return Believed(before[-1] if before else None, after[0] if after else None)
