"""Figures read back beside their fields, and a legal line as its rule prints it."""

from typing import Any

from django import template
from django.utils.translation import gettext

from fleet.calc.limits import Limit
from fleet.calc.read_back import DEFAULT_UNITS
from fleet.web.understood import words_for

register = template.Library()


@register.simple_tag(takes_context=True)
def read_back_of(context: Any, kind: str, typed: str) -> str:
    """A figure of a sheet, which is in the usual units where none was written."""
    return words_for(kind, typed, unit=DEFAULT_UNITS[kind], system=context["units"])


@register.simple_tag(takes_context=True)
def read_back(context: Any, field: Any) -> str:
    """What stands in a field that was sent and is shown again; without scripts this is all."""
    figure = field.field.widget.figure
    if not field.form.is_bound or field.errors:
        return ""
    return words_for(
        figure.kind,
        str(field.value() or ""),
        unit=figure.unit,
        system=context["units"],
        signed=figure.signed,
    )


@register.filter
def as_printed(limit: Limit) -> str:
    """'1/4 in', or '30° at the rim'."""
    if limit.unit == "deg":
        return gettext("%(degrees)s° at the rim") % {"degrees": limit.as_printed}
    return f"{limit.as_printed} {limit.unit}"


@register.filter
def line_note(limit: Limit) -> str:
    """Why this line of the table and not another."""
    notes = {
        "next_lower": gettext("This wheel is not in the table: the next smaller one's stands."),
        "rim_not_given": gettext("The rim diameter is not on file: the lowest line stands."),
        "by_angle": gettext("This wheel is not in the table: the rule's angle stands."),
    }
    return notes.get(limit.note, "")
