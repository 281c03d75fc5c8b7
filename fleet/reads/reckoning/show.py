"""Figures written out: fractions of an inch where a tape has them, decimals where it has not."""

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from django.utils.translation import gettext as _

from fleet.calc.units import convert, format_length
from fleet.reads.reckoning.answers import Amount

INCH = 0.0254
_SIXTY_FOURTH = 64
NEAR = 1e-6
_ROUND_N = 100.0


def inches(metres: float) -> str:
    """'46 5/16' where a tape reads so, else three decimals; with its sign.

    >>> inches(1.1763375), inches(0.001), inches(-0.0015875)
    ('46 5/16', '0.039', '−1/16')
    """
    value = metres / INCH
    steps = value * _SIXTY_FOURTH
    if abs(steps - round(steps)) < NEAR * _SIXTY_FOURTH:
        whole, part = divmod(Fraction(abs(round(steps)), _SIXTY_FOURTH), 1)
        text = f"{whole} {part}" if whole and part else str(part or whole)
        return f"−{text}" if round(steps) < 0 else text
    return number(value, 3)


def number(value: float, places: int) -> str:
    """A number with so many decimals, thousands set off, halves up, and a true minus.

    >>> number(-1234.5, 1), number(-0.01, 1), number(6.35, 1)
    ('−1,234.5', '0.0', '6.4')
    """
    exact = Decimal(f"{abs(value):.12g}").quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)
    return f"−{exact:,}" if value < 0 and exact else f"{exact:,}"


def millimetres(metres: float) -> str:
    return number(metres * 1000, 1)


def both(metres: float) -> str:
    """A length as a sentence has it: '1/16 in (1.6 mm)'."""
    return f"{inches(metres)} in ({millimetres(metres)} mm)"


def tape(metres: float, units: str) -> str:
    """A length in the reader's own unit alone."""
    return f"{millimetres(metres)} mm" if units == "metric" else f"{inches(metres)} in"


def lengths(metres: float) -> tuple[Amount, Amount]:
    """A length in both systems, with its sign."""
    return (
        Amount(inches(metres), "in", metres / INCH),
        Amount(millimetres(metres), "mm", metres * 1000),
    )


def loads(newtons: float) -> tuple[Amount, Amount]:
    """A force in both systems."""
    pounds = convert(newtons, "N", "lbf")
    return (
        Amount(number(newtons / 1000, 1), "kN", newtons / 1000),
        Amount(number(round(pounds / _ROUND_N) * _ROUND_N, 0), "lbf", pounds),
    )


def amount(value: float, places: int, unit: str) -> tuple[Amount]:
    """One number in one unit."""
    return (Amount(number(value, places), unit, value),)


def ratio(value: float, places: int = 2) -> tuple[Amount]:
    """A number that has no unit, and says so."""
    return amount(value, places, _("(no unit)"))


def torque(newton_metres: float) -> str:
    """'115.2 N·m (85.0 lbf·ft)'."""
    feet = convert(newton_metres, "N·m", "lbf·ft")
    return f"{number(newton_metres, 1)} N·m ({number(feet, 1)} lbf·ft)"


def load(newtons: float) -> str:
    """'48.1 kN (10,800 lbf)': no nut factor is known to more digits."""
    kilo, pounds = loads(newtons)
    return f"{kilo.shown} kN ({pounds.shown} lbf)"


def percent(share: float) -> str:
    return number(100 * share, 0)


def read_length(metres: float, unit: str) -> str:
    """How a typed length is read back: in its own unit, and in the other system's.

    >>> read_length(1.1763375, "in"), read_length(1.176, "mm")
    ('46 5/16 in = 1,176.3 mm', '1,176.0 mm = 46.299 in')
    """
    other = f"{millimetres(metres)} mm"
    inch = f"{inches(metres)} in"
    if unit in ("mm", "cm", "m"):
        own = f"{number(convert(metres, 'm', unit), {'mm': 1, 'cm': 2, 'm': 4}[unit])} {unit}"
        return f"{own} = {inch}"
    own = format_length(metres, unit, 64) if unit == "ft" else inch
    return f"{own} = {other}"


def read_torque(newton_metres: float, unit: str) -> str:
    """The same of a torque: '85 lbf·ft = 115.2 N·m'."""
    own = f"{convert(newton_metres, 'N·m', unit):,.1f}".removesuffix(".0") + f" {unit}"
    if unit == "N·m":
        return f"{own} = {number(convert(newton_metres, 'N·m', 'lbf·ft'), 1)} lbf·ft"
    return f"{own} = {number(newton_metres, 1)} N·m"


def toe_side(metres: float) -> str:
    """'in toe-in' is said in words: which way the fronts stand."""
    if abs(metres) < NEAR:
        return _("no toe")
    return _("toe-in") if metres > 0 else _("toe-out")


def slip_of_the_tape(toe: float) -> str:
    """Why so much is not taken for toe."""
    message = _("%(size)s of toe is a slip of the tape, not toe. Read both again.")
    return message % {"size": both(abs(toe))}
