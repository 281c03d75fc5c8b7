"""The front end as a picture alone, where no vehicle is shown."""

from functools import lru_cache

from django import template
from django.utils.safestring import SafeString, mark_safe

from fleet.pictures import figure, front_end
from fleet.reads.front_end import EVERY, drawing

register = template.Library()
SHOWN = (EVERY, "four_link_coil", "crossing", "ball_joint", "unit_hub")


@register.simple_tag
@lru_cache(maxsize=1)
def front_end_alone() -> SafeString:
    """For the eye only: a screen reader skips it."""
    layout = drawing(SHOWN)
    svg = figure.store(layout, False) + figure.frame(front_end.whole(layout, []), "")
    return mark_safe(svg)  # noqa: S308 - written by fleet/pictures from our own data
