"""What the fleet wants of its intervals, put on file: settings with versions."""

import math
import re
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from fleet.operations.actor import Actor
from fleet.operations.errors import Problem, Refused
from fleet.operations.moves import changed_under_you
from fleet.operations.new_rule import new_value
from fleet.operations.once import Request
from fleet.operations.work import Done, Work, run
from fleet.reads.intervals.aims import KEYS, aims_now
from fleet.records.models import Rule

# Three figures behind a comma may be thousands: that is read in two ways, so it is not read.
_DECIMAL_COMMA = re.compile(r"\d*,(\d{1,2}|\d{4,})")
_LEAST, _MOST, _HUNDRED = 50.0, 99.9, 100.0


@dataclass(frozen=True)
class NewAims:
    """As typed: joints of a hundred, and costs as bare numbers; both costs or neither."""

    target: str
    confidence: str
    planned_cost: str = ""
    unplanned_cost: str = ""


def set_aims(
    actor: Actor, new: NewAims, *, at: datetime, expected_version: int | None = None,
    request: Request | None = None,
) -> Done[Rule]:  # fmt: skip
    """Put them in force; proposals are reckoned anew at the next scan."""
    actor.need("edit_rules")
    return run("set_aims", actor, at, lambda work: _apply(work, new, expected_version), request)


def _apply(work: Work, new: NewAims, expected: int | None) -> Rule:
    rows = Rule.objects.select_for_update().filter(kind="setting", key__in=KEYS, is_current=True)
    current = {row.key: row for row in rows.order_by("key")}
    if expected not in (None, aims_now().version):
        raise changed_under_you(_("What intervals shall keep"))
    said = dict(zip(KEYS, _read(new), strict=True))
    before = {key: row.data["value"] for key, row in current.items()}
    changed = [key for key in KEYS if key not in before or before[key] != said[key]]
    for key in changed:
        current[key] = new_value(work, key, said[key], current.get(key))
    if changed:
        work.trail("set_aims", current[KEYS[0]], before={key: before.get(key) for key in changed},
                   after={key: said[key] for key in changed})  # fmt: skip
    return current[KEYS[0]]


def _read(new: NewAims) -> list[float | None]:
    """In the order of the settings' keys, or Refused with all that can't stand."""
    problems: list[Problem] = []
    shares = [_share(new.target, "target", problems),
              _share(new.confidence, "confidence", problems)]  # fmt: skip
    costs = [_cost(new.planned_cost, "planned_cost", problems),
             _cost(new.unplanned_cost, "unplanned_cost", problems)]  # fmt: skip
    if not problems and (costs[0] is None) is not (costs[1] is None):
        message = _("Give both costs, or neither.")
        problems.append(Problem("cost_missing", message, field="unplanned_cost"))
    if problems:
        raise Refused(tuple(problems))
    return [*shares, *costs]


def _share(typed: str, field: str, problems: list[Problem]) -> float | None:
    value = _number(typed)
    if value is None or not _LEAST <= value <= _MOST:
        message = _("Type a number between 50 and 99.9, like 90.")
        problems.append(Problem("share_wrong", message, field=field))
        return None
    return round(value / _HUNDRED, 6)


def _cost(typed: str, field: str, problems: list[Problem]) -> float | None:
    if not typed.strip():
        return None
    value = _number(typed)
    if value is None or value <= 0:
        message = _("Type a number above 0 without a currency, like 120.")
        problems.append(Problem("cost_wrong", message, field=field))
        return None
    return value


def _number(typed: str) -> float | None:
    text = typed.strip()
    try:
        value = float(text.replace(",", ".") if _DECIMAL_COMMA.fullmatch(text) else text)
    except ValueError:
        return None
    return value if math.isfinite(value) else None
