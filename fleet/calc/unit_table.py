"""The units a figure may be typed in, their exact factors and the ways they are written.

Factors are exact fractions, from the international definitions: inch 25.4 mm, pound
0.45359237 kg, standard gravity 9.80665 m/s², mile 1,609.344 m (never the US survey mile).
"""

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: its name, what it measures, its size in SI and whether fractions go with it."""

    name: str
    kind: str
    dimension: str
    factor: Fraction
    customary: bool
    places: int


@dataclass(frozen=True, slots=True)
class Reading:
    """A figure as typed and the same in SI.

    Attributes
    ----------
    magnitude : Fraction
        The number typed, exact.
    unit : str
        The unit it was typed in, by its one name here (``"in"``, ``"lbf·ft"``).
    si : float
        The same in metres, newton metres, pascals or seconds.
    """

    magnitude: Fraction
    unit: str
    si: float

    @classmethod
    def of(cls, magnitude: Fraction, unit: Unit) -> "Reading":
        """Make a reading from an exact magnitude; `si` is its correctly rounded SI value."""
        return cls(magnitude, unit.name, float(magnitude * unit.factor))


_INCH = Fraction("0.0254")
_FOOT = 12 * _INCH
_GRAVITY = Fraction("9.80665")
_POUND = Fraction("0.45359237")
_POUND_FORCE = _POUND * _GRAVITY
#: The international pound, exactly.
KG_A_POUND = float(_POUND)

_ALL = (
    Unit("in", "length", "length", _INCH, True, 4),
    Unit("ft", "length", "length", _FOOT, True, 4),
    Unit("mm", "length", "length", Fraction(1, 1000), False, 1),
    Unit("cm", "length", "length", Fraction(1, 100), False, 2),
    Unit("m", "length", "length", Fraction(1), False, 4),
    Unit("mi", "distance", "length", 5280 * _FOOT, False, 1),
    Unit("km", "distance", "length", Fraction(1000), False, 1),
    Unit("h", "time", "time", Fraction(3600), False, 1),
    Unit("s", "duration", "time", Fraction(1), False, 0),
    Unit("N·m", "torque", "torque", Fraction(1), False, 1),
    Unit("lbf·ft", "torque", "torque", _POUND_FORCE * _FOOT, True, 1),
    Unit("lbf·in", "torque", "torque", _POUND_FORCE * _INCH, True, 1),
    Unit("kgf·m", "torque", "torque", _GRAVITY, False, 2),
    Unit("psi", "pressure", "pressure", _POUND_FORCE / _INCH**2, True, 1),
    Unit("kPa", "pressure", "pressure", Fraction(1000), False, 1),
    Unit("bar", "pressure", "pressure", Fraction(100_000), False, 2),
    Unit("MPa", "stress", "pressure", Fraction(1_000_000), False, 3),
    Unit("N", "force", "force", Fraction(1), False, 1),
    Unit("lbf", "force", "force", _POUND_FORCE, False, 1),
)

#: Every unit by its one name.
UNITS: dict[str, Unit] = {unit.name: unit for unit in _ALL}

#: How each is written, in small letters and without what may stand between its parts.
_WRITTEN = {
    "in": "in inch inches \" ''",
    "ft": "ft foot feet '",
    "mm": "mm millimeter millimeters millimetre millimetres",
    "cm": "cm centimeter centimeters centimetre centimetres",
    "m": "m meter meters metre metres",
    "mi": "mi mile miles",
    "km": "km kms kilometer kilometers kilometre kilometres",
    "h": "h hr hrs hour hours",
    "s": "s sec second seconds",
    "N·m": "nm newtonmeter newtonmeters newtonmetre newtonmetres",
    "lbf·ft": "lbfft ftlbf lbft ftlb lbsft ftlbs poundfeet poundfoot footpound footpounds",
    "lbf·in": "lbfin inlbf lbin inlb lbsin inlbs poundinch poundinches inchpound inchpounds",
    "kgf·m": "kgfm mkgf kgm mkg kpm",
    "psi": "psi lbf/in2 lbf/in² lb/in2 lb/in²",
    "kPa": "kpa kilopascal kilopascals",
    "bar": "bar bars",
    "MPa": "mpa megapascal megapascals",
    "N": "n newton newtons",
    "lbf": "lbf",
}
_SPELLINGS = {way: UNITS[name] for name, ways in _WRITTEN.items() for way in ways.split(" ")}

_DROPPED = str.maketrans("", "", " ·-*.×\u22c5\u2022\u2219\u2010\u2011\u00a0")


def unit_spelled(written: str) -> Unit | None:
    """Find the unit that somebody wrote, whatever stands between its parts.

    >>> unit_spelled("ft-lbs").name, unit_spelled("N m").name, unit_spelled("furlong")
    ('lbf·ft', 'N·m', None)
    """
    return _SPELLINGS.get(written.translate(_DROPPED).lower())
