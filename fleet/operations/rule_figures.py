"""A rule's figures as a manager types them: miles or kilometres, days, hours, and limits against
nonsense. What can't stand is told all at once, each beside its field.
"""

import math
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from fleet.calc.units import UnitError, parse_meter, use_from_si
from fleet.operations.errors import Problem
from fleet.reads.rule_shapes import Bounds

# The longest that any recheck may run (own): beyond is a slip of the unit or of a digit.
MOST_MILES, MOST_DAYS, MOST_HOURS = 30_000.0, 730, 2_000.0
MOST_STEPS = 6
MOST_MONTHS = 12
DAYS_OF_MONTHS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
_PARTS = ("distance", "days", "hours")
_DATA = {"distance": "miles", "days": "days", "hours": "hours"}


@dataclass(frozen=True)
class Step:
    """One step as typed: '500 mi' or '800 km', days, hours. Empty means: not by this."""

    distance: str = ""
    days: str = ""
    hours: str = ""

    @property
    def empty(self) -> bool:
        return not (self.distance.strip() or self.days.strip() or self.hours.strip())


def read_steps(
    steps: tuple[Step, ...], before: list[dict[str, Any]], problems: list[Problem]
) -> list[dict[str, Any]]:
    """The steps as a rule keeps them; the ways to look of the step before stand in a new one."""
    typed = [(index, step) for index, step in enumerate(steps) if not step.empty]
    if not typed:
        message = _("Give at least one step, like 500 mi, 30 days, 20 h.")
        problems.append(Problem("no_step", message, field="steps.0.distance"))
    if len(typed) > MOST_STEPS:
        message = _("At most %(most)s steps.") % {"most": MOST_STEPS}
        problems.append(Problem("too_many_steps", message, field=f"steps.{MOST_STEPS}.distance"))
    found: list[dict[str, Any]] = []
    for index, step in typed:
        old = before[min(len(found), len(before) - 1)] if before else {}
        read = _step(step, index, problems)
        _check_start(read, old, index, problems)
        _check_order(read, found[-1] if found else {}, index, problems)
        found.append(_kept(read, old))
    return found


def _step(step: Step, index: int, problems: list[Problem]) -> dict[str, Any]:
    """Miles, days and hours of one step; a kilometre figure is kept as it was typed beside."""
    at = f"steps.{index}"
    read: dict[str, Any] = {"miles": None, "days": None, "hours": None}
    if step.distance.strip():
        read |= _distance(step.distance.strip(), f"{at}.distance", problems)
    for name, most in (("days", MOST_DAYS), ("hours", MOST_HOURS)):
        text = getattr(step, name).strip()
        if text:
            bounds = Bounds(1, most, "")
            read[name] = read_figure(text, bounds, f"{at}.{name}", problems, whole=name == "days")
    if not step.days.strip():
        message = _("Give days too: a vehicle that stands still must be looked at in the end.")
        problems.append(Problem("days_missing", message, field=f"{at}.days"))
    if not step.hours.strip() and step.distance.strip():
        message = _("Give hours too, for vehicles with an hour meter, like 20.")
        problems.append(Problem("hours_missing", message, field=f"{at}.hours"))
    if not step.distance.strip() and step.hours.strip():
        message = _("Give a distance too, like 500 mi or 800 km.")
        problems.append(Problem("distance_missing", message, field=f"{at}.distance"))
    return read


def _distance(text: str, field: str, problems: list[Problem]) -> dict[str, Any]:
    try:
        found = parse_meter(text, "mi")
    except UnitError:
        message = _("This can't be read as a distance. Type it like 500 mi or 800 km.")
        problems.append(Problem("distance_wrong", message, field=field))
        return {}
    miles = float(use_from_si(round(found.si), "mi", 3))
    if not 1 <= miles <= MOST_MILES:
        message = _("Between 1 and %(most)s mi.") % {"most": f"{MOST_MILES:,.0f}"}
        problems.append(Problem("distance_wrong", message, field=field))
    if found.unit == "mi":
        return {"miles": _plain(float(found.magnitude))}
    return {"miles": miles, "typed": f"{_plain(float(found.magnitude)):g} {found.unit}"}


def read_figure(
    text: str, bounds: Bounds, field: str, problems: list[Problem], *, whole: bool = True
) -> float | int | None:
    """A bare number within its bounds, or None with the reason told."""
    try:
        value = float(parse_meter(text, "h").magnitude)
    except UnitError:
        value = math.nan
    if not (bounds.least <= value <= bounds.most) or (whole and value != round(value)):
        words = {"least": f"{bounds.least:,g}", "most": f"{bounds.most:,.0f}"}
        message = (_("Type a whole number from %(least)s to %(most)s.") if whole
                   else _("Type a number from %(least)s to %(most)s.")) % words  # fmt: skip
        problems.append(Problem("figure_wrong", message, field=field))
        return None
    return _plain(value)


def _plain(value: float) -> float | int:
    return int(value) if value == round(value) else value


def _check_order(
    read: dict[str, Any], last: dict[str, Any], index: int, problems: list[Problem]
) -> None:
    """A step is never shorter than the one before it."""
    for part in _PARTS:
        now, then = read.get(_DATA[part]), last.get(_DATA[part])
        if now is not None and then is not None and now < then:
            message = _(
                "Shorter than the step before it (%(then)s). Steps grow from one to the next."
            )
            problems.append(Problem("shorter_than_before", message % {"then": f"{then:g}"},
                                    field=f"steps.{index}.{part}"))  # fmt: skip


def _check_start(
    read: dict[str, Any], old: dict[str, Any], index: int, problems: list[Problem]
) -> None:
    """What may not be looked at before so many miles or hours is not due by then."""
    for part in ("distance", "hours"):
        least, now = old.get(f"not_before_{_DATA[part]}"), read.get(_DATA[part])
        if least and now is not None and now <= least:
            message = _("It counts for nothing before %(least)s: give more than that.")
            problems.append(Problem("before_it_counts", message % {"least": f"{least:g}"},
                                    field=f"steps.{index}.{part}"))  # fmt: skip


def _kept(read: dict[str, Any], old: dict[str, Any]) -> dict[str, Any]:
    """The step with what the old one says besides; figures that stay keep where they are from."""
    filled = [name for name in old.get("filled", []) if read.get(name) == old.get(name)]
    rest = {name: said for name, said in old.items() if name not in ("filled", "typed")}
    return {**rest, **read, **({"filled": filled} if filled else {})}


def least_days(months: int) -> int:
    """The fewest days that so many months in a row have: a date by it is never late.

    >>> least_days(12), least_days(6), least_days(1)
    (365, 181, 28)
    """
    twice = DAYS_OF_MONTHS * 2
    return min(sum(twice[start : start + months]) for start in range(MOST_MONTHS))
