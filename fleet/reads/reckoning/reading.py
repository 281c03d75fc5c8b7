"""Any length, torque or pressure as it is written, in every unit of its kind."""

from collections.abc import Callable
from datetime import date
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.calc.unit_table import UNITS, Reading
from fleet.calc.units import UnitError, parse_length, parse_pressure, parse_torque
from fleet.reads.reckoning import show, why
from fleet.reads.reckoning.answers import Amount, Answer, FieldProblem, Figure, Said
from fleet.reads.reckoning.asked import METRIC, NOT_JUDGED, Ask, Calculator
from fleet.reads.reckoning.given import Given, unread

NAME = "units"
KINDS: tuple[tuple[str, Any], ...] = (
    ("length", gettext_lazy("length")),
    ("torque", gettext_lazy("torque")),
    ("pressure", gettext_lazy("pressure")),
)
_DEFAULT = {
    "length": {"us": "in", METRIC: "mm"},
    "torque": {"us": "lbf·ft", METRIC: "N·m"},
    "pressure": {"us": "psi", METRIC: "kPa"},
}
_PARSE: dict[str, Callable[[str, str], Reading]] = {
    "length": lambda text, unit: parse_length(text, unit, signed=True),
    "torque": parse_torque,
    "pressure": parse_pressure,
}
_PLACES = {"in": 4, "ft": 4, "mm": 2, "cm": 3, "m": 5, "N·m": 2, "lbf·ft": 2, "lbf·in": 1,
           "kgf·m": 3, "psi": 2, "kPa": 1, "bar": 3}  # fmt: skip
_ORIGIN = gettext_lazy("international definitions: inch 25.4 mm, pound 0.45359237 kg")


def work(given: Given, today: date) -> Answer:
    kind = given.choice("kind")
    given.settle()
    found = given.read("text", lambda text, ask: _read(given, kind, text, ask))
    given.settle()
    reading = given.must(found)
    amounts = tuple(_in(unit.name, reading) for unit in UNITS.values() if unit.kind == kind)
    figure = Figure("same", _("The same"), amounts, str(NOT_JUDGED), str(_ORIGIN))
    exact = _exactly(reading)
    given.read_as("text", exact)
    text = _("Read as %(exact)s, exactly; the other units are rounded.") % {"exact": exact}
    return Answer(NAME, Said("read", text), (figure,))


def _read(given: Given, kind: str, text: str, ask: Ask) -> Reading | None:
    try:
        return _PARSE[kind](text, _DEFAULT[kind][given.units])
    except UnitError as error:
        rest = error.text[error.position : error.position + 12].strip()
        message = unread(text, rest, why.FIGURE[error.code], error.hint)
        given.problems.append(FieldProblem(ask.name, error.code, message, error.hint))
        return None


def _exactly(reading: Reading) -> str:
    """'46 5/16 in': the fraction as it was typed, or the decimals."""
    whole, part = divmod(abs(reading.magnitude), 1)
    sign = "−" if reading.magnitude < 0 else ""
    if reading.unit in ("in", "ft") and part and part.denominator in (2, 4, 8, 16, 32, 64):
        text = f"{whole} {part}" if whole else f"{part}"
    else:
        text = f"{float(abs(reading.magnitude)):,.12g}"
    return f"{sign}{text} {reading.unit}"


def _in(unit: str, reading: Reading) -> Amount:
    value = float(reading.magnitude * UNITS[reading.unit].factor / UNITS[unit].factor)
    return Amount(show.number(value, _PLACES[unit]), unit, value)


CALCULATOR = Calculator(
    NAME,
    gettext_lazy("A figure in other units"),
    gettext_lazy("Any figure as a tape, a wrench or a gauge gives it."),
    (
        Ask("kind", gettext_lazy("It is a"), "choice", choices=KINDS, default="length"),
        Ask("text", gettext_lazy("As written"), example="46 5/16", example_metric="1176 mm",
            needed=True,
            hint=gettext_lazy("Like 46-5/16\", 3' 10 5/16\", 1176 mm, 85 ft-lb, 4,5 bar.")),
    ),
    work,
    gettext_lazy("What can be read in two ways is refused, and never guessed."),
    _ORIGIN,
)  # fmt: skip
