"""Designs: what a make's vehicles have in common, put on file by the fleet."""

from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from fleet.calc import units
from fleet.operations.actor import Actor
from fleet.operations.errors import Problem, Refused
from fleet.operations.once import Request
from fleet.operations.unique import or_taken
from fleet.operations.words import too_long, unit_error
from fleet.operations.work import Done, Work, run
from fleet.records.models import Design, Layout


@dataclass(frozen=True)
class NewDesign:
    """A make's pattern: its layouts by code, and its toe figure as written."""

    name: str
    make: str
    axle: str
    linkage: str
    knuckle: str
    hub: str
    toe_low: str = ""
    toe_high: str = ""
    toe_source: str = ""
    tie_rod_ahead: bool = False


def add_design(
    actor: Actor, new: NewDesign, *, at: datetime, request: Request | None = None
) -> Done[Design]:
    """Put a design on file; vehicles of it get their joints from its layouts."""
    actor.need("edit_specs")

    def apply(work: Work) -> Design:
        layouts, found = _layouts(new)
        low, high = _toe(new.toe_low, "toe_low", found), _toe(new.toe_high, "toe_high", found)
        found += _name_problems(new) + _toe_problems(new, low, high)
        if found:
            raise Refused(tuple(found))
        typed = f"{new.toe_low.strip()} – {new.toe_high.strip()}" if low is not None else ""
        with or_taken(_taken()):
            design = Design.objects.create(
                name=new.name.strip(), make=new.make.strip(), **layouts, toe_low_m=low,
                toe_high_m=high, toe_typed=typed, toe_source=new.toe_source.strip(),
                tie_rod_ahead=new.tie_rod_ahead,
            )  # fmt: skip
        work.trail("add_design", design, after={"name": design.name})
        return design

    return run("add_design", actor, at, apply, request)


def _taken() -> Problem:
    return Problem("name_wrong", _("Give a name that no other design has."), field="name")


def _name_problems(new: NewDesign) -> list[Problem]:
    found = too_long(Design, {"name": new.name, "make": new.make, "toe_source": new.toe_source})
    if not new.name.strip() or Design.objects.filter(name__iexact=new.name.strip()).exists():
        found.append(_taken())
    if not new.make.strip():
        found.append(Problem("make_missing", _("Say whose make it is."), field="make"))
    return found


def _toe_problems(new: NewDesign, low: float | None, high: float | None) -> list[Problem]:
    """Both sides or neither, in order, with where they stand."""
    given = [bool(text.strip()) for text in (new.toe_low, new.toe_high)]
    found = []
    if any(given) and not all(given):
        message = _("Give both sides of the specification.")
        found.append(Problem("side_missing", message, field="toe_low" if given[1] else "toe_high"))
    if low is not None and high is not None and high < low:
        message = _("The most toe-in is below the least.")
        found.append(Problem("toe_wrong", message, field="toe_high"))
    if all(given) and not new.toe_source.strip():
        message = _("Say where the specification stands.")
        found.append(Problem("source_missing", message, field="toe_source"))
    return found


def _layouts(new: NewDesign) -> tuple[dict[str, Layout], list[Problem]]:
    by_code = {(layout.axis, layout.code): layout for layout in Layout.objects.all()}
    layouts, found = {}, []
    for axis in ("axle", "linkage", "knuckle", "hub"):
        layout = by_code.get((axis, getattr(new, axis)))
        if layout is None:
            codes = ", ".join(code for a, code in by_code if a == axis)
            message = _("Choose one of: %(codes)s.") % {"codes": codes}
            found.append(Problem("layout_unknown", message, field=axis))
        else:
            layouts[axis] = layout
    return layouts, found


def _toe(typed: str, field: str, found: list[Problem]) -> float | None:
    if not typed.strip():
        return None
    try:
        return units.parse_length(typed, "in", signed=True).si
    except units.UnitError as error:
        found.append(unit_error(error, field))
        return None
