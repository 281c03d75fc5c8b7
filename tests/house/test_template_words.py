"""Every word that a template holds is a message: nothing is written into the page as it stands."""

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from django.template.base import Lexer, TokenType

TEMPLATES = Path(__file__).parents[2] / "templates"
PAGES = sorted(path for path in TEMPLATES.rglob("*.html"))
READ_OUT = {"alt", "aria-label", "aria-description", "placeholder", "title", "label", "summary"}
# The same in every language: our name, and the letter of the nut factor in its formula.
SAME_EVERYWHERE = {"Axlekeep", "OpenAPI", "K"}
WORD = re.compile(r"[^\W\d_]{1,}")
# A filter whose argument would be shown as it is written.
SHOWN = re.compile(
    r"\|(?:default|default_if_none|yesno|pluralize|add|join|cut)(?::(\"[^\"]*\"|'[^']*'))?"
)


class Literal(HTMLParser):
    """Collects the words that stand in text and in attributes that are read out.

    What is marked translate="no" is left out: it is the same in every language.
    """

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self.kept_as_is: list[str] = []

    def handle_data(self, data: str) -> None:
        if not self.kept_as_is:
            self.found += WORD.findall(data)

    def handle_endtag(self, tag: str) -> None:
        if self.kept_as_is and self.kept_as_is[-1] == tag:
            self.kept_as_is.pop()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        had = dict(attrs)
        if had.get("translate") == "no" or tag in self.kept_as_is:
            self.kept_as_is.append(tag)
        # The value of a button without a name is its label; any other is sent and not shown.
        is_label = had.get("type") in {"submit", "reset"} and "name" not in had
        kept = READ_OUT | ({"value"} if is_label else set())
        for name, text in attrs:
            if name in kept and text:
                self.found += WORD.findall(text)


def bare(source: str) -> str:
    """The template without its tags, variables, comments and translated blocks."""
    kept, inside = [], False
    for token in Lexer(source).tokenize():
        name = token.contents.split(" ", 1)[0]
        if token.token_type is TokenType.BLOCK:
            if name in {"blocktrans", "blocktranslate", "comment"}:
                inside = True
            elif name in {"endblocktrans", "endblocktranslate", "endcomment"}:
                inside = False
        elif token.token_type is TokenType.TEXT and not inside:
            kept.append(token.contents)
    return "".join(kept)


def literal_words(source: str) -> list[str]:
    parser = Literal()
    parser.feed(bare(source))
    parser.close()
    return [word for word in parser.found if word not in SAME_EVERYWHERE]


def shown_arguments(source: str) -> list[str]:
    """Words in the arguments of filters that would come out on the page as they are."""
    return [
        word
        for token in Lexer(source).tokenize()
        if token.token_type in {TokenType.VAR, TokenType.BLOCK}
        for match in SHOWN.finditer(token.contents)
        for word in WORD.findall(match[1] or ("plural" if "pluralize" in match[0] else ""))
    ]


@pytest.mark.parametrize("path", PAGES, ids=lambda path: str(path.relative_to(TEMPLATES)))
def test_a_template_holds_no_word_outside_a_message(path: Path) -> None:
    source = path.read_text(encoding="utf-8")
    assert literal_words(source) == []
    assert shown_arguments(source) == []


@pytest.mark.parametrize(
    ("source", "words"),
    [
        ("<p>Held</p>", ["Held"]),
        ('<p>{% trans "Held" %} Axlekeep 3 · —</p>', []),
        ("{% blocktrans count n=n %}One{% plural %}{{ n }} of them{% endblocktrans %}", []),
        ('<img alt="the yard" class="wide" src="x.png">', ["the", "yard"]),
        ('<p translate="no">python <b>x</b></p><p>Held</p>', ["Held"]),
        ('<nav aria-label="{% trans "Screens" %}"></nav>', []),
        ('<input type="submit" value="Send"><input type="hidden" name="a" value="code">', ["Send"]),
        ("{# a note #}{% comment %}another{% endcomment %}<i class='soft'></i>", []),
    ],
)
def test_the_reader_of_templates_sees_what_a_person_would(source: str, words: list[str]) -> None:
    assert literal_words(source) == words


def test_it_sees_words_in_filters() -> None:
    assert shown_arguments('{{ a|default:"none" }} {{ b|default:"—" }} {{ c|pluralize }}') == [
        "none",
        "plural",
    ]
