"""Odometer and hour-meter figures: reading what was typed, whole metres and seconds."""

from decimal import Decimal
from fractions import Fraction

from fleet.calc.figures import VULGAR, Scan
from fleet.calc.unit_table import UNITS, Reading, Unit, unit_spelled

METER_UNITS = ("mi", "km", "h")
_HINTS = {"mi": "12,345.6", "km": "12,345.6", "h": "1,234.5"}


def meter_unit(name: str) -> Unit:
    """Return the unit of a vehicle's meter by name, or raise ``ValueError``."""
    if name not in METER_UNITS:
        raise ValueError(f"a meter counts in {', '.join(METER_UNITS)}, not {name!r}")
    return UNITS[name]


def parse_meter(text: str, unit: str) -> Reading:
    """Read an odometer or hour-meter figure.

    Parameters
    ----------
    text : str
        What was typed. Thousands may be set off by commas, points or spaces; a unit may follow.
    unit : {"mi", "km", "h"}
        The meter's own unit, used when the text names none. Another unit of the same kind may
        be named in the text; hours on an odometer are refused.

    Returns
    -------
    Reading
        `si` in metres or seconds.

    Raises
    ------
    UnitError
        Where the text can't be read. ``12.345`` is ambiguous; ``12,345`` is not, since no meter
        shows thousandths and the comma before three digits sets off thousands.

    Examples
    --------
    >>> parse_meter("12,345", "mi").magnitude
    Fraction(12345, 1)
    >>> parse_meter("12.345,6 km", "mi")
    Reading(magnitude=Fraction(61728, 5), unit='km', si=12345600.0)
    """
    own = meter_unit(unit)
    scan = Scan.of(text, _HINTS[unit], counter=True)
    _, at = scan.sign(scan.skip_spaces(0), signed=False)
    figure = scan.figure(at)
    at = scan.skip_spaces(figure.end)
    return Reading.of(figure.value, _unit_after(scan, at, own) if scan.rest(at) else own)


def _unit_after(scan: Scan, at: int, own: Unit) -> Unit:
    rest = scan.rest(at)
    if rest[0] == "/" or rest[0] in VULGAR:
        scan.fail("fraction_in_meter", at)
    if rest[0] in "0123456789":
        scan.fail("two_numbers", at)
    named = unit_spelled(rest)
    if named is None:
        scan.fail("unknown_unit" if rest[0].isalpha() else "unexpected", at)
    if named.kind != own.kind:
        scan.fail("wrong_kind", at)
    return named


def use_si(value: int | float | Decimal | Fraction, unit: str) -> int:
    """Turn a meter's figure into whole metres (mi, km) or whole seconds (h).

    Raises
    ------
    ValueError
        If `unit` is no meter unit, or `value` is not finite.

    Examples
    --------
    >>> use_si(500, "mi"), use_si(Decimal("1.5"), "h")
    (804672, 5400)
    """
    try:
        exact = Fraction(value)
    except OverflowError:
        raise ValueError("a meter's figure must be finite") from None
    return round(exact * meter_unit(unit).factor)


def use_from_si(si: int | float, unit: str, places: int = 1) -> Decimal:
    """Turn metres or seconds back into the meter's unit, rounded to `places` decimals.

    A tenth is what meters show; a whole metre is far finer, so a figure in tenths comes back
    exactly as it was typed.

    Examples
    --------
    >>> use_from_si(use_si(Decimal("12345.6"), "mi"), "mi")
    Decimal('12345.6')
    """
    exact = Fraction(si) / meter_unit(unit).factor
    scaled = round(exact * 10**places)
    return Decimal(scaled).scaleb(-places)
