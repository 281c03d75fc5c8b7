"""The Spanish catalogue is whole, its two files agree, and no translation breaks its message."""

import gettext
import re
from functools import cache

import pytest
from babel.messages.catalog import Catalog, Message

from tests.support import words

PLACEHOLDER = re.compile(r"%\(\w+\)[a-z]|%%|%(?=[sdrg])[sdrg]|\{\w*\}")
TAG = re.compile(r"</?[a-z][^>]*>")
# What a text ends in; a question or an outcry begins with its own sign in Spanish.
ENDS = (".", ":", ";", ",", "?", "!", "…", "%", "°")
OPENED_BY = {"?": "¿", "!": "¡"}


@cache
def fresh() -> Catalog:
    return words.extracted()


@cache
def kept() -> Catalog:
    return words.kept()


def messages(catalog: Catalog) -> dict[tuple[str | None, str], Message]:
    return {words.key(message): message for message in catalog if message.id}


def pairs() -> list[tuple[str, str]]:
    """Each English form with the Spanish one that stands in for it."""
    found: list[tuple[str, str]] = []
    for message in messages(kept()).values():
        found += zip(words.forms(message.id), words.forms(message.string), strict=True)
    return found


def broken(rule: "Rule") -> list[tuple[str, str]]:
    return [(english, spanish) for english, spanish in pairs() if rule(english) != rule(spanish)]


class Rule:
    """Something that must be alike in a message and in its translation."""

    def __init__(self, name: str) -> None:
        self.name = name

    def __call__(self, text: str) -> object:
        return getattr(self, self.name)(text)

    @staticmethod
    def placeholders(text: str) -> list[str]:
        return sorted(set(PLACEHOLDER.findall(text)))

    @staticmethod
    def tags(text: str) -> list[str]:
        return TAG.findall(text)

    @staticmethod
    def spaces(text: str) -> tuple[str, str]:
        return text[: len(text) - len(text.lstrip())], text[len(text.rstrip()) :]

    @staticmethod
    def ending(text: str) -> str:
        return text.rstrip()[-1] if text.rstrip().endswith(ENDS) else ""


def shape(catalog: Catalog) -> dict[tuple[str | None, str], list[str]]:
    return {key: words.forms(message.id) for key, message in messages(catalog).items()}


def test_nothing_is_missing_and_nothing_is_left_over() -> None:
    assert shape(kept()) == shape(fresh()), "make words"


def test_every_message_is_translated_by_a_person() -> None:
    assert [m.id for m in messages(kept()).values() if not words.is_filled(m)] == []
    assert dict(kept().obsolete) == {}


def test_the_compiled_file_says_what_the_text_says() -> None:
    with words.MO.open("rb") as file:
        compiled = gettext.GNUTranslations(file)
    for message in messages(kept()).values():
        one, *many = words.forms(message.id)
        if many:
            got = [compiled.ngettext(one, many[0], n) for n in (1, 5)]
        elif message.context:
            got = [compiled.pgettext(message.context, one)]
        else:
            got = [compiled.gettext(one)]
        assert got == words.forms(message.string)
    # Each form of a plural has its own entry, and the head has one.
    entries = sum(len(words.forms(message.string)) for message in messages(kept()).values())
    assert len(compiled._catalog) == entries + 1  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    "rule",
    [Rule("placeholders"), Rule("tags"), Rule("spaces"), Rule("ending")],
    ids=lambda rule: rule.name,
)
def test_a_translation_keeps_what_its_message_has(rule: Rule) -> None:
    assert broken(rule) == []


@pytest.mark.parametrize(("sign", "opening"), OPENED_BY.items())
def test_a_question_is_opened_as_spanish_opens_it(sign: str, opening: str) -> None:
    closed = re.compile(rf"\S{re.escape(sign)}")
    unlike = [text for _, text in pairs() if len(closed.findall(text)) != text.count(opening)]
    assert unlike == []
