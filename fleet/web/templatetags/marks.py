"""The mark of a joint: a fastener seen end-on with its stripe of witness paint.

Shape carries the meaning and colour only repeats it. Drawn with presentation attributes and
classes, since the content policy allows no style attribute.
"""

from typing import Any

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext, ngettext

from fleet.records.models import Mark

register = template.Library()

_ROUND = '<circle cx="12" cy="12" r="6.5" stroke-width="1.6"/>'
_ENDS = '<path d="M12 2.6v2.9M12 18.5v2.9" stroke-width="2.8"/>'
_SHAPES = {
    # The stripe runs straight over nut and bracket.
    Mark.TIGHT: _ROUND + '<path d="M12 2.6v18.8" stroke-width="2.8"/>',
    Mark.NO_PLAY: _ROUND + '<path d="M12 2.6v18.8" stroke-width="1.1"/>',
    # The wrench turned the nut: its part of the stripe no longer meets the bracket's.
    Mark.MOVED: _ROUND + _ENDS + '<path d="M7.6 16.4l8.8-8.8" stroke-width="2.8"/>',
    # Broken in two.
    Mark.PLAY: _ROUND + _ENDS + '<path d="M9.8 7v2.6M14.2 14.4V17" stroke-width="2.8"/>',
    Mark.BAD: _ROUND + '<path d="M7.4 7.4l9.2 9.2M16.6 7.4l-9.2 9.2" stroke-width="2.2"/>',
    Mark.UNKNOWN: '<circle cx="12" cy="12" r="6.5" stroke-width="1.6" stroke-dasharray="1.5 3.2"/>',
}
# The same shapes for pictures in which many stand.
MARKS: dict[str, str] = {mark.value: shape for mark, shape in _SHAPES.items()}
_MUST_ACT = {Mark.MOVED, Mark.PLAY, Mark.BAD}


@register.simple_tag
def mark(state: Any, share: float | None = None, hidden: bool = False) -> SafeString:
    """Draw one mark. `share` is how much of the recheck interval is used (1 = all of it).

    With `hidden` a screen reader skips it, for where the words stand beside it.
    """
    known = Mark(state) if state in Mark.values else Mark.UNKNOWN
    act = " mark--act" if known in _MUST_ACT else ""
    label = (
        mark_safe(' aria-hidden="true"')
        if hidden
        else format_html(' role="img" aria-label="{}"', mark_words(known, share))
    )
    return format_html(
        '<svg class="mark{}" viewBox="0 0 24 24" width="28" height="28"{}>{}{}</svg>',
        act,
        label,
        _arc(share),
        mark_safe(_SHAPES[known]),  # noqa: S308 - one of the constants above
    )


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


def _arc(share: float | None) -> SafeString:
    """A thin arc round the mark, from the top and clockwise."""
    if share is None:
        return SafeString("")
    length = round(100 * min(max(share, 0), 1))
    return format_html(
        '<circle class="mark-arc-bed" cx="12" cy="12" r="10.9" stroke-width="1.2"/>'
        '<circle class="mark-arc{}" cx="12" cy="12" r="10.9" stroke-width="1.8" pathLength="100"'
        ' stroke-dasharray="{} 100" transform="rotate(-90 12 12)"/>',
        " mark-arc--over" if share >= 1 else "",
        length,
    )
