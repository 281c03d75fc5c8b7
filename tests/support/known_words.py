"""What a page may show without a message: what stands on record, units, and our name."""

import re
from collections.abc import Iterator
from typing import Any

from django.apps import apps
from django.db.models import CharField, JSONField, TextField

from tests.support import pseudo

# Units, and names of things that are the same in every language.
SAME_EVERYWHERE = {
    "Axlekeep", "VIN", "CSV", "English", "Español", "K", "M", "x",
    "in", "ft", "mm", "cm", "m", "mi", "km", "h", "s", "Hz", "mph", "lbf", "lb", "kg", "psi", "bar",
    "kPa", "kN", "N", "pdf", "csv", "xlsx",
}  # fmt: skip
# A paragraph of the law is cited as it is printed.
LAW = re.compile(r"\d+ CFR [\d.]+(\([a-z\d]+\)|, )*( Table \w+)?")
# What another program knows an event by.
MESSAGE_ID = re.compile(r"msg_[0-9a-f]{32}")
WORD = re.compile(r"[^\W\d_²]+")
# Columns whose words are read by code and stand on no page as they are.
NO_TEXT = {"code", "key", "action", "slug"}


def on_record() -> list[str]:
    """Every text that the records hold, the longest first."""
    found: set[str] = set()
    for model in apps.get_app_config("records").get_models():
        for field in model._meta.fields:
            is_text = isinstance(field, CharField | TextField) and not field.choices
            rows = model._default_manager.values_list(field.name, flat=True)
            if isinstance(field, JSONField):
                found |= {text for row in rows for text in _texts_of(row)}
            elif is_text:
                found |= {row for row in rows if field.name not in NO_TEXT or not _is_code(row)}
    return sorted(found - {""}, key=len, reverse=True)


def strange(texts: Iterator[str] | list[str], known: list[str]) -> list[str]:
    """Those of some texts, free of marks, that hold a word which is not known."""
    found = []
    for text in filter(WORD.search, set(texts)):
        rest = _without(MESSAGE_ID.sub(" ", LAW.sub(" ", text)), known)
        if any(word not in SAME_EVERYWHERE for word in WORD.findall(rest)):
            found.append(text.strip())
    return found


def _is_code(text: str) -> bool:
    return re.fullmatch(r"[a-z][a-z_]*", text) is not None


def _texts_of(value: Any) -> Iterator[str]:
    """The texts within a stored document; of names in two languages, the reader's. No codes."""
    if isinstance(value, str) and not _is_code(value):
        yield value
    elif isinstance(value, dict) and set(value) == {"en", "es"}:
        yield value[pseudo.LANGUAGE]
    elif isinstance(value, dict):
        for each in value.values():
            yield from _texts_of(each)
    elif isinstance(value, list):
        for each in value:
            yield from _texts_of(each)


def _without(text: str, known: list[str]) -> str:
    for each in known:
        if each.lower() in text.lower():
            text = re.sub(rf"(?<!\w){re.escape(each)}(?!\w)", " ", text, flags=re.IGNORECASE)
    return text
