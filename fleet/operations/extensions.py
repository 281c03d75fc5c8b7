"""An extension straight on the wrench: what it says is less than what comes to the fastener."""

from django.utils.translation import gettext as _

from fleet.calc import units
from fleet.calc.read_back import DEFAULT_UNITS
from fleet.calc.wrench_extension import torque_at_fastener
from fleet.operations.errors import Problem, Refused, refuse
from fleet.operations.words import unit_error
from fleet.records.models import TorqueTool

UNIT = DEFAULT_UNITS["length"]
# A wrench of a hand's breadth, and one that two people pull (own): beyond is a slip of the unit.
SHORTEST_M, LONGEST_M = 0.08, 2.5


def problem(tool: TorqueTool, extension_m: float, field: str = "extension") -> Problem | None:
    """Why a pull with this extension can't be reckoned, or None. No length needs no lever."""
    if extension_m == 0:
        return None
    names = {"tool": tool.code}
    if tool.lever_m is None:
        message = _(
            "With an extension %(tool)s says less than comes to the fastener, and its length is "
            "not known. Put the tool's length on file, drive to grip, or take a straight socket."
        )
        return Problem("no_tool_length", message % names, field=field)
    if extension_m > tool.lever_m:
        message = _(
            "An extension longer than %(tool)s itself? Give its length from the drive to the "
            "fastener, in line with the handle."
        )
        return Problem("extension_too_long", message % names, field=field)
    return None


def at_fastener(tool: TorqueTool, wrench_nm: float, extension_m: float | None) -> float:
    """What comes to the fastener, of what `problem` has let pass."""
    if not extension_m or tool.lever_m is None:
        return wrench_nm
    return torque_at_fastener(wrench_nm, tool.lever_m, extension_m)


def lever_m(typed: str, field: str = "lever") -> float | None:
    """A tool's length as typed, in metres; None where nothing was said."""
    if not typed.strip():
        return None
    try:
        found = units.parse_length(typed, UNIT).si
    except units.UnitError as error:
        raise Refused((unit_error(error, field),)) from error
    if not SHORTEST_M <= found <= LONGEST_M:
        message = _("Measure from the square drive to the middle of the grip, like 18 in.")
        raise refuse("lever_wrong", message, field=field)
    return found
