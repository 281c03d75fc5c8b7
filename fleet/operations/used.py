"""Used while held: a meter that moves while the vehicle should stand raises it at once.

A road test and a standing leave to move it to the yard are no such use. What a leave excuses
is bounded: all that was driven between two readings taken within it, and of a stretch that goes
beyond it no more than its time at its speed limit.
"""

from collections.abc import Iterable
from datetime import datetime
from itertools import pairwise

from django.utils.translation import gettext as _

from fleet.operations import holds, use
from fleet.operations.work import Work
from fleet.reads.yard_moves import over_at
from fleet.records.base import in_every_language
from fleet.records.holds import keeping_in
from fleet.records.models import Hold, MeterReading, RoadRelease, RoadTest, Vehicle, YardMove

# A held truck may be pushed about the yard; further than this it was driven (own): one mile,
# or a quarter of an hour.
STIRRED_SI = {"mi": 1_609, "km": 1_609, "h": 900}

Seen = tuple[datetime, int]


def notice_use_while_held(work: Work, vehicle: Vehicle, reading: MeterReading) -> None:
    """A meter that moves while the vehicle is held raises it, unless it was let out."""
    kept = Hold.objects.filter(keeping_in(reading.occurred_at), vehicle=vehicle)
    held = kept.order_by("placed_at").first()
    if held is None:
        return
    since = _stands_since(held)
    if reading.occurred_at < since:
        return
    rows = use.counting(vehicle).filter(occurred_at__gte=since).order_by("occurred_at", "id")
    seen = list(rows.values_list("occurred_at", "use_si"))
    moves = YardMove.objects.filter(vehicle=vehicle, until__gte=since).select_related("end")
    if _unexcused(vehicle, seen, list(moves)) > STIRRED_SI[vehicle.meter_unit]:
        said = in_every_language(lambda: _(
            "The meter moved while the vehicle was held. Ask who and why, and inspect it."
        ))  # fmt: skip
        raise_used(work, vehicle, said)


def raise_used(work: Work, vehicle: Vehicle, said: dict[str, str]) -> None:
    """Hold it for that too, unless nothing holds it any more."""
    if Hold.objects.filter(keeping_in(work.at), vehicle=vehicle).exists():
        holds.place(work, vehicle, Hold.Reason.USED, said, ticket=None)


def _unexcused(vehicle: Vehicle, seen: list[Seen], moves: list[YardMove]) -> float:
    """Use in metres or seconds that no leave answers for."""
    left = float(seen[-1][1] - seen[0][1]) if seen else 0.0
    if not moves:
        return left
    for before, later in pairwise(seen):
        driven = max(0, later[1] - before[1])
        left -= min(driven, _excused(vehicle, before[0], later[0], moves))
    return left


def _excused(vehicle: Vehicle, start: datetime, end: datetime, moves: Iterable[YardMove]) -> float:
    """What the leaves answer for between two readings."""
    excused = 0.0
    for move in moves:
        first, last = move.occurred_at, over_at(move)
        if first <= start and end <= last:
            return float("inf")
        seconds = (min(end, last) - max(start, first)).total_seconds()
        excused += max(0.0, seconds) * (1.0 if vehicle.counts_hours else move.speed_m_s)
    return excused


def _stands_since(held: Hold) -> datetime:
    """From when on the vehicle should stand: found so, back from its last road test, or since
    somebody asked who had moved it."""
    found = held.finding.occurred_at if held.finding else held.placed_at
    moments = [min(found, held.placed_at)]
    outing = RoadRelease.objects.filter(ticket__vehicle=held.vehicle_id).order_by("-until").first()
    if outing is not None:
        test = RoadTest.objects.filter(release=outing).first()
        moments.append(test.occurred_at if test else outing.until)
    asked = Hold.objects.filter(
        vehicle=held.vehicle_id, reason=Hold.Reason.USED, lifted_at__isnull=False
    )
    moments += [hold.lifted_at for hold in asked if hold.lifted_at is not None]
    return max(moments)
