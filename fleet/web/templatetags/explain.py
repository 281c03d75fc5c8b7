"""A figure that explains itself: its name is a quiet button, what it says is told when pressed.

The browser opens and closes it (the popover attribute), so no script is needed. Each kind of
figure is explained once on a page, however often it stands there.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from fleet.reads.explained import EXPLANATIONS

register = template.Library()
_KEPT = "explained_on_page"


@dataclass(frozen=True)
class Told:
    """One explanation as its page has it."""

    kind: str
    title: str
    sentences: list[str]


@register.simple_tag(takes_context=True)
def explain(context: Any, kind: str, words: Any = "", **values: Any) -> SafeString:
    """A button that says `words`, or the kind's own title; `values` are what differs here."""
    _keep(context, kind, values)
    return format_html(
        '<button type="button" class="explain" popovertarget="explain-{}">{}</button>',
        kind,
        words or EXPLANATIONS[kind].title,
    )


@register.simple_tag(takes_context=True)
def explained(context: Any, *kinds: str) -> str:
    """For a page that gets some of its figures later: their explanations are there already."""
    for kind in kinds:
        _keep(context, kind, {})
    return ""


@register.inclusion_tag("parts/explanations.html", takes_context=True)
def explanations(context: Any) -> dict[str, list[Told]]:
    """Every explanation that the page has named, for its foot."""
    return {"explanations": list(_kept(context).values())}


def _keep(context: Any, kind: str, values: Mapping[str, Any]) -> None:
    kept, known = _kept(context), EXPLANATIONS[kind]
    if kind not in kept or values:
        kept[kind] = Told(kind, str(known.title), known.told(values))


def _kept(context: Any) -> dict[str, Told]:
    """One collection a page, whatever template or part of one asks; none outlives its request."""
    request = context.get("request")
    if request is None:
        return {}
    if not hasattr(request, _KEPT):
        setattr(request, _KEPT, {})
    kept: dict[str, Told] = getattr(request, _KEPT)
    return kept
