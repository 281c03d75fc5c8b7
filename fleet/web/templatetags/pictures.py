"""A picture in its page: both sizes are sent, and the style sheet shows the one that fits."""

from django import template
from django.utils.safestring import SafeString, mark_safe

from fleet.pictures.plots import SIZES, Life, Plot, draw, draw_life

register = template.Library()


@register.simple_tag
def drawn(picture: Plot | Life) -> SafeString:
    """Its drawings, one after the other. Every word in them was escaped as it was put in."""
    texts = [
        draw_life(picture, size) if isinstance(picture, Life) else draw(picture, size)
        for size in SIZES
    ]
    return mark_safe("".join(texts))  # noqa: S308 - written by ElementTree
