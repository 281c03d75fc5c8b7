"""Addresses that keep what the reader had chosen."""

from typing import Any

from django import template

register = template.Library()


@register.simple_tag(takes_context=True)
def with_query(context: dict[str, Any], **changes: Any) -> str:
    """The page's own address with some of its query changed; None takes a name away."""
    query = context["request"].GET.copy()
    for name, value in changes.items():
        query.pop(name, None)
        if value is not None:
            query[name] = value
    return f"?{query.urlencode()}"
