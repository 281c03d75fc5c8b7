"""Toe as left, judged: by the specification, or as restored to what was found."""

from typing import Any

from django.utils.translation import gettext as _

from fleet.calc.alignment import toe_from_widths
from fleet.calc.units import format_length
from fleet.operations.errors import Problem
from fleet.operations.words import value
from fleet.reads.rules import setting
from fleet.records.models import Vehicle

# A tape is read to a sixteenth at best: a hundredth of a millimetre is rounding, not toe.
ROUNDING_M = 1e-5


def problems(data: dict[str, Any], vehicle: Vehicle, line: str, line_id: int) -> list[Problem]:
    """Why the toe as left can't stand; empty where it can, or where a reading is missing."""
    found, left = _toe(data, "found"), _toe(data, "left")
    if found is None or left is None:
        return []
    message = _judge_restored(found, left) if _restored(data) else _judge_spec(data, vehicle, left)
    if not message:
        return []
    return [Problem("toe_out", message, field="left_front", line=line, line_id=line_id)]


def _restored(data: dict[str, Any]) -> bool:
    return bool(value(data, "toe_basis") == "restored")


def _judge_restored(found: float, left: float) -> str:
    tolerance = float(setting("toe_restored_tolerance"))
    if abs(left - found) <= tolerance + ROUNDING_M:
        return ""
    return _("Toe is %(left)s as left and %(found)s as found: more than %(limit)s apart.") % {
        "left": _inches(left),
        "found": _inches(found),
        "limit": _inches(tolerance),
    }


def _judge_spec(data: dict[str, Any], vehicle: Vehicle, left: float) -> str:
    sides = specified(data, vehicle)
    if sides is None:
        return _("No toe figure is on file for this vehicle: type the specification's two sides.")
    low, high = sides
    if low - ROUNDING_M <= left <= high + ROUNDING_M:
        return ""
    return _("Toe as left is %(left)s; the specification is %(low)s to %(high)s (%(source)s).") % {
        "left": _inches(left),
        "low": _inches(low),
        "high": _inches(high),
        "source": vehicle.design.toe_source or _("as typed"),
    }


def specified(data: dict[str, Any], vehicle: Vehicle) -> tuple[float, float] | None:
    """The two sides that toe is held against: as typed on the line, else as on file."""
    design = vehicle.design
    low = _first(value(data, "toe_spec_low"), design.toe_low_m)
    high = _first(value(data, "toe_spec_high"), design.toe_high_m)
    return None if low is None or high is None else (low, high)


def _first(typed: float | None, on_file: float | None) -> float | None:
    return on_file if typed is None else typed


def _toe(data: dict[str, Any], when: str) -> float | None:
    rear, front = value(data, f"{when}_rear"), value(data, f"{when}_front")
    return None if rear is None or front is None else toe_from_widths(rear, front)


def _inches(length: float) -> str:
    return format_length(length, "in", 32)
