"""The Reckoner's section on slotted nuts, filled in with one joint's figure."""

from fleet.calc.units import convert
from fleet.reads.reckoning import clamp, slots
from fleet.reads.reckoning.asked import METRIC, US
from fleet.records.models import JointKind, TorqueSpec

SLOTTED = ("slotted_stud", "slotted_bolt")


def slot_typed(kind: JointKind, spec: TorqueSpec | None, units: str) -> dict[str, str] | None:
    """What the section's fields are filled with; None where no nut is turned on to a slot.

    Never for a wheel-bearing nut, nor for one that draws a taper home.
    """
    held = clamp.held_as(kind.code, kind.held_by)
    if held not in SLOTTED:
        return None
    typed = {"calculator": slots.NAME, "units": METRIC if units == METRIC else US, "held_by": held}
    if spec is None:
        return typed
    typed["low"] = _written(spec.low_nm, units)
    if spec.high_nm > spec.low_nm:
        typed["high"] = _written(spec.high_nm, units)
    if spec.thread:
        typed["thread"] = spec.thread
    return typed


def _written(torque: float, units: str) -> str:
    unit = "N·m" if units == METRIC else "lbf·ft"
    return f"{convert(torque, 'N·m', unit):.1f}".removesuffix(".0") + f" {unit}"
