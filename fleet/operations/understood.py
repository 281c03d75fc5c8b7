"""A figure or a VIN read back before it is saved: as understood, or what to type instead."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from fleet.calc.read_back import DEFAULT_UNITS, read_back
from fleet.calc.unit_table import UNITS
from fleet.calc.units import UnitError
from fleet.calc.vin import validate_vin
from fleet.operations.errors import Refused, refuse
from fleet.operations.vehicle_rules import vin_problems
from fleet.operations.words import unit_error
from fleet.reads.vin_words import vin_words

VIN = "vin"
KINDS = (*DEFAULT_UNITS, VIN)
# A figure is kept in 40 characters at most everywhere.
LONGEST = 40


@dataclass(frozen=True)
class Understood:
    """`reading` as typed, `other` in the reader's other unit; `doubt` is no reason to refuse."""

    kind: str
    reading: str
    other: str = ""
    si: float | None = None
    doubt: str = ""


def understood(
    kind: str, typed: str, *, unit: str = "", system: str = "us", signed: bool = False
) -> Understood:
    """Read what was typed as the records will; raises Refused, at "text"."""
    if kind not in KINDS:
        raise refuse("kind_unknown", _("Nothing of this kind is read here."), field="kind")
    if kind == VIN:
        return _vin(typed)
    if unit and (unit not in UNITS or UNITS[unit].kind != kind):
        raise refuse("unit_unknown", _("No figure of this kind is in this unit."), field="unit")
    try:
        read = read_back(kind, typed, unit, system, signed=signed)
    except UnitError as error:
        raise Refused((unit_error(error, "text"),)) from error
    return Understood(kind, read.reading, read.other, read.si)


def _vin(typed: str) -> Understood:
    found = vin_problems(typed, {}, None)
    if found:
        raise refuse(found[0].code, found[0].message, field="text")
    check = validate_vin(typed)
    doubt = "; ".join(vin_words(problem) for problem in check.problems)
    return Understood(VIN, check.vin, doubt=doubt)
