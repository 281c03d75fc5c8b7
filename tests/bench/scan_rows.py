"""The scan of the whole fleet beside one GROUP BY of the same findings, and what one vehicle's
growing record costs."""

import time
from collections.abc import Callable
from functools import partial
from statistics import median

from django.db import connection, transaction
from django.db.models import F
from django.utils import timezone

from fleet.operations import exposures
from fleet.operations.actor import server_actor
from fleet.operations.reckoning import reckon
from fleet.operations.scan_fleet import scan_fleet
from fleet.records.models import Exposure, Finding, Vehicle
from tests.bench.measure import BulkRow, forget_peak, peak_mb

GROUPED = """SELECT joint_id, code, COUNT(*), MAX(use_si), MAX(occurred_at)
             FROM records_finding GROUP BY joint_id, code"""
#: After a ticket: 20 ms, whatever the size of the fleet (decision 44).
SCAN_GOAL, TICKET_S, TICKET_GOAL = 3.0, 0.020, 1.0
ROUNDS = 3
Tell = Callable[[str], None]


def rows(tell: Tell) -> list[BulkRow]:
    """The first scan of a fleet, the next with nothing new, one with something on every vehicle,
    and one vehicle's exposures."""
    tell("  scanning the whole fleet")
    first, peak = _scanned()
    _check()
    many, grouped = Finding.objects.count(), [_seconds(_group) for _ in range(ROUNDS)]
    again = [_scanned() for _ in range(ROUNDS)]
    moved = [_scanned_after_all_moved() for _ in range(ROUNDS)]
    one = [_seconds(partial(_refreshed, pk)) for pk in _some_vehicles()]
    return [
        _row("first scan of the fleet", many, [first], grouped, SCAN_GOAL, peak),
        _row("scan with nothing new", many, [taken for taken, _peak in again], grouped, SCAN_GOAL,
             max(most for _taken, most in again)),
        _row("scan after every vehicle moved", many, [taken for taken, _peak in moved], grouped,
             SCAN_GOAL, max(most for _taken, most in moved)),
        _row("one vehicle's checks, beside 20 ms", Exposure.objects.count(), one, [TICKET_S],
             TICKET_GOAL, peak),
    ]  # fmt: skip


def _check() -> None:
    """What is kept is what the facts say, before anything is timed against it."""
    reckoning = reckon(Vehicle.objects.values_list("pk", flat=True))
    left = len(reckoning.changes(list(reckoning.versions)))
    if left:
        raise SystemExit(f"{left} exposures are not what the facts say")


def _scanned_after_all_moved() -> tuple[float, float]:
    """As after a night in which every meter was read."""
    Vehicle.objects.update(version=F("version") + 1)
    return _scanned()


def _some_vehicles() -> list[int]:
    return list(Vehicle.objects.order_by("?").values_list("pk", flat=True)[:20])


def _scanned() -> tuple[float, float]:
    forget_peak()
    taken = _seconds(lambda: scan_fleet(server_actor("command"), at=timezone.now()))
    return taken, peak_mb()


def _group() -> None:
    with connection.cursor() as cursor:
        cursor.execute(GROUPED)
        cursor.fetchall()


def _refreshed(vehicle_id: int) -> None:
    with transaction.atomic():
        exposures.refresh([vehicle_id])


def _seconds(run: Callable[[], object]) -> float:
    started = time.perf_counter()
    run()
    return time.perf_counter() - started


def _row(
    name: str, many: int, ours: list[float], yardstick: list[float], goal: float, peak: float
) -> BulkRow:
    mine, other = median(ours), median(yardstick)
    ratios = [one / other for one in ours]
    return BulkRow(
        name, many, mine, other, mine / other, min(ratios), max(ratios), goal, None, peak
    )
