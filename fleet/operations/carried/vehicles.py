"""The vehicles of a yard with their joints, holds and debts, read all at once."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import Case, Exists, IntegerField, OuterRef, Q, Value, When

from fleet.calc.calendar import local_date
from fleet.operations import judge, respond
from fleet.operations.running import moved_twice
from fleet.reads.tickets import OVER
from fleet.reads.triage import LookStep, orders_of_looking
from fleet.records.models import (
    Complaint,
    FindingCode,
    Hold,
    Joint,
    Recheck,
    Ticket,
    TorqueSpec,
    Vehicle,
    Yard,
)

# What is owed within this many days is today's work (own).
SOON = timedelta(days=14)


@dataclass(frozen=True)
class Yardful:
    """All that is told of a yard's vehicles."""

    yard: Yard
    now: datetime
    today: date
    vehicles: list[Vehicle]
    left_out: int
    joints: dict[int, list[Joint]]
    specs: dict[int, dict[int, TorqueSpec]]
    holds: dict[int, list[Hold]]
    due: dict[int, list[Recheck]]
    complaints: dict[int, list[Complaint]]
    moved: set[int]
    moved_twice: set[int]
    orders: dict[int, list[LookStep]]
    regime: str

    @classmethod
    def of(cls, yard: Yard, now: datetime, most: int) -> "Yardful":
        """Fourteen queries, however many vehicles."""
        today = local_date(now, yard.time_zone)
        rows = _with_work_first(yard, today)
        vehicles, total = list(rows[:most]), rows.count()
        ids = [vehicle.pk for vehicle in vehicles]
        fitted = Joint.objects.filter(vehicle__in=ids).exclude(fitted=Joint.Fitted.NOT_FITTED)
        joints = list(fitted.select_related("kind", "state__last_finding", "state__due_recheck"))
        specs = TorqueSpec.objects.filter(
            design__in={vehicle.design_id for vehicle in vehicles}, is_target=True, is_current=True
        )
        complaints = list(_open_complaints(ids))
        return cls(
            yard=yard, now=now, today=today, vehicles=vehicles,
            left_out=max(0, total - len(vehicles)),
            joints=_by_vehicle(joints),
            specs=_by_design(specs.select_related("kind")),
            holds=_by_vehicle(
                Hold.objects.filter(vehicle__in=ids, lifted_at=None).select_related("finding")
            ),
            due=_by_vehicle(_soon(ids, today)),
            complaints=_by_vehicle(complaints),
            moved=_moved_before(ids, now),
            moved_twice=moved_twice(Joint.objects.filter(vehicle__in=ids)),
            orders=orders_of_looking(complaints, _by_vehicle(joints)),
            regime=judge.regime_now(),
        )  # fmt: skip


def _with_work_first(yard: Yard, today: date) -> Any:
    here = Vehicle.objects.filter(yard=yard).exclude(status=Vehicle.Status.OUT)
    of = {"vehicle": OuterRef("pk")}
    work = (
        Q(Exists(Hold.objects.filter(**of, lifted_at=None)))
        | Q(Exists(Ticket.objects.filter(**of).exclude(state__in=OVER)))
        | Q(Exists(_soon_rows(today).filter(**of)))
    )
    rows = here.select_related("design__linkage", "design__axle", "design__knuckle",
                               "design__hub", "yard", "use__last_reading")  # fmt: skip
    first = Case(When(work, then=Value(0)), default=Value(1), output_field=IntegerField())
    return rows.annotate(first=first).order_by("first", "unit_number")


def _soon_rows(today: date) -> Any:
    return Recheck.objects.filter(state__in=Recheck.LIVE, falls_on__lte=today + SOON)


def _soon(ids: list[int], today: date) -> Any:
    return _soon_rows(today).filter(vehicle__in=ids).order_by("falls_on", "id")


def _open_complaints(ids: list[int]) -> Any:
    """What a driver felt and no closed ticket answers yet."""
    held = Hold.objects.filter(complaint=OuterRef("pk"), lifted_at=None)
    open_ticket = Ticket.objects.filter(complaint=OuterRef("pk")).exclude(state__in=OVER)
    rows = Complaint.objects.filter(vehicle__in=ids)
    return rows.filter(Exists(held) | Exists(open_ticket)).order_by("-occurred_at", "-id")


def _moved_before(ids: list[int], now: datetime) -> set[int]:
    """Joints whose last telling look found them moved."""
    rows = Joint.objects.filter(vehicle__in=ids).annotate(last=respond.last_code(now))
    return set(rows.filter(last=FindingCode.MOVED).values_list("pk", flat=True))


def _by_vehicle(rows: Any) -> dict[int, list[Any]]:
    found: dict[int, list[Any]] = defaultdict(list)
    for row in rows:
        found[row.vehicle_id].append(row)
    return found


def _by_design(rows: Any) -> dict[int, dict[int, TorqueSpec]]:
    found: dict[int, dict[int, TorqueSpec]] = defaultdict(dict)
    for spec in rows:
        found[spec.design_id][spec.kind_id] = spec
    return found
