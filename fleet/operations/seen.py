"""What somebody had before them when they wrote: nothing stands in place of unseen work."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.utils.translation import gettext as _

from fleet.operations.errors import Conflict, Problem
from fleet.records.models import LineEntry, Ticket, TicketLine

CHANGED = "changed_meanwhile"


@dataclass(frozen=True)
class Saw:
    """The entry that stood on a line, by its uid; None where none stood."""

    entry: UUID | None


class Changed(Conflict):
    """Others recorded work meanwhile; `theirs` is that work, for whoever decides."""

    def __init__(self, problem: Problem, entries: Iterable[LineEntry]) -> None:
        super().__init__((problem,))
        self.theirs = [told(entry) for entry in entries]


def told(entry: LineEntry) -> dict[str, Any]:
    """An entry as somebody else is shown it: by whom, when, and what was typed."""
    return {
        "uid": str(entry.uid),
        "line": entry.line_id,
        "by": entry.by_id,
        "by_name": entry.by.name,
        "at": entry.occurred_at.isoformat(),
        "typed": {name: figure["typed"] for name, figure in entry.data.items()},
    }


def same_entry(line: TicketLine, saw: Saw | None) -> None:
    """Raise Changed unless the line still stands as it was seen. Needs the vehicle's lock."""
    stands = line.entry.uid if line.entry else None
    if saw is None or saw.entry == stands:
        return
    who = line.entry.by.name if line.entry else ""
    message = _(
        "%(who)s recorded this line meanwhile: look at it, then leave theirs or send yours in "
        "its place."
    ) % {"who": who}
    raise Changed(Problem(CHANGED, message, line_id=line.pk), [line.entry] if line.entry else [])


def same_work(ticket: Ticket, saw: frozenset[UUID] | None) -> None:
    """The same for all lines of a ticket: a check or a close is of the work that was seen."""
    if saw is None:
        return
    rows = LineEntry.objects.filter(line__ticket=ticket, replaced_by=None).select_related("by")
    standing = list(rows.exclude(line__state=TicketLine.State.DROPPED))
    if {entry.uid for entry in standing} != saw:
        message = _(
            "Work on this ticket was recorded meanwhile: look at all lines, then say again."
        )
        unseen = [entry for entry in standing if entry.uid not in saw]
        raise Changed(Problem(CHANGED, message), unseen)
