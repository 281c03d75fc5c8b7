"""A design's alignment on file: toe, caster and camber, each with its two sides and its source,
and the linkage that toe is set by."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _

from fleet.calc import units
from fleet.calc.requirements import read_fields
from fleet.operations import linkage_specs
from fleet.operations.actor import Actor
from fleet.operations.errors import Problem, Refused
from fleet.operations.linkage_specs import Linkage
from fleet.operations.once import Request
from fleet.operations.words import too_long, unit_error
from fleet.operations.work import Done, Work, not_there, run
from fleet.records.models import Design

# No front axle stands further over.
MOST_DEGREES = 20.0


@dataclass(frozen=True)
class Sides:
    """One specification as written: its low and its high side, and where it stands."""

    low: str = ""
    high: str = ""
    source: str = ""


@dataclass(frozen=True)
class NewAlignment:
    """What stands from now on; what is empty is off file, and a linkage not given stays."""

    design_id: int
    toe: Sides = Sides()
    caster: Sides = Sides()
    camber: Sides = Sides()
    linkage: Linkage | None = None


def set_alignment(
    actor: Actor, new: NewAlignment, *, at: datetime, request: Request | None = None
) -> Done[Design]:
    """Put a design's alignment on file, as the maker's service information has it."""
    actor.need("edit_specs")
    return run("set_alignment", actor, at, lambda work: _apply(work, new), request)


def _apply(work: Work, new: NewAlignment) -> Design:
    design = Design.objects.select_for_update().filter(pk=new.design_id).first()
    if design is None:
        raise not_there(_("design"))
    problems: list[Problem] = []
    columns = {
        **_columns("toe", new.toe, _length, "m", problems),
        **_columns("caster", new.caster, _angle, "degrees", problems),
        **_columns("camber", new.camber, _angle, "degrees", problems),
    }
    if new.linkage is not None:
        columns |= linkage_specs.columns(new.linkage, problems)
    if problems:
        raise Refused(tuple(problems))
    before = {name: getattr(design, name) for name in columns}
    for name, value in columns.items():
        setattr(design, name, value)
    design.save(update_fields=list(columns))
    work.trail("set_alignment", design, before=before, after=columns)
    return design


Read = Callable[[str, str, list[Problem]], float | None]


def _columns(
    what: str, sides: Sides, read: Read, unit: str, problems: list[Problem]
) -> dict[str, Any]:
    """A specification's columns: both sides or neither, with a source."""
    low, high = (read(text, f"{what}_{side}", problems)
                 for side, text in (("low", sides.low), ("high", sides.high)))  # fmt: skip
    typed = " – ".join(text.strip() for text in (sides.low, sides.high) if text.strip())
    given = [bool(text.strip()) for text in (sides.low, sides.high)]
    if any(given) and not all(given):
        message = _("Give both sides of the specification.")
        problems.append(Problem("side_missing", message, field=f"{what}_high"))
    if low is not None and high is not None and high < low:
        message = _("The high side is below the low side.")
        problems.append(Problem("high_below_low", message, field=f"{what}_high"))
    if all(given) and not sides.source.strip():
        message = _("Say where the specification stands.")
        problems.append(Problem("source_missing", message, field=f"{what}_source"))
    long = {f"{what}_typed": typed, f"{what}_source": sides.source}
    problems += [_beside(problem, what) for problem in too_long(Design, long)]
    return {
        f"{what}_low_{unit}": low, f"{what}_high_{unit}": high, f"{what}_typed": typed,
        f"{what}_source": sides.source.strip() if all(given) else "",
    }  # fmt: skip


def _beside(problem: Problem, what: str) -> Problem:
    """What was typed of two sides is too long together: told beside the first."""
    field = f"{what}_low" if problem.field == f"{what}_typed" else problem.field
    return Problem(problem.code, problem.message, field=field)


def _length(typed: str, field: str, problems: list[Problem]) -> float | None:
    if not typed.strip():
        return None
    try:
        return float(units.parse_length(typed, "in", signed=True).si)
    except units.UnitError as error:
        problems.append(unit_error(error, field))
        return None


def _angle(typed: str, field: str, problems: list[Problem]) -> float | None:
    asked = {"name": field, "type": "degrees", "min": -MOST_DEGREES, "max": MOST_DEGREES}
    read = read_fields([asked], {field: typed})  # type: ignore[list-item]  # a field of one kind
    if read.problems:
        message = _("Type degrees between -20 and 20, like 4.5.")
        problems.append(Problem("degrees_wrong", message, field=field))
    return read.values[field]["value"] if field in read.values else None
