"""Phrases that several operations speak: dates at the yard, unit errors, names of figures."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.db import models
from django.utils import formats
from django.utils.translation import gettext as _

from fleet.calc.requirements import FieldProblem, read_fields
from fleet.calc.units import UnitError
from fleet.operations.errors import Problem, Refused
from fleet.records.base import in_language
from fleet.records.models import Vehicle


def too_long(model: type[models.Model], typed: Mapping[str, str]) -> list[Problem]:
    """What does not fit its column, by the column's name."""
    found = []
    for name, text in typed.items():
        most = getattr(model._meta.get_field(name), "max_length", None)
        if most is not None and len(text.strip()) > most:
            message = _("At most %(most)s characters; this has %(found)s.")
            words = {"most": most, "found": len(text.strip())}
            found.append(Problem("too_long", message % words, field=name))
    return found


def refuse_too_long(model: type[models.Model], **typed: str) -> None:
    """Raise Refused where a text does not fit its column."""
    found = too_long(model, typed)
    if found:
        raise Refused(tuple(found))


def hours_problem(hours: float | None, longest: float) -> list[Problem]:
    """A time limit in hours, left out for the longest that is allowed."""
    if hours is None or 0 < hours <= longest:
        return []
    message = _("Between a few minutes and %(longest)g hours.") % {"longest": longest}
    return [Problem("hours_wrong", message, field="hours")]


def spoken_date(moment: datetime, vehicle: Vehicle, style: str = "DATE_FORMAT") -> str:
    """The day it was in the vehicle's yard, as the reader writes dates."""
    local = moment.astimezone(ZoneInfo(vehicle.yard.time_zone))
    return str(formats.date_format(local, style))


def unit_error(error: UnitError, field: str) -> Problem:
    """A figure that could not be read: what is wrong, and an example to type instead."""
    message = _("“%(text)s” can't be read as a figure. Type it like this: %(hint)s") % {
        "text": error.text[:40],
        "hint": error.hint,
    }
    return Problem(error.code, message, field=field, hint=error.hint)


def value(data: dict[str, Any], name: str) -> Any:
    """What an entry recorded under a name: its SI figure, or its plain value."""
    kept = data.get(name) or {}
    return kept.get("si", kept.get("value"))


def read_one(field: Any, typed: str) -> None:
    """Read one field of a line as recording it would; raises Refused with what to type instead."""
    name = field["name"]
    for problem in read_fields([field], {name: typed}).problems:
        raise Refused((field_problem(problem, in_language(field["label"]), "", None),))


def field_problem(problem: FieldProblem, label: str, line: str, line_id: int | None) -> Problem:
    """One problem of a line's fields in words."""
    texts = {
        "missing": _("%(label)s is missing."),
        "must": _("%(label)s has to be confirmed."),
        "not_a_choice": _("%(label)s: choose one of %(hint)s."),
    }
    text = texts.get(problem.code) or _("%(label)s can't be read. Type it like this: %(hint)s")
    message = text % {"label": label, "hint": problem.hint}
    return Problem(problem.code, message, field=problem.name, line=line, line_id=line_id,
                   hint=problem.hint)  # fmt: skip
