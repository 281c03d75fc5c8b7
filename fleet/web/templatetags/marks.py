"""The mark of a joint on a page: drawn by fleet/pictures/mark.py, in words here."""

from typing import Any

from django import template
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext, ngettext

from fleet.pictures.mark import mark_svg
from fleet.records.inspections import MARKS
from fleet.records.models import FindingCode, Mark

register = template.Library()


@register.simple_tag
def mark(
    state: Any, share: float | None = None, hidden: bool = False, size: int = 28
) -> SafeString:
    """Draw one mark. `share` is how much of the recheck interval is used (1 = all of it).

    With `hidden` a screen reader skips it, for where the words stand beside it.
    """
    label = "" if hidden else mark_words(state, share)
    return mark_safe(mark_svg(str(state), share, size=size, label=label))  # noqa: S308 - escaped there


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
def mark_of(code: str) -> str:
    """The mark that a finding gives its joint; what is not listed and is a finding is bad."""
    return MARKS.get(FindingCode(code), Mark.BAD).value


@register.filter
def times(count: int) -> str:
    return ngettext("%(n)d time", "%(n)d times", count) % {"n": count}
