"""Figures as a tape, a wrench, a gauge or a meter gives them, and their SI values.

What a person typed is kept as typed; `Reading` carries the exact magnitude and the unit beside
the SI value. Nothing is guessed: a text that can be read in two ways raises.
"""

from fractions import Fraction

from fleet.calc.figures import TAPE_DENOMINATORS, Figure, Scan
from fleet.calc.meter_text import METER_UNITS, parse_meter, use_from_si, use_si
from fleet.calc.unit_errors import UnitError
from fleet.calc.unit_table import UNITS, Reading, Unit, unit_spelled

__all__ = [
    "METER_UNITS", "Reading", "UnitError", "convert", "format_length", "format_pressure",
    "format_torque", "parse_length", "parse_meter", "parse_pressure", "parse_torque",
    "use_from_si", "use_si",
]  # fmt: skip

_INCHES_IN_FOOT = 12
_HINTS = {
    "in": "46 5/16 in", "ft": "3' 10 5/16\"", "mm": "1176 mm", "cm": "117.6 cm", "m": "1.25 m",
    "N·m": "115 N·m", "lbf·ft": "85 lbf·ft", "lbf·in": "120 lbf·in", "kgf·m": "11.7 kgf·m",
    "psi": "65 psi", "kPa": "450 kPa", "bar": "4.5 bar",
}  # fmt: skip


def parse_length(text: str, default_unit: str = "in", *, signed: bool = False) -> Reading:
    """Read a length as written from a tape, rule or gauge.

    Parameters
    ----------
    text : str
        ``46 5/16``, ``46-5/16"``, ``46⅜``, ``46.31 in``, ``1176 mm``, ``46,31 mm`` or
        ``3' 10 5/16"``; marks, dashes and spaces of any kind.
    default_unit : {"in", "ft", "mm", "cm", "m"}
        The unit meant when none is written.
    signed : bool
        Whether a plus or minus may stand in front (toe), else it is refused.

    Returns
    -------
    Reading
        `si` in metres, the correctly rounded value of the exact fraction. Feet with inches come
        back in inches.

    Raises
    ------
    UnitError
        With the place that failed, a stable code and an example to type instead. ``1,176 mm``
        raises, as it may be a metre or a millimetre; so does ``465/16``, a lost space.

    Examples
    --------
    >>> parse_length("3' 10 5/16\\"")
    Reading(magnitude=Fraction(741, 16), unit='in', si=1.1763375)
    >>> parse_length("46,31 mm").si
    0.04631
    """
    return _parse(text, "length", default_unit, signed=signed)


def parse_torque(text: str, default_unit: str = "N·m") -> Reading:
    """Read a torque; `si` in newton metres. Parameters and errors as `parse_length`.

    Examples
    --------
    >>> parse_torque("85 ft-lb").unit, round(parse_torque("85 ft-lb").si, 4)
    ('lbf·ft', 115.2445)
    """
    return _parse(text, "torque", default_unit)


def parse_pressure(text: str, default_unit: str = "psi") -> Reading:
    """Read a pressure; `si` in pascals. Parameters and errors as `parse_length`.

    Examples
    --------
    >>> parse_pressure("4,5 bar").si
    450000.0
    """
    return _parse(text, "pressure", default_unit)


def _parse(text: str, kind: str, default_unit: str, *, signed: bool = False) -> Reading:
    default = UNITS.get(default_unit)
    if default is None or default.kind != kind:
        raise ValueError(f"{default_unit!r} is no unit of {kind}")
    scan = Scan.of(text, _HINTS[default.name])
    sign, at = scan.sign(scan.skip_spaces(0), signed=signed)
    figure = scan.figure(at)
    at = scan.skip_spaces(figure.end)
    if kind == "length" and (inches_at := _after_feet(scan, at)):
        return Reading.of(sign * _feet_and_inches(scan, figure, inches_at), UNITS["in"])
    unit = _unit_written(scan, at, default) if scan.rest(at) else default
    if figure.fraction_at is not None and not unit.customary:
        scan.fail("fraction_in_metric", figure.fraction_at, _HINTS[unit.name])
    return Reading.of(sign * figure.value, unit)


def _unit_written(scan: Scan, at: int, default: Unit) -> Unit:
    rest = scan.rest(at)
    if rest[0] in "0123456789":
        scan.fail("two_numbers", at)
    unit = unit_spelled(rest)
    if unit is None:
        scan.fail("unknown_unit" if rest[0].isalpha() else "unexpected", at)
    if unit.kind != default.kind:
        scan.fail("wrong_kind", at)
    return unit


