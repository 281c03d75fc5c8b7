"""A language in which every message stands between marks, to find text that is none.

What a page shows is either a message or data. With every message marked, a word outside the marks
that is on no record is a text that went round gettext: written out in the code, looked up when the
module was loaded, or put together from pieces.
"""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from html.parser import HTMLParser
from typing import Any

import pytest
from django.utils.translation import trans_real

from fleet.web.templatetags import figures

OPEN, CLOSE = "⟦", "⟧"
LANGUAGE = "es"
# Patterns for dates are read by code and not by people.
NOT_SHOWN = {"date"}
READ_OUT = {"alt", "aria-label", "aria-description", "data-label", "placeholder", "title", "label"}
# What is typed into a machine is the same in every language.
SILENT = {"script", "style", "code", "kbd", "samp"}
VOID = {"br", "hr", "img", "input", "link", "meta", "wbr", "source", "col", "area", "base"}
_BETWEEN = "\0"
_INNERMOST = re.compile(f"{OPEN}[^{OPEN}{CLOSE}]*{CLOSE}")


class Marked(trans_real.DjangoTranslation):
    """Stands in for the catalogue of LANGUAGE; every text comes back as it went in, marked."""

    def gettext(self, message: str) -> str:
        """The message between marks; a context before it is dropped."""
        context, _, text = message.rpartition(trans_real.CONTEXT_SEPARATOR)
        return text if context in NOT_SHOWN else f"{OPEN}{text}{CLOSE}"

    def ngettext(self, singular: str, plural: str, number: float) -> str:
        """The form for the number, between marks."""
        return self.gettext(singular if number == 1 else plural)


@contextmanager
def everything_marked() -> Iterator[None]:
    """Whoever reads in LANGUAGE reads marks."""
    figures._written.cache_clear()
    with pytest.MonkeyPatch.context() as patch:
        translations: dict[str, Any] = vars(trans_real)["_translations"]
        patch.setitem(translations, LANGUAGE, Marked(LANGUAGE))
        yield
    figures._written.cache_clear()


class Reader(HTMLParser):
    """Collects what a page shows or has read out; what is marked translate="no" is left out."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.read_out: list[str] = []
        self.shown: list[str] = []
        self._open: list[tuple[str, bool]] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Attributes that are read out, and the labels of buttons."""
        had = dict(attrs)
        if tag not in VOID:
            self._open.append((tag, tag in SILENT or had.get("translate") == "no"))
        is_label = tag == "input" and had.get("type") in {"submit", "reset"}
        labels = READ_OUT | ({"value"} if is_label else set())
        if not self._is_silent():
            self.read_out += [text for name, text in attrs if name in labels and text]

    def handle_endtag(self, tag: str) -> None:
        """Back to what this element stands in; an end left out ends with its parent."""
        if tag in [name for name, _ in self._open]:
            while self._open.pop()[0] != tag:
                pass

    def handle_data(self, data: str) -> None:
        """A text of the page."""
        if not self._is_silent() and data.strip():
            self.shown.append(" ".join(data.split()))

    def _is_silent(self) -> bool:
        return any(silent for _, silent in self._open)

    def outside_marks(self) -> list[str]:
        """What stands outside every mark; a mark may hold elements."""
        return [
            *outside(_BETWEEN.join(self.shown)).split(_BETWEEN),
            *(outside(text) for text in self.read_out),
        ]


def outside(text: str) -> str:
    """What of a text stands outside every mark."""
    while _INNERMOST.search(text):
        text = _INNERMOST.sub(" ", text)
    return text
