"""Figures as the reader's trade says them; units always shown.

`units` is "us" or "metric", as the reader has it; `unit` is the meter's own.
"""

from typing import Any

from django.utils.translation import gettext

from fleet.calc.units import format_length, format_torque, use_from_si

NONE = "—"
# What is not there: None, or the empty text that a template makes of a missing relation.
ABSENT = (None, "")


def torque(newton_metres: Any, units: str) -> str:
    """115.2 -> '85 lbf·ft' or '115.2 N·m'."""
    if newton_metres in ABSENT:
        return NONE
    return format_torque(newton_metres, "N·m" if units == "metric" else "lbf·ft")


def tape(metres: Any, units: str) -> str:
    """A length as a tape shows it: '46 5/16 in' or '1176.3 mm'."""
    if metres in ABSENT:
        return NONE
    return format_length(metres, "mm" if units == "metric" else "in")


def toe(metres: Any, units: str) -> str:
    """'1/16 in toe-in', '1.6 mm toe-out', 'no toe'. Positive is toe-in."""
    if metres in ABSENT:
        return NONE
    size = tape(abs(metres), units)
    if size.startswith("0 "):
        return gettext("no toe")
    return (gettext("%s toe-in") if metres > 0 else gettext("%s toe-out")) % size


def meter(use_si: Any, unit: str) -> str:
    """Metres or seconds in the meter's own unit, whole: '48,210 mi', '1,302 h'."""
    if use_si in ABSENT:
        return NONE
    return f"{use_from_si(use_si, unit, 0):,} {unit}"
