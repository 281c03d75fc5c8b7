"""How long work takes in the bay, by how many, and with what skill: rules as data."""

from collections.abc import Iterable
from dataclasses import dataclass

from fleet.reads.rules import RuleNow, rules
from fleet.records.models import Person, Recheck, Ticket, TicketLine, Vehicle, Visit

SET_UP, TICKET = "set_up", "ticket"
PAIR = 2
# Until a fleet loads its rules.
MINUTES = 15


@dataclass(frozen=True)
class Takes:
    """What one thing takes: minutes, people at once, and a skill beyond the role's own."""

    minutes: int
    people: int = 1
    skill: str = ""


@dataclass(frozen=True)
class Minutes:
    """The fleet's own figures; two queries when read."""

    rows: dict[str, RuleNow]
    methods: dict[str, RuleNow]

    @classmethod
    def now(cls) -> "Minutes":
        return cls(rules("minutes"), rules("method"))

    @property
    def set_up(self) -> int:
        """Once a visit: into the bay and out."""
        return self._of(SET_UP).minutes

    def recheck(self, row: Recheck) -> Takes:
        """Two people where its kind says so, or where every method that suffices takes two."""
        takes = self._of(row.kind)
        pair = bool(row.methods) and all(self._needs_two(code) for code in row.methods)
        return Takes(takes.minutes, PAIR, takes.skill) if pair else takes

    def ticket(self, open_lines: int) -> Takes:
        """By the lines still to be done; a ticket without one is looked at once."""
        takes = self._of(TICKET)
        return Takes(takes.minutes * max(open_lines, 1), takes.people, takes.skill)

    def _needs_two(self, code: str) -> bool:
        return code in self.methods and bool(self.methods[code].data.get("second_person"))

    def _of(self, key: str) -> Takes:
        if key not in self.rows:
            return Takes(MINUTES)
        data = self.rows[key].data
        return Takes(int(data["minutes"]), int(data.get("people", 1)), data.get("skill", ""))


def together(takes: Iterable[Takes], set_up: int) -> Takes:
    """What the work of one visit takes as a whole."""
    rows = list(takes)
    return Takes(
        set_up + sum(one.minutes for one in rows),
        max((one.people for one in rows), default=1),
        next((one.skill for one in rows if one.skill), ""),
    )


def owed_of(person: Person, key: str) -> int:
    """How many things that go by one of these rules are owed in the person's yards: rechecks of a
    kind, open lines of tickets, or visits that are planned."""
    if key == SET_UP:
        return Visit.visible_to(person).filter(state=Visit.State.PLANNED).count()
    if key == TICKET:
        lines = TicketLine.visible_to(person).filter(ticket__state=Ticket.State.OPEN)
        return lines.filter(state=TicketLine.State.OPEN).count()
    rows = Recheck.visible_to(person).filter(state__in=Recheck.LIVE, kind=key)
    return rows.exclude(vehicle__status=Vehicle.Status.OUT).count()
