"""The record up to a moment: what is on file now, or what was by the end of a day."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TypeVar

from django.db.models import Model, Q, QuerySet

from fleet.calc.calendar import start_of_local_day
from fleet.reads.days import zone_of
from fleet.records.models import TicketLine, TrailEntry, Yard

Row = TypeVar("Row", bound=Model)

# As it was known then: what the server had heard of. As it had happened: whenever it was entered.
KNOWN, HAPPENED = "known", "happened"
_COLUMN = {KNOWN: "received_at", HAPPENED: "occurred_at"}
_TRAIL_COLUMN = {KNOWN: "received_at", HAPPENED: "at"}


@dataclass(frozen=True)
class Cut:
    """A moment before which things count, and by which of a fact's two moments they do.

    Without a moment everything counts. State that is no fact (tickets, holds, rechecks) moves at
    the server's own moment, which the trail keeps.
    """

    before: datetime | None = None
    basis: str = KNOWN

    @property
    def column(self) -> str:
        return _COLUMN[self.basis]

    def facts(self, path: str = "") -> Q:
        """Facts that count; `path` leads to the fact and ends in two underscores."""
        return Q() if self.before is None else Q(**{f"{path}{self.column}__lt": self.before})

    def of(self, rows: QuerySet[Row]) -> QuerySet[Row]:
        return rows.filter(self.facts())

    def by(self, column: str) -> Q:
        """State with a moment of its own: whether it had moved by then."""
        if self.before is None:
            return Q(**{f"{column}__isnull": False})
        return Q(**{f"{column}__lt": self.before})

    def told(self, *verbs: str) -> QuerySet[TrailEntry]:
        """Steps of the trail that had been taken by then."""
        rows = TrailEntry.objects.filter(verb__in=verbs).order_by()
        if self.before is None:
            return rows
        return rows.filter(**{f"{_TRAIL_COLUMN[self.basis]}__lt": self.before})

    def has(self, step: TrailEntry) -> bool:
        """Whether a step of the trail had been taken by then."""
        moment: datetime = getattr(step, _TRAIL_COLUMN[self.basis])
        return self.before is None or moment < self.before

    def newest(self, path: str = "") -> Q:
        """What a line recorded, unless it had been recorded again by then."""
        again = f"{path}replaced_by"
        if self.before is None:
            return Q(**{again: None})
        return Q(**{again: None}) | Q(**{f"{again}__{self.column}__gte": self.before})

    def stands(self, path: str = "line_entry__") -> Q:
        """What a line recorded stands unless it was recorded again, or the line dropped."""
        line = f"{path}line"
        dropped = Q(**{f"{line}__state": TicketLine.State.DROPPED})
        if self.before is not None:
            gone = self.told("drop_line").filter(subject="ticketline").values("subject_id")
            dropped &= Q(**{f"{line}__in": gone})
        kept = self.newest(path) & ~dropped
        # A path to the entry itself: there the entry is the row.
        return kept if not path else Q(**{path.removesuffix("__"): None}) | kept


NOW = Cut()


def end_of(day: date, yard: Yard, basis: str = KNOWN) -> Cut:
    """All until the end of a day in the yard's zone."""
    return Cut(start_of_local_day(day + timedelta(days=1), zone_of(yard)), basis)
