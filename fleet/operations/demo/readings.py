"""Meter readings of the demo, as `operations.meters` writes them."""

from fleet.calc.units import use_si
from fleet.operations import projection
from fleet.operations import use as operations_use
from fleet.operations.demo.book import Gesture, draft
from fleet.operations.demo.truck import Truck
from fleet.operations.demo.world import World
from fleet.records.models import MeterReading

ONE = {"mi": 1609.344, "km": 1000.0, "h": 3600.0}


def read_meter(world: World, truck: Truck, gesture: Gesture) -> MeterReading:
    """What the meter says now, rounded down as it shows."""
    vehicle, (base_use, base_value) = truck.vehicle, truck.meter_base
    unit = vehicle.meter_unit
    value = int(base_value + (truck.use - base_use) / ONE[unit])
    use = int(base_use) + use_si(value, unit) - use_si(int(base_value), unit)
    return _keep(world, truck, gesture, value, use, MeterReading.Kind.READ)


def new_meter(world: World, truck: Truck, gesture: Gesture, reads: str) -> MeterReading:
    """The meter was replaced: use goes on from where the old one stopped."""
    use = truck.readings[-1][1]
    truck.use = max(truck.use, float(use))
    row = _keep(world, truck, gesture, int(reads), use, MeterReading.Kind.NEW_METER)
    truck.meter_base = (float(use), float(reads))
    return row


def _keep(
    world: World, truck: Truck, gesture: Gesture, value: int, use: int, kind: str
) -> MeterReading:
    row = draft(
        MeterReading, **world.book.fact(gesture.by, gesture.at), vehicle=truck.vehicle, kind=kind,
        typed=f"{value:,}", value=value, unit=truck.vehicle.meter_unit, use_si=use,
    )  # fmt: skip
    world.book.keep(row, gesture.at)
    world.book.trail(gesture, "record_meter", row, truck.vehicle, after={"use_si": use})
    truck.readings.append((gesture.at, use, str(kind)))
    truck.projected = False
    return row


def project(truck: Truck) -> None:
    """The rate of use and what is owed by it, as of the last reading.

    The operations do this at every reading; here it is done where somebody looks at it.
    """
    if truck.projected:
        return
    first = truck.readings[-1][0] - operations_use.LOOK_BACK
    newest = reversed(truck.readings[-operations_use.MOST_READINGS :])
    recent = [(0, at, use, kind) for at, use, kind in newest if at >= first]
    truck.usage = operations_use.state_from(truck.vehicle, recent)
    for owed in truck.live.values():
        projection.place(owed.row, truck.vehicle, truck.usage)
    truck.projected = True
