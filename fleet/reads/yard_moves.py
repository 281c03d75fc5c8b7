"""Leave to move a held vehicle to the yard: which one counts, and how it stands."""

from datetime import datetime
from enum import StrEnum

from django.db.models import OuterRef, QuerySet, Subquery

from fleet.records.models import ComplaintKind, Hold, Vehicle, YardMove, YardMoveEnd


class Standing(StrEnum):
    STANDS = "stands"
    LAPSED = "lapsed"
    ARRIVED = "arrived"
    TAKEN_BACK = "taken_back"


def end_of(move: YardMove) -> YardMoveEnd | None:
    return getattr(move, "end", None)


def over_at(move: YardMove) -> datetime:
    """When the leave is over: on its end, and never later than it was given for."""
    end = end_of(move)
    return move.until if end is None else min(end.occurred_at, move.until)


def standing(move: YardMove, now: datetime) -> Standing:
    end = end_of(move)
    if end is not None:
        return Standing(end.how)
    return Standing.STANDS if now < move.until else Standing.LAPSED


def newest_moves() -> QuerySet[YardMove]:
    """The last leave of each vehicle: each names the one before it."""
    rows = YardMove.objects.filter(followed_by=None)
    return rows.select_related("by", "end__by")


def moves_while_held() -> QuerySet[YardMove]:
    """The last leave of each vehicle, where it was given for the holds that are open."""
    holds = Hold.objects.filter(vehicle=OuterRef("vehicle"), lifted_at=None)
    oldest = holds.order_by("placed_at").values("placed_at")[:1]
    return newest_moves().filter(occurred_at__gte=Subquery(oldest))


def move_on(vehicle: Vehicle) -> YardMove | None:
    """The leave that a held vehicle's page shows beside its holds."""
    return moves_while_held().filter(vehicle=vehicle).first()


def standing_moves(now: datetime) -> QuerySet[YardMove]:
    """The leaves by which a held vehicle may be moved now."""
    return moves_while_held().filter(end=None, until__gt=now)


def has_oscillated(vehicle: Vehicle) -> bool:
    """Whether an oscillation complaint holds the vehicle: then it is towed."""
    kind = ComplaintKind.AXLE_OSCILLATION
    return Hold.objects.filter(vehicle=vehicle, lifted_at=None, complaint__kind=kind).exists()
