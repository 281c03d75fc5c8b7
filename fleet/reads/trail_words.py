"""The trail's changes in words: what each name is called, and what each value says."""

from datetime import datetime
from typing import Any

from django.apps import apps
from django.core.exceptions import FieldDoesNotExist
from django.db import models
from django.utils import formats, timezone
from django.utils.dateparse import parse_date, parse_datetime
from django.utils.translation import gettext_lazy as _

from fleet.reads.sweeps.progress import BECAME
from fleet.reads.trail_plan import PLAN_NAMES
from fleet.records.base import in_language
from fleet.records.models import Pattern

# Names that stand in entries and are no columns, or columns that have no name of their own.
NAMES: dict[str, Any] = PLAN_NAMES | {
    "action": _("work"),
    "agrees": _("agrees"),
    "check": _("second check"),
    "complete": _("complete"),
    "count": _("finds"),
    "days": _("days"),
    "listed": _("joints listed"),
    "driven": _("driven"),
    "falls_on": _("falls due"),
    "fell_due_at": _("fell due"),
    "findings": _("findings"),
    "fitted": _("fitting"),
    "basis": _("told as"),
    "form": _("format"),
    "newest": _("newest rule"),
    "finds": _("finds"),
    "new": _("new finds"),
    "predicted": _("finds predicted had it not helped"),
    "seen": _("finds since"),
    "sent": _("events sent"),
    "verdict": _("did it help"),
    "expected": _("finds expected of like checks"),
    "p": _("chance of so few"),
    "checks": _("checks since"),
    "since": _("from"),
    "trained": _("trained to check"),
    "yards": _("yards"),
    "held": _("held"),
    "hours": _("hours"),
    "interval_confidence": _("how sure, as a share"),
    "interval_planned_cost": _("cost of planned work"),
    "interval_target": _("share still tight"),
    "interval_unplanned_cost": _("cost where it came loose before"),
    "how": _("how"),
    "joint": _("joint"),
    "kind": _("kind"),
    "made_anew": _("made anew"),
    "rule": _("rule"),
    "says": _("what it says"),
    "lever": _("length, drive to grip"),
    "lines": _("lines"),
    "looked": _("looked at"),
    "miles": _("miles"),
    "name": _("name"),
    "passed": _("passed"),
    "person": _("assigned to"),
    "readings": _("readings"),
    "reason": _("reason"),
    "request": _("file request"),
    "role": _("role"),
    "route": _("by which route"),
    "rung": _("step"),
    "speed": _("at most how fast"),
    "state": _("state"),
    "status": _("state"),
    "technician": _("technician"),
    "text": _("why"),
    "typed": _("as typed"),
    "unit": _("unit number"),
    "until": _("until"),
    "version": _("version"),
    "wanted_by": _("wanted by"),
    "worst": _("worst deviation, share of the figure"),
}
# Columns of a vehicle and of its design that the records leave unnamed.
COLUMNS: dict[str, Any] = {
    "camber_source": _("where the camber stands"),
    "camber_typed": _("camber"),
    "caster_source": _("where the caster stands"),
    "caster_typed": _("caster"),
    "corrosion": _("corrosion"),
    "design_id": _("design"),
    "drag_link_lead_m": _("drag link: thread of the right-hand end, m"),
    "drag_link_other_lead_m": _("drag link: thread of the other end, m"),
    "drag_link_other_typed": _("drag link: thread of the other end"),
    "drag_link_thread_typed": _("drag link: thread of the right-hand end"),
    "drag_link_typed": _("length of the drag link"),
    "gear_ratio": _("ratio of the gear"),
    "laid_up_on": _("laid up on"),
    "left_fleet_on": _("left the fleet on"),
    "linkage_source": _("where the linkage's figures stand"),
    "longer_link_turns_right": _("a longer drag link turns the wheel right"),
    "meter_unit": _("meter counts"),
    "pitman_arm_typed": _("Pitman arm"),
    "steering_arm_typed": _("steering arm"),
    "steering_side": _("side of the steering wheel"),
    "tie_rod_lead_m": _("tie rod: thread of the right-hand end, m"),
    "tie_rod_other_lead_m": _("tie rod: thread of the other end, m"),
    "tie_rod_other_typed": _("tie rod: thread of the other end"),
    "tie_rod_thread_typed": _("tie rod: thread of the right-hand end"),
    "toe_source": _("where the toe stands"),
    "toe_typed": _("toe"),
    "track_bar_typed": _("length of the track bar"),
    "vin": _("VIN"),
    "yard_id": _("yard"),
}
DOORS: dict[str, Any] = {
    "web": _("web page"),
    "api": _("API"),
    "task": _("server"),
    "command": _("command"),
}
YES, NO = _("yes"), _("no")
# Codes that stand in entries under these names and are no column's.
_CODES: dict[str, Any] = {"yards": {"all": _("all yards")}, "verdict": dict(Pattern.State.choices)}


def name_of(subject: str, name: str) -> str:
    """What a name in an entry is called; one that nobody named is read as it is written."""
    became = BECAME.get(name) if subject == "sweep" else None
    known = became or NAMES.get(name) or COLUMNS.get(name)
    if known is not None:
        return str(known)
    column = _column(subject, name)
    return str(column.verbose_name) if column is not None else name.replace("_", " ")


def value_of(subject: str, name: str, value: Any, works: dict[str, str]) -> Any:
    """A value in the reader's words; `works` names the actions of ticket lines by their codes."""
    if isinstance(value, bool):
        return str(YES if value else NO)
    if isinstance(value, dict):
        return in_language(value)
    if name == "rung" and isinstance(value, int):
        # Steps of a ladder are counted from one where people count them.
        return value + 1
    if isinstance(value, float) and value.is_integer():
        return f"{value:.0f}"
    return _text_of(subject, name, value, works) if isinstance(value, str) else value


def _text_of(subject: str, name: str, text: str, works: dict[str, str]) -> str:
    """A text by what it is the code of; else a date or a moment, or as it is."""
    column = _column(subject, name)
    if name in _CODES:
        named: Any = _CODES[name]
    else:
        named = dict(column.flatchoices) if column is not None and column.choices else works
    return str(named[text]) if text in named else _written(text)


def _column(subject: str, name: str) -> "models.Field[Any, Any] | None":
    try:
        found = apps.get_model("records", subject)._meta.get_field(name)
    except (LookupError, FieldDoesNotExist):
        return None
    return found if isinstance(found, models.Field) else None


def _written(text: str) -> str:
    """A date or a moment as the reader writes it; any other text as it is."""
    try:
        moment = parse_datetime(text) if len(text) > len("2026-11-25") else None
        day = parse_date(text) if moment is None else None
    except ValueError:
        return text
    if moment is not None:
        return str(formats.date_format(_local(moment), "DATETIME_FORMAT"))
    return str(formats.date_format(day, "DATE_FORMAT")) if day is not None else text


def _local(moment: datetime) -> datetime:
    return timezone.localtime(moment) if timezone.is_aware(moment) else moment
