"""How the text of each type of field is read, with a stable code for what can't be.

========= ============================================================== =======================
type      what is read                                                   codes
========= ============================================================== =======================
text      any text of at most 2,000 characters                           too_long, bad_character
choice    one of `choices`, exactly                                      not_a_choice
confirm   true, yes, on, 1 or false, no, off, 0                          not_a_confirm
count     a whole number of at most 9 digits                             not_a_count
number    a decimal, point or comma; below zero too                      not_a_number
degrees   the same, ° or deg may follow; unit "deg"                      not_a_number
length    as `units.parse_length`; below zero only if `min` is           its codes
torque    as `units.parse_torque`                                        its codes
pressure  as `units.parse_pressure`                                      its codes
tool      the id of a tool, checked by the caller                        too_long, bad_character
person    the id of a person, checked by the caller                      too_long, bad_character
date      YYYY-MM-DD                                                     not_a_date
========= ============================================================== =======================

`min` and `max` hold for counts, numbers, degrees and quantities (in SI): too_small, too_large.
A control character other than tab and line ends is a bad_character in any type.
"""

import re
import unicodedata
from collections.abc import Callable
from datetime import date
from fractions import Fraction
from typing import Any, NotRequired, TypedDict

from fleet.calc.unit_errors import UnitError
from fleet.calc.units import (
    Reading,
    format_length,
    format_pressure,
    format_torque,
    parse_length,
    parse_pressure,
    parse_torque,
)


class Field(TypedDict):
    """The definition of one field, as stored in JSON.

    `when` is ``{"field": name, "is": value}`` or ``{"field": name, "in": [values]}``; `choices`
    are texts, or objects with "code"; `must` is what the value has to be; `min` and `max` are
    in SI for quantities.
    """

    name: str
    type: str
    required: NotRequired[bool]
    when: NotRequired[dict[str, Any]]
    choices: NotRequired[list[Any]]
    must: NotRequired[object]
    min: NotRequired[float]
    max: NotRequired[float]
    default_unit: NotRequired[str]


class FieldError(ValueError):
    """A text that its type can't read."""

    def __init__(self, code: str, hint: str = "", position: int | None = None) -> None:
        self.code, self.hint, self.position = code, hint, position
        super().__init__(code)


LONGEST_TEXT = 2000
#: The unit of a bare number where a field's definition names none.
DEFAULT_UNITS = {"length": "in", "torque": "N·m", "pressure": "psi"}
_YES, _NO = ("true", "yes", "on", "1"), ("false", "no", "off", "0")
_COUNT = re.compile(r"[0-9]{1,9}")
_DECIMAL = re.compile(r"([+-]?)([0-9]{0,9})(?:[.,]([0-9]{1,9}))?")
_DEGREES = re.compile(r" ?(?:°|deg|degrees?)$", re.IGNORECASE)
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


def _text(field: Field, typed: str | bool) -> dict[str, Any]:
    text = _stripped(typed)
    if len(text) > LONGEST_TEXT:
        raise FieldError("too_long", str(LONGEST_TEXT))
    return {"typed": text, "value": text}


def _stripped(typed: str | bool) -> str:
    text = str(typed).lower() if isinstance(typed, bool) else typed.strip()
    for position, c in enumerate(text):
        if unicodedata.category(c) in ("Cc", "Cs") and c not in "\t\n\r":
            raise FieldError("bad_character", "", position)
    return text


def _choice(field: Field, typed: str | bool) -> dict[str, Any]:
    text = _stripped(typed)
    allowed = [
        str(choice["code"] if isinstance(choice, dict) else choice)
        for choice in field.get("choices", [])
    ]
    if text not in allowed:
        raise FieldError("not_a_choice", ", ".join(allowed))
    return {"typed": text, "value": text}


def _confirm(field: Field, typed: str | bool) -> dict[str, Any]:
    text = _stripped(typed)
    if text.lower() not in (*_YES, *_NO):
        raise FieldError("not_a_confirm", "yes, no")
    return {"typed": text, "value": text.lower() in _YES}


def _count(field: Field, typed: str | bool) -> dict[str, Any]:
    text = _stripped(typed)
    if not _COUNT.fullmatch(text):
        raise FieldError("not_a_count", "12")
    _within(field, int(text))
    return {"typed": text, "value": int(text)}


def _number(field: Field, typed: str | bool) -> dict[str, Any]:
    text = _stripped(typed)
    value = _decimal(text)
    _within(field, value)
    return {"typed": text, "value": value}


def _degrees(field: Field, typed: str | bool) -> dict[str, Any]:
    text = _stripped(typed)
    value = _decimal(_DEGREES.sub("", text))
    _within(field, value)
    return {"typed": text, "value": value, "unit": "deg"}


def _decimal(text: str) -> float:
    found = _DECIMAL.fullmatch(text.replace("\u2212", "-"))
    if not found or not (found[2] or found[3]):
        raise FieldError("not_a_number", "1.5")
    return float(Fraction(f"{found[1]}{found[2] or 0}.{found[3] or 0}"))


def _within(field: Field, value: float, shown: Callable[[float], str] = "{:g}".format) -> None:
    if "min" in field and value < field["min"]:
        raise FieldError("too_small", shown(field["min"]))
    if "max" in field and value > field["max"]:
        raise FieldError("too_large", shown(field["max"]))


def _length(field: Field, typed: str | bool) -> dict[str, Any]:
    unit = field.get("default_unit", DEFAULT_UNITS["length"])
    signed = field.get("min", 0) < 0
    return _quantity(
        field,
        typed,
        lambda text: parse_length(text, unit, signed=signed),
        lambda si: format_length(si, unit, 64),
    )


def _torque(field: Field, typed: str | bool) -> dict[str, Any]:
    unit = field.get("default_unit", DEFAULT_UNITS["torque"])
    return _quantity(
        field, typed, lambda text: parse_torque(text, unit), lambda si: format_torque(si, unit)
    )


def _pressure(field: Field, typed: str | bool) -> dict[str, Any]:
    unit = field.get("default_unit", DEFAULT_UNITS["pressure"])
    return _quantity(
        field, typed, lambda text: parse_pressure(text, unit), lambda si: format_pressure(si, unit)
    )


def _quantity(
    field: Field,
    typed: str | bool,
    parse: Callable[[str], Reading],
    shown: Callable[[float], str],
) -> dict[str, Any]:
    text = _stripped(typed)
    try:
        reading = parse(text)
    except UnitError as error:
        raise FieldError(error.code, error.hint, error.position) from None
    _within(field, reading.si, shown)
    return {"typed": text, "si": reading.si, "unit": reading.unit}


def _date(field: Field, typed: str | bool) -> dict[str, Any]:
    text = _stripped(typed)
    try:
        value = date.fromisoformat(text) if _DATE.fullmatch(text) else None
    except ValueError:
        value = None
    if value is None:
        raise FieldError("not_a_date", "2026-11-25")
    return {"typed": text, "value": text}


READERS: dict[str, Callable[[Field, str | bool], dict[str, Any]]] = {
    "text": _text,
    "choice": _choice,
    "confirm": _confirm,
    "count": _count,
    "number": _number,
    "degrees": _degrees,
    "length": _length,
    "torque": _torque,
    "pressure": _pressure,
    "tool": _text,
    "person": _text,
    "date": _date,
}
