"""Wheel speed against the frequency of a shake: once a turn, twice a turn."""

import math
from datetime import date
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.reads.reckoning import show
from fleet.reads.reckoning.answers import Amount, Answer, Column, Figure, Said, Table
from fleet.reads.reckoning.asked import METRIC, NOT_JUDGED, Ask, Calculator
from fleet.reads.reckoning.given import Given, speed_words

NAME = "wheel-frequency"
ORDERS = (1, 2, 3)
#: An order this near a whole one is taken for it, as in `fleet.calc.speed_follow` (own).
NEAR = 0.08
#: Metres a second of the reader's unit of speed, and its name.
SPEED_UNITS = {"us": (0.44704, "mph"), METRIC: (1 / 3.6, "km/h")}
_SPEEDS = {"us": (30, 40, 50, 60, 70), METRIC: (50, 65, 80, 95, 110)}
_ORIGIN = gettext_lazy("f = v / rolling circumference")
POINTS: dict[str, Any] = {
    "once": gettext_lazy("About once a turn of the wheel: balance or run-out first."),
    "twice": gettext_lazy("About twice a turn: a tire or wheel out of round twice over."),
    "thrice": gettext_lazy("About three times a turn of the wheel: tire or wheel."),
    "not_whole": gettext_lazy(
        "No whole number of shakes a turn: not the wheel alone. Something else that turns, or the "
        "axle itself."
    ),
}
STAYS = gettext_lazy(
    "One speed can't tell: slow down and see whether the shake slows with the wheels. A frequency "
    "that stays as speed falls is axle oscillation."
)


def circumference(given: Given) -> float | None:
    """Way of one turn, metres: measured, or pi times the tire's diameter."""
    way = given.length("circumference", least=0.8, most=5.0)
    across = given.length("tire_diameter", least=0.3, most=1.6)
    if way is not None:
        return way
    return None if across is None else math.pi * across


def order_words(order: float) -> Said:
    """What so many shakes a turn of the wheel point to."""
    nearest = round(order)
    if nearest in ORDERS and abs(order / nearest - 1) <= NEAR:
        code = ("once", "twice", "thrice")[nearest - 1]
        return Said(code, str(POINTS[code]))
    return Said("not_whole", str(POINTS["not_whole"]))


def work(given: Given, today: date) -> Answer:
    speed, way = given.speed("speed"), circumference(given)
    hertz = given.number("hertz", 0.5, 60, words=("Hz", "hz"))
    if way is None and not given.problems:
        hint = given.calculator.ask("tire_diameter").example_for(given.units)
        message = _("Type the rolling circumference, or the tire's diameter, like %(hint)s.")
        given.wrong("tire_diameter", "missing", message % {"hint": hint}, hint)
    given.settle()
    speed, way = given.must(speed), given.must(way)
    figures = [_turning(speed, way)]
    said = Said("no_shake", _("At %(speed)s the wheel turns %(hertz)s times a second.") % {
        "speed": speed_words(speed), "hertz": show.number(speed / way, 1)})  # fmt: skip
    if hertz is not None:
        order = hertz * way / speed
        said = order_words(order)
        figures.append(
            Figure("order", _("Shakes a turn of the wheel"), show.ratio(order),
                   _("within 8 % of a whole number (own)"), str(_ORIGIN))
        )  # fmt: skip
    cautions = [Said("one_speed", str(STAYS))]
    if not given.text("circumference"):
        text = _("From the tire's diameter: a loaded tire's rolling circumference is a few "
                 "hundredths less. Roll it one turn and measure.")  # fmt: skip
        cautions.append(Said("from_diameter", text))
    return Answer(
        NAME, said, tuple(figures), cautions=tuple(cautions), tables=(_table(way, given.units),)
    )


def _turning(speed: float, way: float) -> Figure:
    times = (_("once a turn"), _("twice a turn"), _("three times a turn"))
    amounts = tuple(
        Amount(show.number(n * speed / way, 1), _("Hz, %(times)s") % {"times": said},
               n * speed / way)
        for n, said in zip(ORDERS, times, strict=True)
    )  # fmt: skip
    limit = _("rolling circumference %(way)s") % {"way": show.both(way)}
    return Figure("hertz", _("The wheel at this speed"), amounts, limit, str(_ORIGIN))


def _table(way: float, units: str) -> Table:
    metres, unit = SPEED_UNITS[units]
    rows = tuple(
        (f"{speed}", *(show.number(order * speed * metres / way, 1) for order in ORDERS))
        for speed in _SPEEDS[units]
    )
    columns = (
        Column("speed", _("Speed"), unit),
        *(Column(f"hertz_{n}x", _("%(n)s x a turn") % {"n": n}, "Hz") for n in ORDERS),
    )
    return Table("speeds", _("At other speeds"), columns, rows, str(NOT_JUDGED), str(_ORIGIN))


TIRE_ASKS: tuple[Ask, ...] = (
    Ask("circumference", gettext_lazy("Rolling circumference"), "length", example="94 in",
        example_metric="2390 mm", hint=gettext_lazy("One turn of the loaded tire, rolled out.")),
    Ask("tire_diameter", gettext_lazy("Or the tire's diameter"), "length", example="31 in",
        example_metric="790 mm"),
)  # fmt: skip
CALCULATOR = Calculator(
    NAME,
    gettext_lazy("Wheel speed against a shake"),
    gettext_lazy("How often a wheel turns at a speed, and whether a shake goes with it."),
    (
        Ask("speed", gettext_lazy("Speed"), "speed", example="45 mph", example_metric="72 km/h",
            needed=True),
        *TIRE_ASKS,
        Ask("hertz", gettext_lazy("Shakes a second"), "number", example="8", unit="Hz",
            hint=gettext_lazy("Counted or recorded; leave empty where it is not known.")),
    ),
    work,
    gettext_lazy(
        "A vehicle with violent axle oscillation is not driven, and it is never provoked: speed "
        "goes up in steps, and the first sign ends the test."
    ),
    _ORIGIN,
)  # fmt: skip
