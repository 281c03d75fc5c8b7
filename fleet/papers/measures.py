"""Figures for a table, in the reader's own units: the number in the cell, the unit above it."""

from decimal import Decimal

from django.utils.translation import gettext as _

from fleet.calc.units import convert, use_from_si
from fleet.records.models import Vehicle

METRIC = "metric"


def torque_unit(units: str) -> str:
    return "N·m" if units == METRIC else "lbf·ft"


def torque(newton_metres: float | None, units: str) -> float | None:
    """To a tenth of the unit above it."""
    return None if newton_metres is None else convert(newton_metres, "N·m", torque_unit(units))


def length_unit(units: str) -> str:
    return "mm" if units == METRIC else "in"


def length(metres: float | None, units: str) -> float | None:
    return None if metres is None else convert(metres, "m", length_unit(units))


def small_places(units: str) -> int:
    """Decimals of a small length: tenths of a millimetre, thousandths of an inch."""
    return 1 if units == METRIC else 3


def distance_unit(units: str) -> str:
    return "km" if units == METRIC else "mi"


def meter(use_si: int | None, vehicle: Vehicle) -> Decimal | None:
    """In the meter's own unit, whole."""
    return None if use_si is None else use_from_si(use_si, vehicle.meter_unit, 0)


def meter_heading(vehicle: Vehicle) -> str:
    return _("Meter, %(unit)s") % {"unit": vehicle.meter_unit}


def degrees(value: float | None) -> str:
    return "" if value is None else f"{value:g}°"
