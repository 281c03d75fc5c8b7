"""Every word on every page is a message, or stands on record."""

import re
from collections.abc import Iterator
from typing import Any

import pytest
from django.apps import apps
from django.db.models import CharField, JSONField, TextField
from django.test import Client

from fleet.records.models import Person
from tests import people
from tests.addresses import addresses
from tests.support import pseudo
from tests.web.rows import Fleet

SIZE = 3
# Units, and names of things that are the same in every language.
SAME_EVERYWHERE = set(
    """
Axlekeep VIN CSV UTF ETag US
English Español
in ft mm cm m mi km h s Hz mph km/h lbf lb kg psi bar kPa kN kgf N g
""".split()
)
WORD = re.compile(r"[^\W\d_]+")
# Columns whose words are read by code and stand on no page as they are.
NO_TEXT = {"code", "key", "action", "slug"}


@pytest.fixture
def fleet(manager: Person) -> Fleet:
    return Fleet(manager, SIZE)


def is_code(text: str) -> bool:
    return re.fullmatch(r"[a-z][a-z_]*", text) is not None


def texts_of(value: Any) -> Iterator[str]:
    """The texts within a stored document; of names in two languages, the reader's. No codes."""
    if isinstance(value, str) and not is_code(value):
        yield value
    elif isinstance(value, dict) and set(value) == {"en", "es"}:
        yield value[pseudo.LANGUAGE]
    elif isinstance(value, dict):
        for each in value.values():
            yield from texts_of(each)
    elif isinstance(value, list):
        for each in value:
            yield from texts_of(each)


def on_record() -> list[str]:
    """Every text that the records hold, the longest first."""
    found: set[str] = set()
    for model in apps.get_app_config("records").get_models():
        for field in model._meta.fields:
            is_text = isinstance(field, CharField | TextField) and not field.choices
            rows = model._default_manager.values_list(field.name, flat=True)
            if isinstance(field, JSONField):
                found |= {text for row in rows for text in texts_of(row)}
            elif is_text:
                found |= {row for row in rows if field.name not in NO_TEXT or not is_code(row)}
    return sorted(found - {""}, key=len, reverse=True)


def without(text: str, known: list[str]) -> str:
    """What is left of a text when every text on record is taken out of it."""
    for each in known:
        if each.lower() in text.lower():
            text = re.sub(rf"(?<!\w){re.escape(each)}(?!\w)", " ", text, flags=re.IGNORECASE)
    return text


def strange(page: str, known: list[str]) -> list[str]:
    """The texts of a page that hold a word which is neither marked nor on record."""
    found = []
    for text in filter(WORD.search, set(pseudo.Reader(page).outside_marks())):
        if any(word not in SAME_EVERYWHERE for word in WORD.findall(without(text, known))):
            found.append(text.strip())
    return found


def pages(fleet: Fleet) -> dict[str, str]:
    return {
        name: path
        for name, path in addresses(fleet.vehicle).items()
        if not path.startswith("/api/") and not path.endswith(".csv")
    }


def test_every_page_shows_only_messages_and_records(
    client: Client, manager: Person, fleet: Fleet
) -> None:
    people.speaks(manager, pseudo.LANGUAGE)
    client.force_login(manager)
    known = on_record()
    wrong = {}
    with pseudo.everything_marked():
        for name, path in pages(fleet).items():
            page = client.get(path)
            found = strange(page.text, known)
            if found:
                wrong[name] = found
    assert wrong == {}, "\n".join(f"@@{n}: {t}" for n, ts in wrong.items() for t in ts)
