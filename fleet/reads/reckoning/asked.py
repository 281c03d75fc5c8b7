"""What a calculator asks for, as data: the page draws its fields from it, the API lists it."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from django.utils.translation import gettext_lazy as _

from fleet.reads.reckoning.answers import Answer

if TYPE_CHECKING:
    from fleet.reads.reckoning.given import Given

US, METRIC = "us", "metric"
#: The longest text of one figure, and of a text of many lines.
MOST_TYPED, MOST_LINES = 80, 3_000

NOT_JUDGED = _("not judged")
GOVERNS = _("The maker's service information for the vehicle at hand governs.")


@dataclass(frozen=True, slots=True)
class Ask:
    """One field.

    `kind` is length, torque, speed, number, text, lines, choice, tick or record. `example` is
    typed like this (`example_metric` where the reader thinks in millimeters), `default` stands in
    the field at first, `group` names what it belongs to
    beside others; a group whose every field is `folded` waits out of the way.
    """

    name: str
    label: Any
    kind: str = "text"
    example: str = ""
    example_metric: str = ""
    hint: Any = ""
    unit: str = ""
    needed: bool = False
    default: str = ""
    default_metric: str = ""
    choices: tuple[tuple[str, Any], ...] = ()
    group: Any = ""
    folded: bool = False

    def example_for(self, units: str) -> str:
        return (self.example_metric if units == METRIC else "") or self.example

    def default_for(self, units: str) -> str:
        return (self.default_metric if units == METRIC else "") or self.default

    @property
    def most(self) -> int:
        """The most characters that are read; 0 for a record, whose size the door bounds."""
        return {"lines": MOST_LINES, "record": 0}.get(self.kind, MOST_TYPED)


@dataclass(frozen=True, slots=True)
class Calculator:
    """One piece of bench arithmetic: what it is for, what it asks, and how it answers.

    `work` gets what was given and the date of today at the reader's yard.
    """

    name: str
    title: Any
    purpose: Any
    asks: tuple[Ask, ...]
    work: "Callable[[Given, date], Answer]"
    caution: Any
    origin: Any

    def ask(self, name: str) -> Ask:
        return next(ask for ask in self.asks if ask.name == name)
