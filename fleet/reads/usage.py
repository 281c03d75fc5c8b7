"""How a vehicle is used, and when its meter reaches what is owed by it."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from fleet.reads.due import STALE_DAYS, DueItem, due_items, is_stale, owed, use_of
from fleet.reads.rules import settings_now
from fleet.records.models import Person, Vehicle, VehicleUse

# The nearest ones tell enough; the due list has them all.
SHOWN = 12


class Silence(StrEnum):
    """Why nothing, or little, can be said of the days to come. Stable, to translate by."""

    NONE = ""
    NEVER = "never_read"
    TOO_FEW = "too_few_readings"
    STALE = "stale"


@dataclass(frozen=True)
class Usage:
    """Use a day as seen at the last reading, and what is owed by the meter with its days."""

    use: VehicleUse | None
    silence: Silence
    owed: list[DueItem]


def usage_of(person: Person, vehicle: Vehicle, now: datetime) -> Usage:
    """Five queries; what is owed only to those who may ask for it."""
    items = []
    if person.may("view_due"):
        by_meter = owed(person).filter(vehicle=vehicle, due_use_si__isnull=False)
        items = due_items(by_meter.order_by("due_use_si", "id")[:SHOWN], now)
    stale_days = int(settings_now().get("stale_meter_days", STALE_DAYS))
    return Usage(use_of(vehicle), silence(vehicle, now, stale_days), items)


def silence(vehicle: Vehicle, now: datetime, stale_days: int) -> Silence:
    """Too few readings give no rate; an old one gives a rate that may hold no more."""
    use = use_of(vehicle)
    if use is None or use.last_at is None:
        return Silence.NEVER
    if use.rate_likely is None:
        return Silence.TOO_FEW
    return Silence.STALE if is_stale(vehicle, now, stale_days) else Silence.NONE
