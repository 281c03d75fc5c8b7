"""The front-axle record of one vehicle: whole, of some days, or as it stood on a day.

'As it stood' is what the server had heard of by the end of that day in the yard's zone
(`fleet/reads/cut.py`), or, where that is asked for, what had happened by then as entered up to
now. States of joints come from the same function that keeps them.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import Prefetch, Q, QuerySet
from django.utils.translation import gettext as _

from fleet.calc.calendar import start_of_local_day
from fleet.reads.cut import KNOWN, Cut, end_of
from fleet.reads.days import today_at, zone_of
from fleet.reads.joint_states import fitted_now, live_rechecks, work_out
from fleet.reads.reports import repairs
from fleet.reads.reports.repairs import Correction, Job
from fleet.records.models import (
    Complaint,
    Finding,
    Hold,
    Inspection,
    Joint,
    JointFitting,
    JointState,
    MeterReading,
    PartChange,
    Recheck,
    ToeReading,
    TorqueReading,
    TrailEntry,
    Vehicle,
)

# More rows than this are not put on paper at once: thirty years of a truck, some 150 pages.
MOST_ROWS = 8_000


@dataclass(frozen=True)
class Span:
    """The days asked for. Only `until` is the file as it stood on that day."""

    since: date | None = None
    until: date | None = None
    basis: str = KNOWN

    def cut(self, vehicle: Vehicle) -> Cut:
        return Cut() if self.until is None else end_of(self.until, vehicle.yard, self.basis)

    def of(self, rows: QuerySet[Any], vehicle: Vehicle, column: str = "occurred_at") -> Any:
        """Facts of these days, oldest first."""
        found = rows.filter(self.cut(vehicle).facts())
        if self.since is not None:
            first = start_of_local_day(self.since, zone_of(vehicle.yard))
            found = found.filter(**{f"{column}__gte": first})
        return found.order_by(column, "id")


def wrong_days(since: date | None, until: date | None, today: date | None) -> dict[str, str]:
    """What can't be meant by these days, by the field that puts it right."""
    found = {}
    for name, day in (("since", since), ("until", until)):
        if day is not None and today is not None and day > today:
            found[name] = _("Nothing is on file of a day to come. Give today or an earlier day.")
    if since is not None and until is not None and until < since:
        found["until"] = _("The last day lies before the first.")
    return found


class TooLong(Exception):
    """More than goes on paper at once; dates make it shorter."""

    def __init__(self, rows: int) -> None:
        super().__init__(rows)
        self.rows = rows


@dataclass(frozen=True)
class JointThen:
    joint: Joint
    state: JointState
    fitted: str


@dataclass(frozen=True)
class VehicleRecord:
    """All sections of the file, each oldest first; `owed` first to fall due first."""

    vehicle: Vehicle
    span: Span
    meter: MeterReading | None
    joints: list[JointThen]
    owed: list[Recheck]
    holds: list[Hold]
    inspections: list[Inspection]
    jobs: list[Job]
    torques: list[TorqueReading]
    toes: list[ToeReading]
    parts: list[PartChange]
    fittings: list[JointFitting]
    complaints: list[Complaint]
    corrections: list[Correction]
    # What was changed of the vehicle itself after the day: the trail's entries, newest first.
    changed_since: list[TrailEntry]

    def is_late(self, recheck: Recheck, today: date) -> bool:
        """Whether something owed was past its day, or its meter as last read."""
        by_date = recheck.due_on is not None and recheck.due_on < today
        use, due = self.meter.use_si if self.meter else None, recheck.due_use_si
        return by_date or (use is not None and due is not None and use > due)


def vehicle_record(vehicle: Vehicle, span: Span) -> VehicleRecord:
    """Everything in the file; the number of queries does not grow with it. Raises TooLong."""
    cut = span.cut(vehicle)
    rows = _counted(vehicle, span)
    if rows > MOST_ROWS:
        raise TooLong(rows)
    return VehicleRecord(
        vehicle=vehicle,
        span=span,
        meter=_meter(vehicle, cut),
        joints=_joints(vehicle, cut),
        owed=_owed(vehicle, cut),
        holds=_holds(vehicle, span, cut),
        inspections=_inspections(vehicle, span),
        jobs=repairs.jobs(vehicle, cut, _first(span, vehicle)),
        torques=list(torques(vehicle, span)),
        toes=list(span.of(ToeReading.objects.filter(vehicle=vehicle), vehicle)
                  .select_related("by", "line_entry__line")),
        parts=list(span.of(_parts(vehicle, cut), vehicle).select_related("joint__kind", "by")),
        fittings=list(span.of(JointFitting.objects.filter(joint__vehicle=vehicle), vehicle)
                      .select_related("joint__kind", "by")),
        complaints=list(span.of(Complaint.objects.filter(vehicle=vehicle), vehicle)
                        .select_related("by")),
        corrections=repairs.corrections(vehicle, span, cut),
        changed_since=_changed_since(vehicle, cut),
    )  # fmt: skip


