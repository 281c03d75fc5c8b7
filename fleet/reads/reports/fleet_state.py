"""How the fleet stands now: each vehicle with its holds, its worst joint, and what it owes."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import (
    Case,
    Count,
    IntegerField,
    Min,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Value,
    When,
)
from django.db.models.functions import Coalesce

from fleet.calc.calendar import start_of_local_day
from fleet.reads.days import zone_of
from fleet.reads.due import STALE_DAYS, is_stale, overdue
from fleet.reads.rules import settings_now
from fleet.records.holds import keeping_in
from fleet.records.models import (
    Hold,
    Joint,
    JointState,
    Mark,
    Person,
    Recheck,
    Vehicle,
    Yard,
)

# The worst first: what is worn out, then play, then moved, then what nobody has looked at.
WORST_FIRST = (Mark.BAD, Mark.PLAY, Mark.MOVED, Mark.UNKNOWN, Mark.NO_PLAY, Mark.TIGHT)
WHOLE = (Recheck.Kind.ROUTINE, Recheck.Kind.ANNUAL)


@dataclass(frozen=True)
class VehicleStands:
    """One vehicle on one day. `last_full_look` is when a routine or yearly look was last paid."""

    vehicle: Vehicle
    holds: int
    held_since: datetime | None
    mark: str
    at_mark: int
    owed: int
    overdue: int
    last_full_look: datetime | None
    stale: bool


def fleet_rows(person: Person, yards: Sequence[Yard], now: datetime) -> QuerySet[Vehicle]:
    """Vehicles of these yards with all that the report counts; one query for a page of them."""
    here = OuterRef("pk")
    holds = Hold.objects.filter(keeping_in(now), vehicle=here).order_by().values("vehicle")
    live = Recheck.objects.filter(vehicle=here, state__in=Recheck.LIVE)
    late = overdue(live, list(yards), now)
    whole = Recheck.objects.filter(vehicle=here, state=Recheck.State.DONE, kind__in=WHOLE)
    return (
        Vehicle.visible_to(person)
        .filter(yard__in=yards)
        .select_related("yard", "design", "use")
        .annotate(
            hold_count=_count(holds),
            held_since=Subquery(holds.annotate(first=Min("placed_at")).values("first")),
            owed_count=_count(live.order_by().values("vehicle")),
            late_count=_count(late.order_by().values("vehicle")),
            full_look=Subquery(whole.order_by("-done_at").values("done_at")[:1]),
            worst=Coalesce(Subquery(_worst(here)), Value(WORST_FIRST.index(Mark.UNKNOWN))),
            at_worst=_count_at_worst(here),
        )
        .order_by("yard__name", "unit_number")
    )


def _count(rows: QuerySet[Any]) -> Coalesce:
    counted = Subquery(rows.annotate(n=Count("pk")).values("n"), output_field=IntegerField())
    return Coalesce(counted, 0)


def _ranked() -> Any:
    """States of fitted joints, each with how far from the worst its mark is."""
    whens = [When(mark=mark, then=Value(at)) for at, mark in enumerate(WORST_FIRST)]
    rank = Case(*whens, default=Value(WORST_FIRST.index(Mark.UNKNOWN)))
    rows = JointState.objects.filter(joint__fitted=Joint.Fitted.FITTED).order_by()
    return rows.annotate(rank=rank)


def _worst(vehicle: OuterRef) -> Any:
    rows = _ranked().filter(joint__vehicle=vehicle).values("joint__vehicle")
    return rows.annotate(least=Min("rank")).values("least")


def _count_at_worst(vehicle: OuterRef) -> Coalesce:
    rows = _ranked().filter(joint__vehicle=vehicle).values("rank")
    first = rows.annotate(n=Count("pk")).order_by("rank").values("n")[:1]
    return Coalesce(Subquery(first, output_field=IntegerField()), 0)


def not_looked_at_since(rows: QuerySet[Vehicle], yards: Sequence[Yard], day: date) -> Any:
    """Those whose last full look lies before a day, at each yard's own midnight."""
    wanted = Q(full_look=None)
    for yard in yards:
        wanted |= Q(yard=yard, full_look__lt=start_of_local_day(day, zone_of(yard)))
    return rows.filter(wanted)


def stands(rows: Any, now: datetime) -> list[VehicleStands]:
    """A page of `fleet_rows`; one query more, for the limit of a stale meter."""
    stale_days = int(settings_now().get("stale_meter_days", STALE_DAYS))
    return [_stands(row, now, stale_days) for row in rows]


def _stands(row: Any, now: datetime, stale_days: int) -> VehicleStands:
    return VehicleStands(
        vehicle=row,
        holds=row.hold_count,
        held_since=row.held_since,
        mark=str(WORST_FIRST[row.worst]),
        at_mark=row.at_worst,
        owed=row.owed_count,
        overdue=row.late_count,
        last_full_look=row.full_look,
        stale=is_stale(row, now, stale_days),
    )
