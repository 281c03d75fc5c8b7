"""State of a vehicle's meter: what it last said and how fast it runs.

Keeping and rebuilding are one function, so that rebuilt equals kept whatever came late.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from django.db.models import F, QuerySet, Window
from django.db.models.functions import RowNumber
from numpy.typing import NDArray

from fleet.calc.usage import Rate, rate_of_use
from fleet.operations import projection
from fleet.operations.change import upsert
from fleet.records.models import MeterReading, Vehicle, VehicleUse

# How far back the rate looks: a year and a bit, so that a season is seen whole (own).
LOOK_BACK = timedelta(days=400)
MOST_READINGS = 400
# Vehicles at a time, so that many take a bounded amount of memory.
CHUNK = 50
Days = NDArray[np.int_]
FIELDS = [
    "last_reading", "last_at", "last_use_si", "days_read", "rate_low", "rate_likely", "rate_high",
]  # fmt: skip
ATTRIBUTES = ["last_reading_id", *FIELDS[1:]]

Seen = tuple[int, datetime, int, str]


def counting(vehicle: Vehicle) -> QuerySet[MeterReading]:
    """The readings that count: neither withdrawn nor themselves a withdrawal."""
    return that_count().filter(vehicle=vehicle)


def that_count() -> QuerySet[MeterReading]:
    """The readings of all vehicles that count."""
    rows: QuerySet[MeterReading] = MeterReading.objects.filter(withdrawn_by=None)
    return rows.exclude(kind=MeterReading.Kind.WITHDRAWS)


def refresh(vehicle: Vehicle, at: datetime) -> VehicleUse:
    """Work the state out again from the readings, and what is owed with it."""
    refresh_all([vehicle], at)
    return vehicle.use


def refresh_all(vehicles: Iterable[Vehicle], at: datetime) -> None:
    """The same for many vehicles; queries grow with every fifty of them."""
    for chunk in _chunks(list(vehicles)):
        states = work_out(chunk)
        keep(states)
        projection.project_all(states, at)


def keep(states: Iterable[VehicleUse]) -> None:
    """Write the states down, each in place of the one before."""
    rows = ((one.vehicle_id, *(getattr(one, name) for name in ATTRIBUTES)) for one in states)
    upsert(VehicleUse, "vehicle", FIELDS, rows)


def use_now(vehicle: Vehicle) -> int | None:
    """The use the meter last said, or None where no reading was ever taken."""
    return VehicleUse.objects.filter(vehicle=vehicle).values_list("last_use_si", flat=True).first()


def state_of(vehicle: Vehicle) -> VehicleUse | None:
    """The state kept of the meter, or None where no reading was ever taken."""
    return VehicleUse.objects.filter(vehicle=vehicle).first()


def work_out(vehicles: list[Vehicle]) -> list[VehicleUse]:
    """The state that the readings say, not saved. One query, however many vehicles."""
    recent = _recent(vehicles)
    return [state_from(vehicle, recent.get(vehicle.pk, [])) for vehicle in vehicles]


def _chunks(vehicles: list[Vehicle]) -> Iterator[list[Vehicle]]:
    for start in range(0, len(vehicles), CHUNK):
        yield vehicles[start : start + CHUNK]


def _recent(vehicles: list[Vehicle]) -> dict[int, list[Seen]]:
    """The last readings of each vehicle, newest first."""
    turn = Window(
        RowNumber(), partition_by="vehicle_id", order_by=[F("occurred_at").desc(), F("id").desc()]
    )
    rows = (
        that_count().filter(vehicle__in=vehicles).annotate(turn=turn)
        .filter(turn__lte=MOST_READINGS).order_by("vehicle_id", "-occurred_at", "-id")
    )  # fmt: skip
    found: dict[int, list[Seen]] = defaultdict(list)
    for vehicle_id, pk, when, use_si, kind in rows.values_list(
        "vehicle_id", "pk", "occurred_at", "use_si", "kind"
    ):
        found[vehicle_id].append((pk, when, use_si, kind))
    return found


def state_from(vehicle: Vehicle, readings: Sequence[Seen]) -> VehicleUse:
    """The state that the last readings say (at most MOST_READINGS), newest first; not saved."""
    if not readings:
        return VehicleUse(vehicle=vehicle)
    last_id, last_at, last_use, _kind = readings[0]
    recent = [seen for seen in readings if seen[1] >= last_at - LOOK_BACK]
    days = _days(vehicle, recent)
    rate = _rate(vehicle, days, recent)
    return VehicleUse(
        vehicle=vehicle,
        last_reading_id=last_id,
        last_at=last_at,
        last_use_si=last_use,
        days_read=len(np.unique(days)),
        rate_low=rate.low if rate else None,
        rate_likely=rate.likely if rate else None,
        rate_high=rate.high if rate else None,
    )


def kind_seen(new_meter: bool) -> str:
    """What a rate asks of a reading's kind: whether a new meter begins with it."""
    return MeterReading.Kind.NEW_METER if new_meter else MeterReading.Kind.READ


def _days(vehicle: Vehicle, recent: list[Seen]) -> Days:
    """The yard's days of the readings, oldest first."""
    zone = ZoneInfo(vehicle.yard.time_zone)
    return np.array([at.astimezone(zone).date().toordinal() for _id, at, *_rest in recent[::-1]])


def _rate(vehicle: Vehicle, days: Days, recent: list[Seen]) -> Rate | None:
    """The rate a day as seen at the last reading; staleness is judged on reading, not here."""
    in_order = recent[::-1]
    meters = np.array([use for _id, _at, use, _kind in in_order], dtype=float)
    new = np.array([kind == MeterReading.Kind.NEW_METER for *_seen, kind in in_order])
    rate = rate_of_use(
        days, meters, float(days[-1]), unit=vehicle.meter_unit, resets=_unseen(days, new)
    )
    return rate if isinstance(rate, Rate) else None


def _unseen(days: Days, new: NDArray[np.bool_]) -> Days:
    """Days of a new meter's first reading before which nobody read the old one.

    What was driven between the two is not known, so that stretch says nothing of the rate. An
    old meter read on the same day, as it came off, leaves no gap.
    """
    gap = np.append(True, np.diff(days) > 0)
    unseen: Days = days[new & gap]
    return unseen
