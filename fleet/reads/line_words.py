"""What was recorded for a ticket line, in words."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from django.utils.translation import gettext as _

from fleet.records.base import in_language
from fleet.records.inspections import FindingCode, mark_of

Fields = Iterable[dict[str, Any]]


class Answered(NamedTuple):
    """A field by its name and as typed; how a joint was found has its mark."""

    label: str
    text: str
    mark: str = ""


@dataclass(frozen=True)
class Recorded:
    """What a line holds: figures by name, and what was answered alike said once."""

    # In the order of the rule's fields.
    figures: list[Answered]
    # (answer, labels): "Looked at, sound" of hole, shank and sleeve; "Confirmed" of ticked boxes.
    alike: list[tuple[str, list[str]]]

    @property
    def pairs(self) -> list[Answered]:
        """All of it as names with texts, for paper."""
        alike = [Answered(answer, "; ".join(labels)) for answer, labels in self.alike]
        return [*self.figures, *alike]


def said_once(fields: Fields, data: Mapping[str, Any], people: Mapping[str, str]) -> Recorded:
    """What was recorded, with choices and boxes of one answer drawn together."""
    figures: list[Answered] = []
    answers: dict[str, list[str]] = {}
    for each in fields:
        if each["name"] not in data:
            continue
        label, kept = in_language(each["label"]), data[each["name"]]
        if each["type"] == "confirm" and kept.get("value"):
            answers.setdefault(_("Confirmed"), []).append(label)
        elif each["type"] == "choice" and not _is_finding(each):
            answers.setdefault(as_read(each, kept, people), []).append(label)
        else:
            figures.append(_answered(each, kept, people))
    figures += [
        Answered(labels[0], text) for text, labels in answers.items() if _alone(text, labels)
    ]
    alike = [(text, labels) for text, labels in answers.items() if not _alone(text, labels)]
    return Recorded(figures, alike)


def _is_finding(each: dict[str, Any]) -> bool:
    """Whether a field asks how a joint was found, in the words of a look."""
    codes = {choice["code"] for choice in each.get("choices", [])}
    return bool(codes) and codes <= set(FindingCode.values)


def _answered(each: dict[str, Any], kept: dict[str, Any], people: Mapping[str, str]) -> Answered:
    typed = str(kept.get("typed", ""))
    mark = mark_of(typed) if _is_finding(each) and typed in FindingCode.values else ""
    return Answered(in_language(each["label"]), as_read(each, kept, people), mark)


def _alone(answer: str, labels: list[str]) -> bool:
    """One choice by itself reads best under its own name; a ticked box always says what it is."""
    return len(labels) == 1 and answer != _("Confirmed")


def recorded(fields: Fields, data: Mapping[str, Any], people: Mapping[str, str]) -> list[Answered]:
    """Each field that was filled in, in the order of the rule's fields."""
    return [_answered(each, data[each["name"]], people) for each in fields if each["name"] in data]


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
    apart = "" if unit == "°" else " "
    return f"{typed}{apart}{unit}" if unit and typed[-1:].isdigit() else typed
