"""Typed texts read field by field: each figure, what it was understood as, or why it can't be."""

import math
import re
from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from django.utils.translation import gettext as _

from fleet.calc.unit_table import Reading
from fleet.calc.units import UnitError, parse_length, parse_torque
from fleet.reads.reckoning import show, why
from fleet.reads.reckoning.answers import MISSING, FieldProblem, Unclear, Understood
from fleet.reads.reckoning.asked import METRIC, MOST_TYPED, Ask, Calculator

T = TypeVar("T")

#: Metres a second for each way a speed is written.
SPEEDS = {"mph": 0.44704, "mi/h": 0.44704, "km/h": 1 / 3.6, "kmh": 1 / 3.6, "kph": 1 / 3.6,
          "m/s": 1.0}  # fmt: skip
_NUMBER = re.compile(
    r"(?P<sign>[+\-\u2212]?)\s*(?P<digits>\d{1,9}(?:[.,]\d{1,6})?)\s*(?P<unit>\D.*)?"
)
#: "1,500" may be a thousand and a half thousand, or one and a half.
_GROUP = 3
YES = ("on", "yes", "true", "1")


class Given:
    """What was typed into a calculator's fields.

    Each method reads one field and remembers what it was understood as; a field that can't be
    read is remembered as a problem and comes back as nothing. `settle` then raises them all at
    once, so that a person sees every slip together.
    """

    def __init__(self, calculator: Calculator, typed: Mapping[str, str], units: str) -> None:
        self.calculator, self.units = calculator, units
        self._typed = typed
        self.problems: list[FieldProblem] = []
        self.understood: list[Understood] = []

    def settle(self) -> None:
        """Raise every problem found so far."""
        if self.problems:
            raise Unclear(tuple(self.problems), tuple(self.understood))

    def must(self, value: T | None) -> T:
        """A value that is there once `settle` has let it pass."""
        if value is None:
            raise Unclear(tuple(self.problems), tuple(self.understood))
        return value

    def text(self, name: str) -> str:
        return self._typed.get(name, "").strip()

    def wrong(self, name: str, code: str, message: str, hint: str = "") -> None:
        self.problems.append(FieldProblem(name, code, message, hint))

    def read_as(self, name: str, words: str) -> None:
        label = str(self.calculator.ask(name).label)
        self.understood.append(Understood(name, label, self.text(name)[:MOST_TYPED], words))

    def read(self, name: str, reader: Callable[[str, Ask], T]) -> T | None:
        """Read one field by a function of its text; a needed one that is empty is a problem."""
        ask, text = self.calculator.ask(name), self.text(name)
        if not text:
            if ask.needed:
                hint = ask.example_for(self.units)
                message = _("Type this, like %(hint)s.") if hint else _("This is missing.")
                self.wrong(name, MISSING, message % {"hint": hint} if hint else message, hint)
            return None
        if ask.most and len(text) > ask.most:
            self.wrong(name, "too_long", _("At most %(most)s characters.") % {"most": ask.most})
            return None
        return reader(text, ask)

    def length(
        self, name: str, *, signed: bool = False, least: float = 0.0, most: float = 20.0
    ) -> float | None:
        """A length in metres."""

        def read(text: str, ask: Ask) -> float | None:
            unit = "mm" if self.units == METRIC else "in"
            found = self._figure(name, lambda: parse_length(text, unit, signed=signed))
            if found is None or not self._within(name, found.si, least, most, show.both):
                return None
            words = show.read_length(found.si, found.unit)
            self.read_as(name, f"{words}, {show.toe_side(found.si)}" if signed else words)
            return found.si

        return self.read(name, read)

    def torque(self, name: str, *, most: float = 5_000.0) -> float | None:
        """A torque in newton metres."""

        def read(text: str, ask: Ask) -> float | None:
            unit = "N·m" if self.units == METRIC else "lbf·ft"
            found = self._figure(name, lambda: parse_torque(text, unit))
            if found is None or not self._within(name, found.si, 0.01, most, show.torque):
                return None
            self.read_as(name, show.read_torque(found.si, found.unit))
            return found.si

        return self.read(name, read)

    def number(
        self, name: str, least: float, most: float, *, words: tuple[str, ...] = (), unit: str = ""
    ) -> float | None:
        """A plain number, with one of `words` behind it or none (degrees, per cent)."""

        def read(text: str, ask: Ask) -> float | None:
            value, behind = self._bare(name, text)
            if value is None:
                return None
            if behind and behind not in words:
                self._unread(name, "unknown_unit", text, behind)
                return None
            own = unit or ask.unit
            space = "" if own in ("", "°") else " "
            if not self._within(name, value, least, most, lambda one: f"{one:g}{space}{own}"):
                return None
            self.read_as(name, f"{value:g}{space}{own}")
            return value

        return self.read(name, read)

    def speed(self, name: str) -> float | None:
        """A speed in metres a second."""

        def read(text: str, ask: Ask) -> float | None:
            value, unit = self._bare(name, text.lower())
            if value is None:
                return None
            unit = unit.replace(" ", "") or ("km/h" if self.units == METRIC else "mph")
            if unit not in SPEEDS:
                self._unread(name, "unknown_unit", text, unit)
                return None
            metres = value * SPEEDS[unit]
            if not self._within(name, metres, 0.5, 70.0, speed_words):
                return None
            self.read_as(name, speed_words(metres))
            return metres

        return self.read(name, read)

    def choice(self, name: str) -> str:
        """One of the field's choices; its default where nothing was said."""
        ask = self.calculator.ask(name)
        known = dict(ask.choices)
        found = self.text(name) or ask.default_for(self.units)
        if found not in known:
            message = _("Choose one of these: %(known)s.") % {"known": ", ".join(known)}
            self.wrong(name, "not_a_choice", message, ask.choices[0][0])
            return ask.default_for(self.units)
        return found

    def tick(self, name: str) -> bool:
        return self.text(name).lower() in YES

    def _figure(self, name: str, parse: Callable[[], Reading]) -> Reading | None:
        try:
            return parse()
        except UnitError as error:
            rest = error.text[error.position : error.position + 12].strip()
            self._unread(name, error.code, error.text, rest)
            return None

    def _bare(self, name: str, text: str) -> tuple[float | None, str]:
        found = _NUMBER.fullmatch(text)
        if found is None:
            self._unread(name, "missing_number", text, "")
            return None, ""
        whole, comma, rest = found["digits"].partition(",")
        if comma and len(rest) == _GROUP and whole != "0":
            self._unread(name, "ambiguous_comma", text, "")
            return None, ""
        value = float(found["digits"].replace(",", "."))
        return -value if found["sign"] in ("-", "\u2212") else value, (found["unit"] or "").strip()

    def _unread(self, name: str, code: str, text: str, place: str) -> None:
        hint = self.calculator.ask(name).example_for(self.units)
        self.wrong(name, code, unread(text, place, why.FIGURE[code], hint), hint)

    def _within(
        self, name: str, value: float, least: float, most: float, words: Callable[[float], str]
    ) -> bool:
        if math.isfinite(value) and least <= value <= most:
            return True
        hint = self.calculator.ask(name).example_for(self.units)
        between = {"low": words(least), "high": words(most)}
        message = _("From %(low)s to %(high)s makes sense here.") % between
        self.wrong(name, "out_of_reach", message, hint)
        return False


def unread(text: str, place: str, reason: Any, hint: str) -> str:
    """A sentence on a text that can't be read: where, why, and what to type instead."""
    parts = {"text": text[:40], "place": place, "why": reason, "hint": hint}
    if place and place != text:
        return _("“%(text)s” can't be read at “%(place)s”: %(why)s. Type it like %(hint)s.") % parts
    return _("“%(text)s” can't be read: %(why)s. Type it like %(hint)s.") % parts


def speed_words(metres_a_second: float) -> str:
    """'45.0 mph = 72.4 km/h'."""
    return f"{metres_a_second / 0.44704:.1f} mph = {metres_a_second * 3.6:.1f} km/h"
