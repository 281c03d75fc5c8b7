"""The mark of a joint on a page: drawn by fleet/pictures/mark.py, in words here."""

from typing import Any

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext, ngettext

from fleet.pictures.mark import mark_svg
from fleet.records.inspections import mark_of
from fleet.records.models import Hold, Mark

register = template.Library()
TEXT_SIZE = 16
WORD_JOINER = "\u2060"


@register.simple_tag
def mark(
    state: Any,
    share: float | None = None,
    hidden: bool = False,
    size: int = 28,
    share_told: bool = False,
) -> SafeString:
    """Draw one mark. `share` is how much of the recheck interval is used (1 = all of it).

    With `hidden` a screen reader skips it, for where the words stand beside it; with `share_told`
    it leaves the share out, for where that figure does.
    """
    label = "" if hidden else mark_words(state, None if share_told else share)
    return mark_safe(mark_svg(str(state), share, size=size, label=label))  # noqa: S308 - escaped there


@register.simple_tag
def told(state: Any, words: str = "", act: bool = False, says: str = "") -> SafeString:
    """A small mark before the words of a state; no line parts it from the first of them.

    A screen reader skips it, unless the words are of another thing: then it is heard as `says`.
    """
    svg = mark_svg(str(state), size=TEXT_SIZE, label=says, act=act)
    return format_html("{}{}{}", mark_safe(svg), WORD_JOINER, words)  # noqa: S308 - escaped there


@register.simple_tag
def found(code: str, words: str = "", act: bool = False) -> SafeString:
    """The same before the words of a finding."""
    return told(mark_of(code), words, act)


@register.simple_tag
def why(hold: Hold, act: bool = False) -> SafeString:
    """Why a vehicle is held; what was found has its mark."""
    if hold.finding is None:
        return format_html("{}", hold.words)
    return found(hold.finding.code, hold.words, act)


@register.filter
def mark_words(state: Any, share: float | None = None) -> str:
    """The mark in words: 'play, 62% of the recheck interval used'."""
    words = str((Mark(state) if state in Mark.values else Mark.UNKNOWN).label)
    if share is None:
        return words
    used = max(0, round(share * 100))
    return gettext("%(mark)s, %(share)d%% of the recheck interval used") % {
        "mark": words,
        "share": used,
    }


@register.filter
def times(count: int) -> str:
    return ngettext("%(n)d time", "%(n)d times", count) % {"n": count}
