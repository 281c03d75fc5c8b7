"""Vehicles: the list, and which of them must not go out."""

from datetime import datetime, timedelta
from typing import Any

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet, Subquery
from django.utils import timezone

from fleet.reads.yard_moves import moves_while_held
from fleet.records.holds import keeping_in
from fleet.records.models import Hold, Person, ReadOver, Recheck, Vehicle


def vehicles(person: Person) -> QuerySet[Vehicle]:
    """Every vehicle in scope, each saying `is_held` and when the next recheck `falls_on`."""
    live = Recheck.objects.filter(vehicle=OuterRef("pk"), state__in=Recheck.LIVE)
    live = live.exclude(vehicle__status=Vehicle.Status.OUT)
    return (
        Vehicle.visible_to(person)
        .select_related("yard", "design", "use")
        .annotate(
            is_held=_open_hold(),
            falls_on=Subquery(live.order_by("falls_on", "id").values("falls_on")[:1]),
        )
        .order_by("unit_number")
    )


def held_vehicles(rows: QuerySet[Vehicle]) -> QuerySet[Vehicle]:
    """Those with an open hold, longest held first; `open_holds` on each, oldest first,
    and in `last_moves` the leave to move it to the yard, if any."""
    oldest = keeping_in_now().filter(vehicle=OuterRef("pk")).order_by("placed_at")
    return (
        rows.filter(_open_hold())
        .annotate(held_since=Subquery(oldest.values("placed_at")[:1]))
        .prefetch_related(
            Prefetch("holds", queryset=open_holds(), to_attr="open_holds"),
            Prefetch("yard_moves", queryset=moves_while_held(), to_attr="last_moves"),
        )
        .order_by("held_since", "unit_number")
    )


def open_holds() -> QuerySet[Hold]:
    """Holds that keep a vehicle in, oldest first, with what a banner says of each."""
    return (
        keeping_in_now()
        .select_related("ticket", "joint__kind", "placed_by", "finding")
        .order_by("placed_at", "id")
    )


def holds_on(vehicle: Vehicle) -> list[Hold]:
    """The open holds of one vehicle; an empty list means it may go out as far as we know."""
    return list(open_holds().filter(vehicle=vehicle))


def with_stale_meter(rows: QuerySet[Vehicle], now: datetime, stale_days: int) -> QuerySet[Vehicle]:
    """In service, and the meter not read for longer than the fleet's own limit."""
    never = Q(use__isnull=True) | Q(use__last_at__isnull=True)
    old = Q(use__last_at__lt=now - timedelta(days=stale_days))
    return rows.filter(Q(status=Vehicle.Status.IN_SERVICE) & (never | old)).order_by(
        "use__last_at", "unit_number"
    )


def keeping_in_now() -> QuerySet[Hold]:
    """Holds by which a vehicle must not go out; what was read over lets it out for a time."""
    return Hold.objects.filter(keeping_in(timezone.now()))


def read_over_on(vehicle: Vehicle) -> ReadOver | None:
    """By which a vehicle that a ticket holds is out, until its record comes."""
    out = Hold.objects.filter(ticket=OuterRef("ticket"), lifted_at=None,
                              out_until__gt=timezone.now())  # fmt: skip
    rows = ReadOver.objects.filter(Exists(out), vehicle=vehicle)
    return rows.select_related("by", "worker", "checker", "ticket").first()


def _open_hold() -> Any:
    return Exists(keeping_in_now().filter(vehicle=OuterRef("pk")))
