"""The trail's own names and values in words: a code, a flag or a date as a reader says it."""

import re
from collections import ChainMap
from datetime import date, datetime
from typing import Any

from django.core.exceptions import FieldDoesNotExist
from django.utils import formats, timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from fleet.reads.said import NONE
from fleet.records.models import (
    ComplaintKind,
    Hold,
    InspectionKind,
    Joint,
    Pattern,
    Role,
    Vehicle,
)

NAMES: dict[str, Any] = {
    "action": _("action"),
    "agrees": _("the two tools agree"),
    "check": _("second check"),
    "complete": _("complete"),
    "count": _("finds"),
    "days": _("days laid up"),
    "driven": _("road test made"),
    "falls_on": _("falls due"),
    "fell_due_at": _("fell due"),
    "findings": _("joints looked at"),
    "fitted": _("fitted"),
    "held": _("held"),
    "how": _("how"),
    "joint": _("joint"),
    "kind": _("kind"),
    "lever": _("length"),
    "lines": _("lines"),
    "looked": _("look made"),
    "name": _("name"),
    "passed": _("passed"),
    "person": _("person"),
    "reason": _("reason"),
    "request": _("request"),
    "role": _("role"),
    "rung": _("step"),
    "state": _("state"),
    "text": _("text"),
    "typed": _("as typed"),
    "unit": _("unit number"),
    "until": _("until"),
    "version": _("version"),
    "wanted_by": _("wanted by"),
    "worst": _("greatest difference"),
}
_CODES: dict[str, Any] = {
    "fitted": dict(Joint.Fitted.choices),
    "kind": ChainMap(dict(InspectionKind.choices), dict(ComplaintKind.choices)),
    "reason": dict(Hold.Reason.choices),
    "role": dict(Role.choices),
    "state": dict(Pattern.State.choices),
}
_DAY = re.compile(r"\d{4}-\d\d-\d\d")
_MOMENT = re.compile(r"\d{4}-\d\d-\d\d[ T]\d\d:\d\d")


def name_in_words(name: str) -> str:
    """A vehicle's own columns go by their names on its form."""
    return str(NAMES.get(name) or _column(name) or name.replace("_", " "))


def value_in_words(name: str, value: Any) -> Any:
    """None stays None: there was nothing before, or there is nothing now."""
    if value is None:
        return None
    if isinstance(value, bool):
        return gettext("yes") if value else gettext("no")
    if name == "rung" and isinstance(value, int):
        return value + 1
    if isinstance(value, str):
        return _text(name, value)
    return value


def _text(name: str, value: str) -> str:
    codes = _CODES.get(name) or _choices(name)
    if value in codes:
        return str(codes[value])
    if _MOMENT.match(value):
        moment = timezone.localtime(datetime.fromisoformat(value))
        return f"{_written(moment.date())}, {formats.time_format(moment, 'H:i')}"
    if _DAY.fullmatch(value):
        return _written(date.fromisoformat(value))
    return value or NONE


def _written(day: date) -> str:
    return formats.date_format(day, "DATE_FORMAT")


def _column(name: str) -> Any:
    try:
        return getattr(Vehicle._meta.get_field(name), "verbose_name", None)
    except FieldDoesNotExist:
        return None


def _choices(name: str) -> dict[Any, Any]:
    try:
        return dict(getattr(Vehicle._meta.get_field(name), "flatchoices", []))
    except FieldDoesNotExist:
        return {}
