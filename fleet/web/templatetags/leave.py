"""Leave that somebody gave, as it stands now: to move to the yard, to check one's own work."""

from datetime import datetime

from django import template

from fleet.reads import self_checks, yard_moves
from fleet.records.models import SelfCheckLeave, YardMove
from fleet.web.templatetags.figures import speed

register = template.Library()


@register.filter
def standing(move: YardMove, now: datetime) -> str:
    """'stands', 'lapsed', 'arrived' or 'taken_back'."""
    return yard_moves.standing(move, now).value


@register.filter
def stands(leave: SelfCheckLeave, now: datetime) -> bool:
    return self_checks.leave_stands(leave, now)


@register.filter
def speed_limit(move: YardMove, units: str) -> str:
    """As it was typed; a bare number gets the unit it was read in, as the reader has it."""
    typed = move.speed_typed
    named = any(letter.isalpha() for letter in typed)
    return typed if named else speed(move.speed_m_s, units)
