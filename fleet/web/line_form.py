"""The form of a ticket line, made from the action rule's fields: none is written by hand."""

import json
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from django import forms
from django.utils.translation import gettext as _

from fleet.calc.field_types import DEFAULT_UNITS
from fleet.operations.errors import Problem, Refused
from fleet.operations.foretell_line import HEARD, PULLED, LineTold
from fleet.operations.words import read_one
from fleet.reads.clamp_checks import ClampCheck
from fleet.reads.tools import ToolRow
from fleet.records.base import in_language
from fleet.records.models import Person, TorqueSpec
from fleet.web.forms import ActForm, FigureInput, MomentField
from fleet.web.templatetags.figures import day

FEW_CHOICES = 4
LONGEST_TEXT, LONGEST_FIGURE = 2000, 40
PLAIN = {"autocomplete": "off"}


@dataclass(frozen=True)
class Shelf:
    """What the fields choose from: the tools and the people of the yard."""

    tools: list[ToolRow]
    people: list[Person]


@dataclass(frozen=True)
class Asked:
    """A field as the page shows it: its unit, and what it depends on."""

    bound: Any
    unit: str
    short: bool
    when: str
    is_: str
    # The figure on file that a torque is held against, and what a pull does to its bolt.
    against: TorqueSpec | None
    pulled: bool
    check: ClampCheck | None


class LineForm(ActForm):
    """Nothing is required here: what is missing leaves the line open and is named on the ticket."""

    occurred_at = MomentField()
    entry_done_by = forms.CharField(required=False, max_length=120)

    def __init__(
        self,
        data: Any,
        fields: list[dict[str, Any]],
        shelf: Shelf,
        recorded: dict[str, Any],
        against: dict[str, TorqueSpec | None] | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(data, **kwargs)
        self.asked_fields = fields
        self.against = against or {}
        self.told = LineTold()
        self.fields["entry_done_by"].label = _("Done by, if not by you")
        for each in fields:
            self.fields[each["name"]] = _field(each, shelf)
            if each["name"] in recorded:
                self.initial[each["name"]] = _as_typed(each, recorded[each["name"]])
        # As they stand on the page, so that what is wrong is told in that order.
        self.order_fields([each["name"] for each in fields])

    @property
    def typed(self) -> dict[str, Any]:
        """By field name, as the operation reads it: text, and 'yes' for a box that was ticked."""
        said = {each["name"]: self.cleaned_data[each["name"]] for each in self.asked_fields}
        return {name: "yes" if value is True else value for name, value in said.items() if value}

    @property
    def asked(self) -> list[Asked]:
        return [
            _asked(
                self[each["name"]],
                each,
                self.against.get(each["name"]),
                self.told.pulls.get(each["name"]),
            )
            for each in self.asked_fields
        ]

    @property
    def pulls(self) -> bool:
        """Whether the line asks for a torque at the joint's own fastener at all."""
        return any(each["name"] in PULLED for each in self.asked_fields)

    @property
    def heard(self) -> dict[str, Any]:
        """What stands in the fields that are reckoned with, sent or recorded before."""
        names = [each["name"] for each in self.asked_fields if each["name"] in HEARD]
        return {name: self[name].value() for name in names}

    def readers(self) -> dict[str, Callable[[str], Any]]:
        return {each["name"]: partial(read_one, each) for each in self.asked_fields}

    def take(self, refusal: Refused) -> None:
        """The whole form is of one line: its name is not said again beside each field."""
        super().take(type(refusal)(tuple(_without_line(p) for p in refusal.problems)))


def _without_line(problem: Problem) -> Problem:
    return replace(problem, line="")


def _as_typed(each: dict[str, Any], kept: dict[str, Any]) -> Any:
    return bool(kept.get("value")) if each["type"] == "confirm" else kept.get("typed", "")


def _asked(
    bound: Any, each: dict[str, Any], against: TorqueSpec | None, check: ClampCheck | None
) -> Asked:
    when = each.get("when") or {}
    wanted = when.get("in", [when.get("is")]) if when else []
    return Asked(
        bound=bound,
        unit=_unit(each),
        short=each["type"] in ("count", "number", "degrees", "length", "torque", "pressure"),
        when=when.get("field", ""),
        is_=json.dumps(wanted) if when else "",
        against=against,
        pulled=each["name"] in PULLED,
        check=check,
    )


def _unit(each: dict[str, Any]) -> str:
    return "°" if each["type"] == "degrees" else str(each.get("default_unit", ""))


def _field(each: dict[str, Any], shelf: Shelf) -> forms.Field:
    """One field by its type; figures stay text, so that they are read and judged in one place."""
    common: dict[str, Any] = {
        "label": in_language(each["label"]),
        "help_text": in_language(each.get("help", {})),
        "required": False,
    }
    kind = each["type"]
    if kind == "confirm":
        return forms.BooleanField(**common)
    if kind == "choice":
        return _choice(each, common)
    if kind == "tool":
        return forms.ChoiceField(choices=_tool_choices(shelf.tools), **common)
    if kind == "person":
        people = [(str(person.pk), person.name) for person in shelf.people]
        return forms.ChoiceField(choices=[("", _("not named")), *people], **common)
    longest = LONGEST_TEXT if kind == "text" else LONGEST_FIGURE
    return forms.CharField(max_length=longest, widget=_text_widget(each), **common)


def _text_widget(each: dict[str, Any]) -> forms.Widget:
    kind = each["type"]
    if kind == "date":
        return forms.DateInput({"type": "date"})
    if kind in DEFAULT_UNITS:
        unit = each.get("default_unit") or DEFAULT_UNITS[kind]
        return FigureInput(kind, unit, signed=each.get("min", 0) < 0)
    digits = {"inputmode": "decimal"} if kind in ("count", "degrees", "number") else {}
    return forms.TextInput(attrs={**digits, **PLAIN})


def _choice(each: dict[str, Any], common: dict[str, Any]) -> forms.Field:
    choices = [(choice["code"], in_language(choice["names"])) for choice in each["choices"]]
    if len(choices) > FEW_CHOICES:
        return forms.ChoiceField(choices=[("", _("not said")), *choices], **common)
    if not each.get("required"):
        choices = [*choices, ("", _("Not said"))]
    widget = forms.RadioSelect(attrs={"class": "in-row"})
    return forms.ChoiceField(choices=choices, widget=widget, **common)


def _tool_choices(rows: list[ToolRow]) -> list[tuple[str, str]]:
    return [("", _("not said")), *((row.tool.code, tool_words(row)) for row in rows)]


def tool_words(row: ToolRow) -> str:
    """A tool by its code, and whether its readings are believed today."""
    # Its standing first: a narrow field shows only how a choice begins.
    tool = row.tool
    if row.standing == "doubted":
        state = _("doubted since %(when)s") % {"when": day(tool.doubted_since)}
    elif tool.good_until is None:
        state = _("no calibration on file")
    elif row.standing == "out":
        state = _("calibration ran out %(when)s") % {"when": day(tool.good_until)}
    else:
        state = _("good through %(when)s") % {"when": day(tool.good_until)}
    return f"{tool.code}, {state}: {tool.name}"
