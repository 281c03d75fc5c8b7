"""Addresses that keep what the reader had chosen."""

from collections.abc import Mapping
from typing import Any
from urllib.parse import urlencode

from django import template
from django.urls import reverse

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


@register.simple_tag
def reckoner(typed: Mapping[str, str]) -> str:
    """The Reckoner at one section, its fields filled in by the address."""
    return f"{reverse('reckoner')}?{urlencode(typed)}#{typed['calculator']}"
