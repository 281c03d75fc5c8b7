"""The Reckoner's sections as the page shows them: fields with what was typed, and the answer."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from itertools import groupby
from typing import Any
from urllib.parse import urlencode

from django.utils.functional import cached_property

from fleet.pictures.plots import Plot
from fleet.reads.reckoning import CALCULATORS
from fleet.reads.reckoning.answers import MISSING, Answer, Unclear
from fleet.reads.reckoning.asked import Ask, Calculator
from fleet.web.pictures import picture_of

#: More choices than this stand in a list to open, fewer as buttons in a row.
MOST_BUTTONS = 3
_KEYBOARDS = {"number": "decimal"}


@dataclass(frozen=True)
class Field:
    """One field of a section."""

    ask: Ask
    id: str
    value: str
    example: str
    read_as: str = ""
    errors: tuple[str, ...] = ()

    @property
    def keyboard(self) -> str:
        return _KEYBOARDS.get(self.ask.kind, "text")

    @property
    def as_buttons(self) -> bool:
        return self.ask.kind == "choice" and len(self.ask.choices) <= MOST_BUTTONS

    @property
    def shown_example(self) -> str:
        """What to type, where one line shows it."""
        shows = self.ask.kind not in ("choice", "lines", "record") and not self.ask.default
        return self.example if shows else ""

    @property
    def is_read(self) -> bool:
        """Whether it is typed into, and so has a place for what it was understood as."""
        return self.ask.kind not in ("tick", "choice")


@dataclass(frozen=True)
class Group:
    """Fields that stand together under one name; a folded one is opened to be typed into."""

    name: str
    fields: tuple[Field, ...]
    folded: bool
    paired: bool


@dataclass(frozen=True)
class Section:
    """One calculator on the page.

    `answer` is what it says, `missing` the fields still to type where nothing else is wrong, and
    `address` where the same answer can be read again.
    """

    calculator: Calculator
    units: str
    typed: Mapping[str, str] = field(default_factory=dict)
    answer: Answer | None = None
    unclear: Unclear | None = None
    strict: bool = True
    today: date | None = None

    @property
    def name(self) -> str:
        return self.calculator.name

    @property
    def uploads(self) -> bool:
        return any(ask.kind == "record" for ask in self.calculator.asks)

    @cached_property
    def fields(self) -> tuple[Field, ...]:
        understood = self.answer or self.unclear
        read = {one.field: one.read_as for one in understood.understood} if understood else {}
        return tuple(self._field(ask, read) for ask in self.calculator.asks)

    def _field(self, ask: Ask, read: Mapping[str, str]) -> Field:
        problems = self.unclear.problems if self.unclear else ()
        wrong = tuple(
            problem.message
            for problem in problems
            if problem.field == ask.name and (self.strict or problem.code != MISSING)
        )
        value = self.typed.get(ask.name, "") if self.typed else ask.default_for(self.units)
        if ask.kind == "choice" and value not in dict(ask.choices):
            value = ask.default_for(self.units)
        label = f"{self.name}-{ask.name}"
        return Field(ask, label, value, ask.example_for(self.units), read.get(ask.name, ""), wrong)

    @property
    def groups(self) -> list[Group]:
        return [
            _group(str(name), tuple(fields))
            for name, fields in groupby(self.fields, key=lambda one: one.ask.group)
        ]

    @property
    def missing(self) -> list[str]:
        """Labels of what is still to type, where that is all that stands in the way."""
        problems = self.unclear.problems if self.unclear else ()
        if any(problem.code != MISSING for problem in problems):
            return []
        return [str(self.calculator.ask(problem.field).label) for problem in problems]

    @property
    def errors(self) -> int:
        return sum(len(one.errors) for one in self.fields)

    @property
    def query(self) -> str:
        """What makes the answer again: the fields that were typed, and the unit meant by none."""
        asked = {"calculator": self.name, "units": self.units}
        names = [ask.name for ask in self.calculator.asks if ask.kind != "record"]
        typed = {name: self.typed[name].strip() for name in names if self.typed.get(name)}
        if self.today is not None and "as_of" in names:
            # What is seen from today stays seen from this day.
            asked["as_of"] = self.today.isoformat()
        return urlencode(asked | {name: value for name, value in typed.items() if value})

    @property
    def pictures(self) -> list[Plot]:
        return [picture_of(plot, self.name) for plot in self.answer.plots] if self.answer else []


def _group(name: str, fields: tuple[Field, ...]) -> Group:
    typed = any(one.value and one.value != one.ask.default for one in fields)
    folded = bool(name) and all(one.ask.folded for one in fields) and not typed
    numbered = all(one.ask.name[-1].isdigit() for one in fields)
    return Group(name, fields, folded and not any(one.errors for one in fields), numbered)


def sections(units: str, answered: Section | None) -> Iterable[Section]:
    """Every calculator, empty but for the one that was asked."""
    for name, calculator in CALCULATORS.items():
        if answered is not None and answered.name == name:
            yield answered
        else:
            yield Section(calculator, units)


def typed_of(calculator: Calculator, sent: Any) -> dict[str, str]:
    """What stands in the calculator's fields; a box not ticked sends nothing."""
    return {ask.name: sent.get(ask.name, "") for ask in calculator.asks}
