"""What was recorded for a ticket line, in words."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.utils.translation import gettext as _

from fleet.records.base import in_language

Fields = Iterable[dict[str, Any]]


def recorded(
    fields: Fields, data: Mapping[str, Any], people: Mapping[str, str]
) -> list[tuple[str, str]]:
    """Label and text of each field that was filled in, in the order of the rule's fields."""
    return [
        (in_language(each["label"]), as_read(each, data[each["name"]], people))
        for each in fields
        if each["name"] in data
    ]


def as_read(each: dict[str, Any], kept: dict[str, Any], people: Mapping[str, str]) -> str:
    """As it was typed, with its unit; a choice by its name, a box in words."""
    typed = str(kept.get("typed", ""))
    if each["type"] == "confirm":
        return _("yes") if kept.get("value") else _("no")
    if each["type"] == "choice":
        names = {choice["code"]: in_language(choice["names"]) for choice in each["choices"]}
        return names.get(typed, typed)
    if each["type"] == "person":
        return people.get(typed, typed)
    unit = {"deg": "°"}.get(kept.get("unit", ""), kept.get("unit", ""))
    return f"{typed} {unit}" if unit and typed[-1:].isdigit() else typed
