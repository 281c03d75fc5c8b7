"""The demo's vehicles with their joints; VINs are of makers that do not exist."""

from datetime import datetime, timedelta
from typing import Any

import numpy as np

from fleet.calc.units import parse_meter, use_si
from fleet.calc.vin import check_digit
from fleet.operations.demo import inputs
from fleet.operations.demo.life import Life, cause
from fleet.operations.demo.truck import Spot, Truck, settle_in
from fleet.operations.demo.world import World
from fleet.operations.vehicle_rules import derived
from fleet.operations.vehicles import make_joints
from fleet.records.models import Design, Vehicle, VehicleUse, Yard

INCH_M = 0.0254
# Position 10 of a VIN from 2010 on: 49 CFR 565.15, Table VII.
YEAR_CODES = "ABCDEFGHJKLMNPRSTVWXY123456789"
FIRST_YEAR = 2010
SEED = 20_260


def make_vehicles(
    rows: list[dict[str, Any]], designs: dict[str, Design], yards: dict[str, Yard],
    since: datetime,
) -> list[Vehicle]:  # fmt: skip
    """Vehicles with the joints of their layouts, in the order of the list."""
    by_name = {row["name"]: row for row in inputs.read("designs")}
    made = Vehicle.objects.bulk_create(
        Vehicle(
            unit_number=row["unit"], design=designs[row["design"]], yard=yards[row["yard"]],
            duty=row["duty"], meter_unit=row["meter"], model_year=row["year"],
            vin=vin(by_name[row["design"]]["code"], row["year"], serial),
            corrosion=row["corrosion"], steering_side=row.get("steering", "left"),
            in_fleet_since=since.date(), **_measures(by_name[row["design"]]), **_ride(row),
        )
        for serial, row in enumerate(rows, start=4101)
    )  # fmt: skip
    for vehicle in made:
        make_joints(vehicle)
    return made


def vin(maker: str, year: int, serial: int) -> str:
    """A VIN with a valid check digit. Its maker codes begin with 0, which no country has been
    given (from memory, unverified)."""
    code = YEAR_CODES[year - FIRST_YEAR]
    blank = f"{maker}4FHA30{code}B{serial:06d}"
    return blank[:8] + check_digit(blank) + blank[9:]


def _measures(design: dict[str, Any]) -> dict[str, Any]:
    return {
        "gross_weight_kg": design["weight_kg"],
        "tyre_size": design["tyre"],
        "wheel_diameter_m": design["wheel_in"] * INCH_M,
        "steering_wheel_m": design["steering_wheel_in"] * INCH_M,
    }


def _ride(row: dict[str, Any]) -> dict[str, Any]:
    """Ride-height facts, where a vehicle differs from its design."""
    names = ("drop_arm", "adjustable_bar", "drag_link_degrees", "track_bar_degrees",
             "drag_link_typed", "track_bar_typed")  # fmt: skip
    facts = {name: row[name] for name in names if name in row}
    return {**facts, **derived(facts), "lift_m": round(row.get("lift_in", 0) * INCH_M, 4)}


def _on_route(world: World, vehicle: Vehicle, since: datetime) -> bool:
    """Whether it drives the route that wears from the first day on record."""
    route = cause("route")
    begun = world.now - timedelta(days=route["days_ago"])
    return vehicle.unit_number in route["units"] and begun <= since


def make_truck(world: World, vehicle: Vehicle, row: dict[str, Any], since: datetime) -> Truck:
    """The vehicle in memory, with a chance of its own that no other vehicle disturbs."""
    rng = np.random.default_rng([SEED, *vehicle.unit_number.encode()])
    specs = world.specs.get(vehicle.design_id, {})
    spots = {
        joint.pk: Spot(joint, specs.get(joint.kind_id))
        for joint in vehicle.joints.select_related("kind")
    }
    start = parse_meter(row["start"], vehicle.meter_unit).magnitude
    truck = Truck(
        vehicle=vehicle, spots=spots, life=Life.of(vehicle, rng), rng=rng, clock=since,
        use=float(use_si(start, vehicle.meter_unit)), usage=VehicleUse(vehicle=vehicle),
        dropped=world.dropped, on_route=_on_route(world, vehicle, since),
    )  # fmt: skip
    settle_in(truck)
    return truck
