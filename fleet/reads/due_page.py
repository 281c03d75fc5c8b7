"""What the Due page shows round its list: what is due together, meters to read, the week."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from django.db.models import Count, Exists, F, OuterRef, Q, QuerySet

from fleet.reads.days import on_each_yards_day
from fleet.reads.due import (
    STALE_DAYS,
    WEEK,
    DueItem,
    due_items,
    due_this_week,
    overdue,
    owed,
)
from fleet.reads.rules import settings_now
from fleet.records.models import Person, Recheck, Vehicle, Yard

# A week list is for a ranch, not for a fleet: beyond this the screen is the place.
MOST_LINES = 400


def meters_to_read(person: Person, now: datetime) -> QuerySet[Vehicle]:
    """Vehicles that owe something by a meter nobody has read lately, the longest unread first."""
    owing = Recheck.visible_to(person).filter(
        vehicle=OuterRef("pk"), state__in=Recheck.LIVE, due_use_si__isnull=False
    )
    days = int(settings_now().get("stale_meter_days", STALE_DAYS))
    never = Q(use__isnull=True) | Q(use__last_at__isnull=True)
    old = Q(use__last_at__lt=now - timedelta(days=days))
    rows = Vehicle.visible_to(person).filter(status=Vehicle.Status.IN_SERVICE)
    found = rows.filter(Exists(owing)).filter(never | old)
    longest = F("use__last_at").asc(nulls_first=True)
    return found.select_related("yard", "use").order_by(longest, "unit_number")


def due_together(
    person: Person, vehicle_ids: Iterable[int], yards: list[Yard], now: datetime
) -> dict[int, int]:
    """How many looks of each vehicle fall due within a week; one query. A rack is no look."""
    soon = on_each_yards_day(yards, now, "vehicle__yard", falls_on__lte=WEEK)
    rows = Recheck.visible_to(person).filter(soon, vehicle__in=set(vehicle_ids))
    rows = rows.filter(state__in=Recheck.LIVE).exclude(kind=Recheck.Kind.RACK)
    counted = rows.order_by().values("vehicle").annotate(n=Count("pk"))
    return {row["vehicle"]: row["n"] for row in counted}


@dataclass(frozen=True)
class Week:
    """A week list: what is late, then day by day what falls due, and the meters to read."""

    yards: list[Yard]
    late: list[DueItem] = field(default_factory=list)
    days: dict[date, list[DueItem]] = field(default_factory=dict)
    meters: list[Vehicle] = field(default_factory=list)
    # Lines that found no room.
    more: int = 0


def week_of(person: Person, yards: list[Yard], now: datetime) -> Week:
    """Everything late or due within a week at these yards; the number of queries is constant."""
    rows = owed(person).filter(vehicle__yard__in=yards).exclude(
        vehicle__status=Vehicle.Status.LAID_UP
    )  # fmt: skip
    late = list(overdue(rows, yards, now)[: MOST_LINES + 1])
    soon = list(due_this_week(rows, yards, now)[: MOST_LINES + 1])
    lines = late + soon
    items = due_items(lines[:MOST_LINES], now)
    days: dict[date, list[DueItem]] = {}
    for item in items[len(late) :]:
        # What its meter was likely to reach before today and has not is today's work.
        days.setdefault(max(item.recheck.falls_on, item.today), []).append(item)
    meters = meters_to_read(person, now).filter(yard__in=yards)[:MOST_LINES]
    return Week(yards, items[: len(late)], days, list(meters), max(len(lines) - MOST_LINES, 0))