def _counted(vehicle: Vehicle, span: Span) -> int:
    """Rows of the two kinds that make a file long; two queries."""
    findings = span.of(Finding.objects.filter(joint__vehicle=vehicle), vehicle)
    pulls = span.of(TorqueReading.objects.filter(joint__vehicle=vehicle), vehicle)
    return int(findings.count()) + int(pulls.count())


def _first(span: Span, vehicle: Vehicle) -> datetime | None:
    return start_of_local_day(span.since, zone_of(vehicle.yard)) if span.since else None


def _meter(vehicle: Vehicle, cut: Cut) -> MeterReading | None:
    """The last reading that counted."""
    gone = cut.of(MeterReading.objects.filter(vehicle=vehicle, withdraws__isnull=False))
    rows = cut.of(MeterReading.objects.filter(vehicle=vehicle, withdraws=None))
    return rows.exclude(pk__in=gone.values("withdraws")).order_by("-occurred_at", "-id").first()


def _joints(vehicle: Vehicle, cut: Cut) -> list[JointThen]:
    """Every joint in walking order with its state as the facts of then say."""
    joints = list(Joint.objects.filter(vehicle=vehicle).select_related("kind"))
    ids = [joint.pk for joint in joints]
    states, fitted = _told(work_out(ids, cut)), fitted_now(ids, cut)
    return [JointThen(joint, states[joint.pk], fitted[joint.pk]) for joint in joints]


def _told(rows: Iterable[JointState]) -> dict[int, JointState]:
    """By joint, each with what its line shows of its facts; two queries."""
    found = {row.joint_id: row for row in rows}
    tools = TorqueReading.objects.select_related("tool").in_bulk(
        {row.last_torque_id for row in found.values() if row.last_torque_id}
    )
    parts = PartChange.objects.in_bulk({row.part_id for row in found.values() if row.part_id})
    for row in found.values():
        row.last_torque = tools.get(row.last_torque_id or 0)
        row.part = parts.get(row.part_id or 0)
    return found


def _owed(vehicle: Vehicle, cut: Cut) -> list[Recheck]:
    rows = live_rechecks(cut).filter(vehicle=vehicle)
    return list(rows.select_related("joint__kind", "vehicle").order_by("due_on", "id"))


def _holds(vehicle: Vehicle, span: Span, cut: Cut) -> list[Hold]:
    """Placed by then, and not lifted before the first day."""
    rows = Hold.objects.filter(cut.by("placed_at"), vehicle=vehicle)
    first = _first(span, vehicle)
    if first is not None:
        rows = rows.filter(Q(lifted_at=None) | Q(lifted_at__gte=first))
    return list(
        rows.select_related(
            "placed_by", "lifted_by", "lifted_by_check__by", "joint__kind", "finding"
        )
        .order_by("placed_at", "id")
    )  # fmt: skip


def _inspections(vehicle: Vehicle, span: Span) -> list[Inspection]:
    """Each with its findings, in walking order."""
    found = Finding.objects.select_related("joint__kind", "torque")
    seen = Prefetch("findings", found.order_by("joint__order", "id"))
    rows = span.of(Inspection.objects.filter(vehicle=vehicle), vehicle)
    return list(rows.select_related("by", "second_person", "complaint").prefetch_related(seen))


def torques(vehicle: Vehicle, span: Span) -> QuerySet[TorqueReading]:
    """Every pull that stands, with its tool and the figure it was judged against."""
    cut = span.cut(vehicle)
    rows = TorqueReading.objects.filter(cut.stands(), joint__vehicle=vehicle)
    found: QuerySet[TorqueReading] = span.of(rows, vehicle)
    return found.select_related("joint__kind", "tool", "spec", "by", "line_entry__line")


def _parts(vehicle: Vehicle, cut: Cut) -> QuerySet[PartChange]:
    return PartChange.objects.filter(cut.stands(), joint__vehicle=vehicle)


def _changed_since(vehicle: Vehicle, cut: Cut) -> list[TrailEntry]:
    """Identification is state: what the file shows of it is corrected by these."""
    if cut.before is None:
        return []
    rows = TrailEntry.objects.filter(vehicle_id=vehicle.pk, verb="change_vehicle")
    return list(rows.filter(received_at__gte=cut.before).order_by("-id"))


def day_of(record: VehicleRecord, now: datetime) -> date:
    """The day by which the file judges what is late."""
    return record.span.until or today_at(record.vehicle.yard, now)
