"""Clamp load of a torque figure as a table shows it, in the reader's units."""

from django import template

from fleet.reads.clamp_checks import ClampCheck

register = template.Library()


@register.filter
def clamp_load(check: ClampCheck, units: str) -> str:
    return check.load(units)


@register.filter
def factorys(check: ClampCheck, units: str) -> str:
    """What the factory's own figure comes to."""
    return check.beside("factory", units)


@register.filter
def eased(check: ClampCheck, units: str) -> str:
    """What the figure comes to with anti-seize on the threads; empty where that was not asked."""
    return check.beside("anti_seize", units)
