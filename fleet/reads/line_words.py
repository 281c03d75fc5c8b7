"""What was recorded for a ticket line, in words."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from fleet.records.base import in_language

Fields = Iterable[dict[str, Any]]


@dataclass(frozen=True)
class Recorded:
    """What a line holds: figures by name, and what was answered alike said once."""

    # (label, as typed) in the order of the rule's fields.
    figures: list[tuple[str, str]]
    # (answer, labels): "Looked at, sound" of hole, shank and sleeve; "Confirmed" of ticked boxes.
    alike: list[tuple[str, list[str]]]

    @property
    def pairs(self) -> list[tuple[str, str]]:
        """All of it as names with texts, for paper."""
        return [*self.figures, *((answer, "; ".join(labels)) for answer, labels in self.alike)]


def said_once(fields: Fields, data: Mapping[str, Any], people: Mapping[str, str]) -> Recorded:
    """What was recorded, with choices and boxes of one answer drawn together."""
    figures: list[tuple[str, str]] = []
    answers: dict[str, list[str]] = {}
    for each in fields:
        if each["name"] not in data:
            continue
        label, kept = in_language(each["label"]), data[each["name"]]
        if each["type"] == "confirm" and kept.get("value"):
            answers.setdefault(_("Confirmed"), []).append(label)
        elif each["type"] == "choice":
            answers.setdefault(as_read(each, kept, people), []).append(label)
        else:
            figures.append((label, as_read(each, kept, people)))
    figures += [(labels[0], text) for text, labels in answers.items() if _alone(text, labels)]
    alike = [(text, labels) for text, labels in answers.items() if not _alone(text, labels)]
    return Recorded(figures, alike)


def _alone(answer: str, labels: list[str]) -> bool:
    """One choice by itself reads best under its own name; a ticked box always says what it is."""
    return len(labels) == 1 and answer != _("Confirmed")


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
