"""The Reckoner's arithmetic: typed texts in, judged figures out. Nothing is kept.

Each calculator is an address of its own, made from the same list that the page is drawn from.
"""

from collections.abc import Mapping
from typing import Any, ClassVar

from django.urls import reverse
from django.utils.translation import gettext_lazy as _
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.answers import ReckonedOut
from api.base import Door
from api.fields import Flag, Strict, Typed
from api.reckon_examples import examples_of
from fleet.reads.reckoning import CALCULATORS, reckon
from fleet.reads.reckoning.asked import METRIC, US, Ask, Calculator
from fleet.records.models import Person


class CalculatorOut(serializers.Serializer[Any]):
    """A calculator with its fields."""

    name = serializers.CharField()
    address = serializers.CharField()
    title = serializers.CharField()
    purpose = serializers.CharField()
    caution = serializers.CharField()
    origin = serializers.CharField()
    asks = serializers.ListField(
        child=serializers.DictField(),
        help_text="Each field: name, label, kind, hint, example, unit, needed, default, choices.",
    )


class CalculatorsOut(serializers.Serializer[Any]):
    calculators = CalculatorOut(many=True)


def _help(ask: Ask) -> str:
    """What a field is for, as the document page shows it."""
    told = [f"{ask.label}.", f"Like {ask.example!r}." if ask.example else "", f"{ask.hint}"]
    if ask.choices:
        told.append(f"One of: {', '.join(value for value, _words in ask.choices if value)}.")
    return " ".join([*filter(None, told), "Needed." if ask.needed else ""]).strip()


def _field(ask: Ask) -> serializers.Field[Any, Any, Any, Any]:
    """Nothing is required here: what is missing is told with an example, like any other slip."""
    given: dict[str, Any] = {"required": False, "help_text": _help(ask)}
    if ask.kind == "tick":
        return Flag(**given)
    return Typed(allow_blank=True, trim_whitespace=False, max_length=ask.most or None, **given)


def _takes(calculator: Calculator) -> type[Strict]:
    name = "".join(part.title() for part in calculator.name.split("-")) + "In"
    units = serializers.ChoiceField(
        choices=[(US, _("US")), (METRIC, _("metric"))], required=False,
        help_text="What a figure without a unit is taken in. Left out: us.",
    )  # fmt: skip
    fields = {ask.name: _field(ask) for ask in calculator.asks}
    return type(name, (Strict,), {"__doc__": str(calculator.purpose), "units": units, **fields})


class Reckoner(Door):
    """The calculators there are."""

    model = Person
    ability = {"show": "reckon"}
    gives = {"show": CalculatorsOut}

    def show(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Every calculator with its fields: typed texts, read as a tape or a wrench shows them."""
        found = [_told(calculator) for calculator in CALCULATORS.values()]
        return Response({"calculators": found})


def _told(calculator: Calculator) -> dict[str, Any]:
    asks = [
        {
            "name": ask.name, "label": str(ask.label), "kind": ask.kind, "hint": str(ask.hint),
            "example": ask.example, "unit": ask.unit, "needed": ask.needed,
            "default": ask.default, "group": str(ask.group),
            "choices": [{"value": value, "label": str(words)} for value, words in ask.choices],
        }
        for ask in calculator.asks
    ]  # fmt: skip
    return {
        "name": calculator.name,
        "address": reverse(f"api-reckon-{calculator.name}"),
        "title": str(calculator.title),
        "purpose": str(calculator.purpose),
        "caution": str(calculator.caution),
        "origin": str(calculator.origin),
        "asks": asks,
    }


class Reckons(Door):
    """One calculator; the classes in DOORS name theirs."""

    model = Person
    calculator: ClassVar[str]
    ability = {"answer": "reckon"}
    gives = {"answer": ReckonedOut}
    codes: ClassVar[Mapping[str, int]] = {"answer": 200}
    records = False
    throttle_scope = "reckon"

    def answer(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Answer what was typed: figures with unit, limit and origin. Nothing is kept.

        A field that can't be read is told with the place that failed and an example (422).
        """
        said = self.said()
        units = said.pop("units", US)
        typed = {name: _as_typed(value) for name, value in said.items()}
        answer = reckon(self.calculator, typed, units=units, today=self.now.date())
        return Response(ReckonedOut(answer).data)


def _as_typed(value: str | bool) -> str:
    if isinstance(value, bool):
        return "yes" if value else ""
    return value


def _door(calculator: Calculator) -> type[Reckons]:
    takes = _takes(calculator)
    uploads = any(ask.kind == "record" for ask in calculator.asks)
    return type(
        takes.__name__.removesuffix("In"),
        (Reckons,),
        {
            "__doc__": f"{calculator.purpose}",
            "calculator": calculator.name,
            "takes": {"answer": takes},
            "examples": {"answer": examples_of(calculator.name)},
            # A record takes a second of the server's time; a figure takes none to speak of.
            "throttle_scope": "record" if uploads else "reckon",
        },
    )


DOORS: dict[str, type[Reckons]] = {
    name: _door(calculator) for name, calculator in CALCULATORS.items()
}
