"""The Spanish catalogue is whole, its two files agree, and no translation breaks its message."""

import ast
import gettext
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

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


def calls(path: Path) -> Iterator[tuple[ast.Call, bool]]:
    """Every call that looks a message up, and whether it stands inside an f-string."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    inside = {
        call
        for text in ast.walk(tree)
        if isinstance(text, ast.JoinedStr)
        for call in ast.walk(text)
        if isinstance(call, ast.Call)
    }
    for call in ast.walk(tree):
        if isinstance(call, ast.Call) and isinstance(call.func, ast.Name | ast.Attribute):
            name = call.func.id if isinstance(call.func, ast.Name) else call.func.attr
            if name in words.KEYWORDS:
                yield call, call in inside


@pytest.mark.parametrize("folder", ["fleet", "api"])
def test_every_message_stands_where_it_is_found(folder: str) -> None:
    """Written out in full (no sum, no variable), and not inside an f-string: Python 3.11 reads
    those as one text, and a message in one would be left out."""
    unseen = [
        f"{path.relative_to(words.ROOT)}:{call.lineno}"
        for path in sorted((words.ROOT / folder).rglob("*.py"))
        for call, in_f_string in calls(path)
        if in_f_string or not isinstance(call.args[0], ast.Constant)
    ]
    assert unseen == []


def test_no_message_is_glued_to_another() -> None:
    """A space at an end says that it is a piece of a sentence: other languages cut elsewhere."""
    assert [english for english, _ in pairs() if english != english.strip()] == []
