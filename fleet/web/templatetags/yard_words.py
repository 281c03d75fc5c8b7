"""A yard's working days in words."""

from collections.abc import Iterable

from django import template
from django.utils.dates import WEEKDAYS_ABBR

register = template.Library()


@register.filter
def weekdays(days: Iterable[int]) -> str:
    """Mon, Tue, Wed; a dash where none is on file."""
    return ", ".join(str(WEEKDAYS_ABBR[day]) for day in sorted(days)) or "—"
