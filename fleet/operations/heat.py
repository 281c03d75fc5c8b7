"""Flame, welding and a rejected stud: what keeps a line open, and what holds the vehicle."""

from django.utils.translation import gettext as _

from fleet.operations import holds
from fleet.operations.errors import Problem
from fleet.operations.line_view import LineView
from fleet.operations.words import value
from fleet.operations.work import Work
from fleet.reads.rules import rules
from fleet.records.base import in_every_language
from fleet.records.models import Hold, Ticket, TicketLine, Vehicle


def problems(view: LineView) -> list[Problem]:
    """A steering or suspension part heated by flame is not used again."""
    found = []
    if value(view.data, "heat_used") == "kept":
        message = _(
            "A part heated by flame is not used again: replace it, or name the maker's leave."
        )
        found.append(view.problem("heated", message, "heat_used"))
    if value(view.data, "method") == "weld_washer" and value(view.data, "welded") == "no":
        message = _("A weld washer is welded on: record the welding and who did it.")
        found.append(view.problem("weld_missing", message, "welded"))
    return found


def place_holds(work: Work, vehicle: Vehicle, ticket: Ticket, line: TicketLine) -> None:
    """What an entry says of the part itself may hold the vehicle at once."""
    data = line.entry.data if line.entry else {}
    action = rules("action")[line.action]

    def names() -> dict[str, str]:
        return {"joint": str(line.joint or action.name)}

    found = []
    if value(data, "heat_used") == "kept":
        found.append(lambda: _("%(joint)s: heated by flame and left in place") % names())
    if value(data, "new_pin") == "above_slots":
        found.append(
            lambda: _("%(joint)s: pin hole above the slots, stud and arm rejected") % names()
        )
    for say in found:
        said = in_every_language(say)
        holds.place(work, vehicle, Hold.Reason.FINDING, said, joint=line.joint, ticket=ticket)
