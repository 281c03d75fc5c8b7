"""The quick way for meter figures that hold nothing but digits, of which files are full."""

import re
from decimal import Decimal

from fleet.calc.meter_text import meter_unit

_PLAIN = re.compile(r"[0-9]{1,7}(?:\.[0-9])?|[0-9]{1,3}(?:,[0-9]{3}){1,2}(?:\.[0-9])?")
_TENTHS = {name: meter_unit(name).factor / 10 for name in ("mi", "km", "h")}
_OVER = {name: (each.numerator, each.denominator) for name, each in _TENTHS.items()}


def plain_meter(text: str, unit: str) -> tuple[Decimal, int] | None:
    """Read a plain figure: what the meter showed, and that in whole metres or seconds.

    The same as `parse_meter` followed by `use_si`, at a fraction of the time; None for anything
    that holds more than digits, commas between thousands and one decimal.

    Examples
    --------
    >>> plain_meter("48,210.5", "mi")
    (Decimal('48210.5'), 77587279)
    >>> plain_meter("48210 mi", "mi") is None
    True
    """
    if _PLAIN.fullmatch(text) is None:
        return None
    value = Decimal(text.replace(",", ""))
    times, over = _OVER[unit]
    whole, rest = divmod(int(value * 10) * times, over)
    # Half to even, as Python rounds fractions.
    up = 2 * rest > over or (2 * rest == over and whole % 2 == 1)
    return value, whole + up
