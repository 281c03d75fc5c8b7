"""What the Due page shows round its list: what is due together, meters to read, the week."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from django.db.models import Count, Exists, F, OuterRef, Q, QuerySet

from fleet.reads.due import (
    STALE_DAYS,
    WEEK,
    DueItem,
    due_items,
    due_this_week,
    overdue,
    owed,
    stale_vehicles,
)
from fleet.reads.few import FIRST
from fleet.reads.rules import settings_now
from fleet.records.models import Person, Recheck, Vehicle, VehicleUse, Yard

# A week list is for a ranch, not for a fleet: beyond this the screen is the place.
MOST_LINES = 400
# Meters to read are counted to here: beyond it the number tells nobody what to do.
MOST_COUNTED = 100


def meters_to_read(person: Person, now: datetime) -> QuerySet[Vehicle]:
    """Vehicles that owe something by a meter nobody has read lately, the longest unread first."""
    stale = Vehicle.visible_to(person).filter(pk__in=stale_vehicles(now).values("pk"))
    longest = F("use__last_at").asc(nulls_first=True)
    found = stale.filter(_owes(person, "pk")).select_related("yard", "use")
    return found.order_by(longest, "unit_number")


@dataclass(frozen=True)
class Meters:
    """The first of them. `total` is counted no further than MOST_COUNTED; `more`: there are more
    than that."""

    rows: list[Vehicle]
    total: int
    more: bool

    def __iter__(self) -> Iterator[Vehicle]:
        return iter(self.rows)

    def __bool__(self) -> bool:
        return bool(self.rows)


def first_meters(person: Person, now: datetime) -> Meters:
    """The same vehicles, the first few; those never read are asked for apart, as only the others
    stand in the order of an index. Three queries."""
    fleet = Vehicle.visible_to(person).filter(status=Vehicle.Status.IN_SERVICE)
    read = VehicleUse.objects.filter(vehicle=OuterRef("pk"), last_at__isnull=False)
    never = fleet.filter(~Exists(read)).filter(_owes(person, "pk")).order_by("unit_number")
    old = (
        VehicleUse.visible_to(person)
        .filter(last_at__lt=_unread_since(now), vehicle__status=Vehicle.Status.IN_SERVICE)
        .filter(_owes(person, "vehicle"))
        .order_by("last_at", "vehicle__unit_number")
    )
    most = MOST_COUNTED + 1
    ids = [*never.values_list("pk", flat=True)[:most],
           *old.values_list("vehicle", flat=True)[:most]]  # fmt: skip
    rows = fleet.select_related("yard", "use").filter(pk__in=ids[:FIRST])
    found = {row.pk: row for row in rows}
    shown = [found[pk] for pk in ids[:FIRST] if pk in found]
    return Meters(shown, min(len(ids), MOST_COUNTED), len(ids) > MOST_COUNTED)


def _unread_since(now: datetime) -> datetime:
    return now - timedelta(days=int(settings_now().get("stale_meter_days", STALE_DAYS)))


def _owes(person: Person, vehicle: str) -> Exists:
    """Whether a vehicle owes something by its meter."""
    live = Recheck.visible_to(person).filter(state__in=Recheck.LIVE, due_use_si__isnull=False)
    return Exists(live.filter(vehicle=OuterRef(vehicle)))


def due_together(person: Person, items: Iterable[DueItem]) -> dict[int, int]:
    """How many looks of each vehicle of these lines fall due within a week of its yard's day; one
    query. A rack is no look."""
    vehicles: dict[date, set[int]] = defaultdict(set)
    for item in items:
        vehicles[item.today].add(item.recheck.vehicle_id)
    soon = Q(pk__in=[])
    for today, ids in vehicles.items():
        soon |= Q(vehicle__in=ids, falls_on__lte=today + timedelta(days=WEEK))
    rows = Recheck.visible_to(person).filter(soon, state__in=Recheck.LIVE)
    counted = rows.exclude(kind=Recheck.Kind.RACK).order_by().values("vehicle")
    return {row["vehicle"]: row["n"] for row in counted.annotate(n=Count("pk"))}


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
