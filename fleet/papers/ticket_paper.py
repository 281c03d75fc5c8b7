"""A ticket on paper: its lines as found and as left, what is still to be written in, its steps."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from fleet.papers import blocks, vehicle_words
from fleet.papers.blocks import Block, Head
from fleet.papers.table import Column, marked
from fleet.papers.vehicle_file import subject
from fleet.reads.days import zone_of
from fleet.reads.line_words import Answered
from fleet.reads.pulls import as_pulled
from fleet.reads.ticket_facts import LineFacts, StepFacts
from fleet.records.inspections import mark_of
from fleet.records.models import Finding, Hold, Ticket, TicketLine, ToeReading, TorqueReading


@dataclass(frozen=True)
class LinePaper:
    """One line as the door hands it over: what was recorded, and the labels still without."""

    line: TicketLine
    name: str
    recorded: Sequence[Answered]
    blank: Sequence[str]
    pulls: Sequence[TorqueReading]
    facts: LineFacts


def ticket_paper(
    ticket: Ticket,
    lines: Sequence[LinePaper],
    steps: StepFacts,
    holds: Sequence[Hold],
    units: str,
    at: datetime,
) -> bytes:
    """The whole ticket as PDF."""
    vehicle = ticket.vehicle
    title = _("Ticket %(n)s") % {"n": ticket.pk}
    head = Head(title, subject(vehicle), at, zone_of(vehicle.yard), units)
    made = [*_opening(ticket, holds)]
    for line in lines:
        made += _line(line)
    if not lines:
        made.append(blocks.text(_("No line yet."), "soft"))
    return blocks.document(head, [*made, *_taken(steps), *_to_sign(ticket)])


def _opening(ticket: Ticket, holds: Sequence[Hold]) -> list[Block]:
    said = {"n": ticket.pk, "unit": ticket.vehicle.unit_number}
    opened = _("%(state)s. Opened by %(who)s, %(when)s.") % {
        "state": str(capfirst(ticket.get_state_display())),
        "who": ticket.opened_by.name,
        "when": vehicle_words.moment(ticket.opened_at),
    }
    return [
        blocks.heading(_("Ticket %(n)s: %(unit)s") % said, 1),
        *([blocks.text(ticket.title)] if ticket.title else []),
        blocks.text(opened),
        *_complaint(ticket),
        *(blocks.held(hold) for hold in holds),
        blocks.text(blocks.governs(), "caution"),
        blocks.heading(_("Lines")),
    ]


def _complaint(ticket: Ticket) -> list[Block]:
    if ticket.complaint is None:
        return []
    kind = ticket.complaint.get_kind_display()
    words = _("Answers the complaint: %(kind)s. %(text)s") % {
        "kind": kind,
        "text": ticket.complaint.text,
    }
    return [blocks.text(words.strip())]


def _line(one: LinePaper) -> list[Block]:
    state = one.line.get_state_display()
    made = [blocks.heading(f"{one.name} ({state})", 3)]
    if one.line.from_finding is not None:
        made.append(_from(one.line.from_finding))
    what = Column("what", _("What"), width=1.4)
    if one.recorded:
        columns = [what, Column("as", _("As recorded"), width=2)]
        made.append(
            blocks.grid(
                columns, [[each.label, marked(each.text, each.mark)] for each in one.recorded]
            )
        )
    if one.blank:
        columns = [what, Column("as", _("To be written in, where it applies"), width=2)]
        made.append(blocks.grid(columns, [[label, " "] for label in one.blank], tall=True))
    made += [blocks.text(_against(pull)) for pull in one.pulls]
    toes = [(one.facts.toe_found, _("As found")), (one.facts.toe_left, _("As left"))]
    made += [blocks.text(_toe(label, toe)) for toe, label in toes if toe is not None]
    if one.line.entry is not None:
        made.append(blocks.text(_recorded(one.line), "soft"))
    return made


def _from(finding: Finding) -> Block:
    words = _("From a finding: %(found)s") % {"found": vehicle_words.found(finding)}
    return blocks.text(words, "soft", mark_of(finding.code))


def _recorded(line: TicketLine) -> str:
    entry = line.entry
    if entry is None:
        return ""
    words = _("Recorded by %(who)s, %(when)s") % {
        "who": entry.by.name,
        "when": vehicle_words.moment(entry.occurred_at),
    }
    done = _("done by %(who)s") % {"who": entry.done_by} if entry.done_by else ""
    return f"{words}; {done}" if done else words


def _against(pull: TorqueReading) -> str:
    """The pull, what it was judged, and the figure with where that stands."""
    words = _("Torque: %(pull)s, %(band)s, tool %(tool)s.") % {
        "pull": as_pulled(pull),
        "band": pull.get_band_display(),
        "tool": pull.tool.code,
    }
    spec = vehicle_words.against(pull)
    against = _("Against %(spec)s.") % {"spec": spec}
    return f"{words} {against}" if spec else words


def _toe(label: str, toe: ToeReading) -> str:
    return _("%(label)s: behind %(rear)s; in front %(front)s.") % {
        "label": label,
        "rear": toe.rear_typed,
        "front": toe.front_typed,
    }


def _taken(steps: StepFacts) -> list[Block]:
    """Second checks, outings, road tests that were taken, oldest first."""
    told = vehicle_words.steps_told(steps.checks, steps.releases, steps.tests)
    if not told:
        return []
    return [blocks.heading(_("Steps taken")), *(blocks.text(words) for words in told)]


def _to_sign(ticket: Ticket) -> list[Block]:
    """What is signed by hand while the ticket is open."""
    if ticket.is_over:
        return [blocks.text(ticket.outcome)] if ticket.outcome else []
    return [
        blocks.heading(_("Second check and road test")),
        blocks.text(
            _(
                "Second check by somebody who did no line: dry steer on the floor, wheels chocked. "
                "Then out for the road test only, speed up in steps; the first sign of oscillation "
                "ends it. The hold stays until the ticket is closed."
            ),
            "caution",
        ),
        blocks.signs([_("Work done by"), _("Second check by"), _("Date and time")]),
        blocks.signs(
            [_("Road test: driver"), _("Place and top speed"), _("Passed, or what was felt")]
        ),
    ]  # fmt: skip
