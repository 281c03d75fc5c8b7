"""The steps of setting up in words: what each is for, and the ways to do it."""

from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext_lazy as _

from fleet.reads.set_up import SetUp, Step


@dataclass(frozen=True)
class Way:
    """A link to where a step is done, by the name of its address."""

    label: Any
    name: str


@dataclass(frozen=True)
class Words:
    title: Any
    why: Any
    ways: tuple[Way, ...]


WORDS = {
    "fleet": Words(
        _("The fleet"),
        _("Its name, and what new people and yards begin with."),
        (Way(_("Name the fleet"), "set_up_fleet"),),
    ),
    "yards": Words(
        _("Yards"),
        _("Where vehicles live and are worked on. Days, dates and the on-call number are its own."),
        (Way(_("Put a yard on file"), "yard_new"), Way(_("All yards"), "yard_list")),
    ),
    "people": Words(
        _("People"),
        _(
            "Everybody signs in under their own name: a repair is checked by somebody who did no "
            "line of it. Two who may check, and two who are trained, are needed at every yard."
        ),
        (Way(_("Take somebody on"), "person_new"), Way(_("All people"), "people")),
    ),
    "designs": Words(
        _("Designs and torque figures"),
        _(
            "A design says which joints a vehicle has. No torque figure comes with the program: "
            "one that is right for another make, year or bolt can be wrong for yours. Type each "
            "from the maker's service information, with the page it stands on."
        ),
        (Way(_("Put a design on file"), "design_new"), Way(_("All designs and figures"), "specs")),
    ),
    "tools": Words(
        _("Torque tools"),
        _("A wrench's readings are evidence only while its calibration is in date."),
        (Way(_("Put a tool on file"), "tool_new"), Way(_("All tools, calibrations"), "specs")),
    ),
    "rules": Words(
        _("Rules"),
        _(
            "When a repair is looked at again, how often a vehicle is inspected, what holds it. "
            "Each has its source; those marked own are ours, and yours to answer for."
        ),
        (Way(_("Look the rules over"), "set_up_rules"),),
    ),
    "vehicles": Words(
        _("Vehicles"),
        _("All at once from a table, or one by one."),
        (
            Way(_("Bring vehicles in from a file"), "bring_in"),
            Way(_("Take one vehicle in"), "vehicle_new"),
        ),
    ),
    "first_looks": Words(
        _("First looks"),
        _("Until somebody has looked, nothing is known of a joint. Make the first looks due."),
        (Way(_("Make first looks due"), "first_looks"), Way(_("What is due"), "due")),
    ),
}


def next_step(found: SetUp) -> tuple[Step, Words] | None:
    """The first step that is not done, in words; None where all are."""
    return (found.next, WORDS[found.next.key]) if found.next else None
