"""When a yard of the demo really comes to do what is owed: mostly in time, one yard often not."""

from datetime import datetime, timedelta

from fleet.operations.demo import inputs
from fleet.operations.demo.truck import Owed, Truck
from fleet.operations.demo.world import World, chance
from fleet.records.models import Recheck

# Shares of the interval at which it is done. Late never reaches the double at which it holds.
IN_TIME, LATE = (0.68, 0.96), (1.08, 1.5)
STANDING_LATE = (1.03, 1.2)
AGAIN = timedelta(days=2)
WHEEL_NUT_DAYS = 2


def plan(world: World, truck: Truck, row: Recheck) -> Owed:
    """Decide when it will be done, and how far the truck is driven until then."""
    late = inputs.read("truth")["yards"][truck.vehicle.yard.name]["late"]
    whole = row.kind in (Recheck.Kind.ROUTINE, Recheck.Kind.ANNUAL)
    bounds = IN_TIME
    if chance(truck.rng, late):
        bounds = STANDING_LATE if whole else LATE
    share = float(truck.rng.uniform(*bounds))
    cap = float("inf")
    length = None
    if row.due_use_si is not None and row.start_use_si is not None:
        length = row.due_use_si - row.start_use_si
        if row.hold_at_twice:
            cap = row.start_use_si + share * length
    planned = row.started_at + timedelta(days=_days(truck, row, share, length))
    if row.not_before is not None:
        planned = row.started_at + timedelta(days=WHEEL_NUT_DAYS)
    return Owed(row, _behind(world, truck, row, truck.morning(planned)), cap)


def _behind(world: World, truck: Truck, row: Recheck, planned: datetime) -> datetime:
    """A yard that is behind has left what does not hold undone these last weeks."""
    days = inputs.read("truth")["yards"][truck.vehicle.yard.name].get("behind_days", 0)
    if row.hold_at_twice or planned < world.now - timedelta(days=days):
        return planned
    return planned + timedelta(days=days)


def _days(truck: Truck, row: Recheck, share: float, length: int | None) -> float:
    """Days until that share is used, by the calendar or by the meter."""
    days = []
    if row.due_on is not None:
        start = row.started_at.astimezone(truck.zone).date()
        days.append((row.due_on - start).days * share)
    if length is not None:
        days.append(length * share / truck.a_day(row.started_at))
    return max(min(days), 1.0)


def put_off(truck: Truck, owed: Owed) -> None:
    """It was not paid this time: come again."""
    owed.planned = truck.morning(truck.clock + AGAIN)