def _after_feet(scan: Scan, at: int) -> int | None:
    """Return the index behind a feet mark when a figure follows it, else None."""
    for mark in ("feet", "foot", "ft.", "ft", "'"):
        end = at + len(mark)
        if scan.text[at:end].lower() == mark and scan.text[end : end + 1] != "'":
            begin = scan.skip_spaces(end)
            if scan.text[begin : begin + 1] == "-":
                begin = scan.skip_spaces(begin + 1)
            follows = scan.rest(begin)
            return begin if follows and not follows[0].isalpha() else None
    return None


def _feet_and_inches(scan: Scan, feet: Figure, at: int) -> Fraction:
    """Return feet and inches as inches; the feet must be whole, the inches under twelve."""
    if not feet.whole:
        scan.fail("two_numbers", at)
    inches = scan.figure(at)
    if inches.value >= _INCHES_IN_FOOT:
        scan.fail("inches_past_foot", at)
    end = scan.skip_spaces(inches.end)
    if scan.rest(end) and _unit_written(scan, end, UNITS["in"]).name != "in":
        scan.fail("wrong_kind", end)
    return _INCHES_IN_FOOT * feet.value + inches.value


def convert(value: float | Fraction, from_unit: str, to_unit: str) -> float:
    """Convert a number between two units of the same dimension, rounded once.

    Raises
    ------
    ValueError
        For a unit that is not known, units of different dimensions, or a value not finite.

    Examples
    --------
    >>> convert(1, "lbf·ft", "N·m")
    1.3558179483314003
    >>> convert(1, "mi", "km")
    1.609344
    """
    source, target = unit_spelled(from_unit), unit_spelled(to_unit)
    if source is None or target is None:
        raise ValueError(f"unit not known: {from_unit if source is None else to_unit!r}")
    if source.dimension != target.dimension:
        raise ValueError(f"{from_unit} is a {source.dimension}, {to_unit} a {target.dimension}")
    return float(_finite(value) * source.factor / target.factor)


def _finite(value: float | Fraction) -> Fraction:
    try:
        return Fraction(value)
    except (OverflowError, ValueError):
        raise ValueError(f"not a finite number: {value}") from None


def format_length(si: float, unit: str, denominator: int = 16) -> str:
    """Write metres as a tape would show them.

    Parameters
    ----------
    si : float
        Metres.
    unit : {"in", "ft", "mm", "cm", "m"}
        Inches and feet are written with a fraction, metric units with a decimal.
    denominator : {1, 2, 4, 8, 16, 32, 64}
        Inches are rounded to the nearest one of these and reduced.

    Examples
    --------
    >>> format_length(1.1763375, "in"), format_length(1.1763375, "ft")
    ('46 5/16 in', '3 ft 10 5/16 in')
    >>> format_length(1.1763375, "mm"), format_length(-0.0015875, "in")
    ('1176.3 mm', '-1/16 in')
    """
    target = _unit_of(unit, "length")
    if not target.customary:
        return _decimal(si, target)
    if denominator not in (1, *TAPE_DENOMINATORS):
        raise ValueError("denominator must be 1, 2, 4, 8, 16, 32 or 64")
    steps = round(_finite(si) / UNITS["in"].factor * denominator)
    inches = Fraction(abs(steps), denominator)
    sign = "-" if steps < 0 else ""
    if unit == "in" or inches < _INCHES_IN_FOOT:
        return f"{sign}{_mixed(inches)} in"
    feet, left = divmod(inches, _INCHES_IN_FOOT)
    return f"{sign}{feet} ft {_mixed(left)} in" if left else f"{sign}{feet} ft"


def format_torque(si: float, unit: str) -> str:
    """Write newton metres in `unit`, to a tenth (kgf·m to a hundredth).

    >>> format_torque(115.2445, "lbf·ft"), format_torque(115.2445, "N·m")
    ('85 lbf·ft', '115.2 N·m')
    """
    return _decimal(si, _unit_of(unit, "torque"))


def format_pressure(si: float, unit: str) -> str:
    """Write pascals in `unit`, to a tenth (bar to a hundredth).

    >>> format_pressure(450000.0, "psi"), format_pressure(450000.0, "bar")
    ('65.3 psi', '4.5 bar')
    """
    return _decimal(si, _unit_of(unit, "pressure"))


def _unit_of(name: str, kind: str) -> Unit:
    unit = UNITS.get(name)
    if unit is None or unit.kind != kind:
        raise ValueError(f"{name!r} is no unit of {kind}")
    return unit


def _decimal(si: float, unit: Unit) -> str:
    rounded = round(_finite(si) / unit.factor * 10**unit.places)
    whole, part = divmod(abs(rounded), 10**unit.places)
    decimals = f"{part:0{unit.places}d}".rstrip("0")
    sign = "-" if rounded < 0 else ""
    return f"{sign}{whole}{'.' if decimals else ''}{decimals} {unit.name}"


def _mixed(inches: Fraction) -> str:
    whole, part = divmod(inches, 1)
    if not part:
        return str(whole)
    return f"{whole} {part}" if whole else str(part)
