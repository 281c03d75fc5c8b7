"""A typed figure read back: as it was understood, and the same in other units."""

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from fleet.calc.figures import TAPE_DENOMINATORS
from fleet.calc.unit_table import UNITS, Reading
from fleet.calc.units import (
    format_length,
    format_pressure,
    format_torque,
    parse_length,
    parse_pressure,
    parse_torque,
)

#: What is read back, each with the unit of a bare number where nobody says otherwise.
DEFAULT_UNITS = {"length": "in", "torque": "lbf·ft", "pressure": "psi"}
#: The unit of a kind for a reader of either system.
OWN_UNITS = {
    "us": {"length": "in", "torque": "lbf·ft", "pressure": "psi"},
    "metric": {"length": "mm", "torque": "N·m", "pressure": "kPa"},
}
_OTHER = {"us": "metric", "metric": "us"}
_INCH = UNITS["in"].factor
#: A gauge reads less than this in thousandths, a tape more than it in fractions (own).
_BY_GAUGE = Fraction(1)
_FINEST = TAPE_DENOMINATORS[-1]


@dataclass(frozen=True, slots=True)
class ReadBack:
    """A figure as understood.

    Attributes
    ----------
    si : float
        Metres, newton metres or pascals.
    reading : str
        In the unit that it was typed in.
    other : str
        In the reader's own unit, or where that is the one it was typed in, in the other system's.
    """

    si: float
    reading: str
    other: str


def read_back(
    kind: str, text: str, unit: str = "", system: str = "us", *, signed: bool = False
) -> ReadBack:
    """Read a figure as the records would, and say it again.

    Parameters
    ----------
    kind : {"length", "torque", "pressure"}
    text : str
        As typed.
    unit : str
        The unit of a bare number; empty for the usual one of its kind.
    system : {"us", "metric"}
        The reader's.
    signed : bool
        Whether a length may be below zero (toe, wheel offset).

    Raises
    ------
    UnitError
        As `fleet.calc.units` raises it.
    ValueError
        For a kind, or a unit of that kind, that is not known.

    Examples
    --------
    >>> read_back("length", "1/8")
    ReadBack(si=0.003175, reading='1/8 in', other='3.2 mm')
    >>> read_back("length", "0.03 in").reading, read_back("length", "3' 10 5/16").reading
    ('0.03 in', '46 5/16 in')
    >>> read_back("torque", "120 lbf·in").other, read_back("torque", "120", system="metric").other
    ('10 lbf·ft', '162.7 N·m')
    """
    if kind not in DEFAULT_UNITS:
        raise ValueError(f"no such kind of figure: {kind!r}")
    unit = unit or DEFAULT_UNITS[kind]
    reading = _parsed(kind, text, unit, signed)
    own = OWN_UNITS[system][kind]
    other = own if own != reading.unit else OWN_UNITS[_OTHER[system]][kind]
    return ReadBack(reading.si, _as_typed(reading), _said(kind, reading, other))


def _parsed(kind: str, text: str, unit: str, signed: bool) -> Reading:
    if kind == "length":
        return parse_length(text, unit, signed=signed)
    return parse_torque(text, unit) if kind == "torque" else parse_pressure(text, unit)


def _as_typed(reading: Reading) -> str:
    """A length that a tape shows as a fraction is said as one; all else as a decimal."""
    magnitude, sign = abs(reading.magnitude), "-" if reading.magnitude < 0 else ""
    unit = UNITS[reading.unit]
    by_tape = unit.customary and unit.kind == "length"
    if not by_tape or magnitude.denominator not in (1, *TAPE_DENOMINATORS):
        return f"{sign}{_plain(magnitude)} {reading.unit}"
    whole, part = divmod(magnitude, 1)
    figure = " ".join(str(one) for one in (whole, part) if one) or "0"
    return f"{sign}{figure} {reading.unit}"


def _plain(value: Fraction) -> str:
    """As a decimal, to the millionth."""
    text = f"{float(value):.6f}".rstrip("0").rstrip(".")
    return text or "0"


def _said(kind: str, reading: Reading, unit: str) -> str:
    if kind == "length":
        return _inches(reading.si) if unit == "in" else format_length(reading.si, unit)
    write: Callable[[float, str], str] = format_torque if kind == "torque" else format_pressure
    return write(reading.si, unit)


def _inches(si: float) -> str:
    """Thousandths as a gauge shows them, or the nearest 64th of a tape."""
    inches = Fraction(si) / _INCH
    if abs(inches) < _BY_GAUGE:
        return f"{float(inches):.3f} in"
    return format_length(si, "in", _FINEST)
