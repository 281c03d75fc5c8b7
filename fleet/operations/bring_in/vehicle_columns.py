"""The columns of a file of vehicles: their titles, and how their cells are read."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Self

from django.utils.translation import gettext as _

from fleet.operations.actor import Actor
from fleet.operations.bring_in import cells
from fleet.operations.bring_in.sheet import Column
from fleet.records.models import Design, Duty, MeterUnit, Vehicle, Yard

COLUMNS = (
    Column("unit_number", "unit number", needed=True),
    Column("vin", "VIN"),
    Column("design", "design", needed=True),
    Column("yard", "yard", needed=True),
    Column("duty", "duty", needed=True),
    Column("meter_unit", "meter unit", needed=True),
    Column("meter", "meter"),
    Column("model_year", "model year"),
    Column("steering_side", "steering side"),
    Column("gross_weight_kg", "gross weight kg"),
    Column("corrosion", "corrosion"),
    Column("tyre_size", "tire size"),
    Column("wheel_diameter_m", "wheel diameter"),
    Column("wheel_offset_m", "wheel offset"),
    Column("steering_wheel_m", "steering wheel diameter"),
    Column("power_steering", "power steering"),
    Column("lift_m", "lift"),
    Column("drop_arm", "drop arm"),
    Column("lowered_bracket", "lowered bracket"),
    Column("adjustable_bar", "adjustable bar"),
    Column("drag_link_degrees", "drag link angle"),
    Column("track_bar_degrees", "track bar angle"),
    Column("owner_name", "owner"),
    Column("in_fleet_since", "in fleet since"),
)
TITLES = {column.name: column.title for column in COLUMNS}
OWN = ("unit_number", "design", "yard", "duty", "meter_unit", "meter")

METER_UNITS = {
    MeterUnit.MILES: ("mi", "mile", "miles"),
    MeterUnit.KILOMETRES: ("km", "kilometer", "kilometers", "kilometre", "kilometres"),
    MeterUnit.HOURS: ("h", "hr", "hrs", "hour", "hours"),
}
DUTIES = {
    Duty.HIGHWAY: ("highway",),
    Duty.GRAVEL: ("gravel",),
    Duty.OFF_ROAD: ("off-road", "off_road", "off road"),
    Duty.PLOUGH: ("plow", "plough"),
}
SIDES = {"left": ("left", "left-hand drive"), "right": ("right", "right-hand drive")}
CORROSION = {value: (value,) for value in Vehicle.Corrosion.values}


@dataclass(frozen=True)
class Names:
    """Designs and the actor's yards by their names as they are on file."""

    designs: dict[str, int]
    yards: dict[str, int]

    @classmethod
    def of(cls, actor: Actor) -> Self:
        return cls(dict(Design.objects.values_list("name", "pk")), _yards(actor))


def readers(names: Names) -> cells.Readers:
    """How each column is read."""
    by_column: dict[str, Callable[[str], Any]] = {
        "unit_number": cells.text(20),
        "vin": str,
        "design": cells.named(names.designs, _("design")),
        "yard": cells.named(names.yards, _("yard of yours")),
        "duty": cells.choice(DUTIES),
        "meter_unit": cells.choice(METER_UNITS),
        "meter": str,
        "model_year": cells.whole(1900, 2100),
        "steering_side": cells.choice(SIDES),
        "gross_weight_kg": cells.whole(100, 100_000),
        "corrosion": cells.choice(CORROSION),
        "tyre_size": cells.text(30),
        "wheel_diameter_m": cells.length(2.0),
        "wheel_offset_m": cells.length(1.0),
        "steering_wheel_m": cells.length(1.0),
        "power_steering": cells.yes_no,
        "lift_m": cells.length(1.0),
        "drop_arm": cells.yes_no,
        "lowered_bracket": cells.yes_no,
        "adjustable_bar": cells.yes_no,
        "drag_link_degrees": cells.degrees,
        "track_bar_degrees": cells.degrees,
        "owner_name": cells.text(120),
        "in_fleet_since": cells.day,
    }
    return {
        name: (TITLES[name], reader if name in OWN else _or_nothing(reader))
        for name, reader in by_column.items()
    }


def _yards(actor: Actor) -> dict[str, int]:
    """A yard by its name, and by the short name in its address."""
    rows = Yard.visible_to(actor.person).values_list("name", "slug", "pk")
    return {word: pk for name, slug, pk in rows for word in (slug, name)}


def _or_nothing(reader: Callable[[str], Any]) -> Callable[[str], Any]:
    """An empty cell says nothing: the vehicle then has what the record gives by itself."""

    def read(cell: str) -> Any:
        return reader(cell) if cell else None

    return read
