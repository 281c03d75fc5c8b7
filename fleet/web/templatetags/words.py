"""Text of the reference data in the reader's language."""

from typing import Any

from django import template

from fleet.reads import vin_words
from fleet.records.base import in_language

register = template.Library()


@register.filter
def said(names: Any) -> str:
    """{"en": ..., "es": ...} in the reader's language; nothing for nothing."""
    return in_language(names) if names else ""


@register.filter
def vin_note(vin: str) -> str:
    """What is wrong with a VIN on file, in the reader's language."""
    return vin_words.vin_note(vin)
