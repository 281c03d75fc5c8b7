"""What a digest tells of one yard: what must not go out, what is late, what is soon, what waits."""

from dataclasses import dataclass
from datetime import datetime

from fleet.reads import due, tickets, vehicles
from fleet.reads.due import DueItem
from fleet.reads.few import Few, few
from fleet.records.models import Digest, DigestSent, Person, Ticket, Vehicle, Yard

# Of each list; a letter that nobody reads to its end is of no use (own).
MOST = 25
LAST = 5


@dataclass(frozen=True)
class DigestOfYard:
    yard: Yard
    held: Few[Vehicle]
    overdue: Few[DueItem]
    this_week: Few[DueItem]
    waiting: Few[Ticket]

    @property
    def is_empty(self) -> bool:
        return not (self.held or self.overdue or self.this_week or self.waiting)


def digest_of(person: Person, yard: Yard, now: datetime) -> DigestOfYard:
    """One yard as this person may see it now; the number of queries does not grow with it."""
    owed = due.owed(person).filter(vehicle__yard=yard)
    late = few(due.overdue(owed, [yard], now), MOST)
    soon = few(due.due_this_week(owed, [yard], now), MOST)
    items = due.due_items([*late.rows, *soon.rows], now)
    fleet = vehicles.vehicles(person).filter(yard=yard)
    jobs = tickets.tickets(person).filter(vehicle__yard=yard)
    return DigestOfYard(
        yard=yard,
        held=few(vehicles.held_vehicles(fleet), MOST),
        overdue=Few(items[: len(late.rows)], late.total),
        this_week=Few(items[len(late.rows) :], soon.total),
        waiting=few(tickets.waiting_for_check(jobs), MOST),
    )


def digest_of_person(person: Person) -> Digest | None:
    """What a person asked for, if they ever did."""
    return Digest.visible_to(person).prefetch_related("yards").first()


def last_digests(person: Person) -> list[DigestSent]:
    """How the last ones went, the newest first."""
    return list(DigestSent.visible_to(person)[:LAST])
