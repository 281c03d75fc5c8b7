"""The days that a run plans, yard by yard, and who is named outside of them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q

from fleet.reads.days import today_at
from fleet.reads.plan.visits import PLANNED
from fleet.records.models import Person, PlanRun, Visit, Yard


@dataclass(frozen=True)
class Span:
    """What a run plans of one yard: from its own first day to the last of the run.

    `today` is the yard's own: what a day before it left undone is planned again.
    """

    yard: Yard
    first: date
    last: date
    today: date

    def holds(self, day: date) -> bool:
        return self.first <= day <= self.last


def spans_of(run: PlanRun, now: datetime) -> list[Span]:
    """The yard it was asked from, then the others by name; one query."""
    rows = sorted(run.over.select_related("yard"),
                  key=lambda row: (row.yard_id != run.yard_id, row.yard.name))  # fmt: skip
    return [Span(row.yard, row.first, run.last, today_at(row.yard, now)) for row in rows]


def named_outside(
    spans: Sequence[Span], people: Iterable[Person], days: Sequence[date]
) -> set[tuple[int, date]]:
    """Who of these is named for a visit that the run does not plan, and on which day; one query."""
    planned = Q()
    for span in spans:
        planned |= Q(yard=span.yard, day__range=(span.first, span.last))
    rows = Visit.objects.filter(state=PLANNED, day__range=(min(days), max(days)))
    named = rows.filter(people__in=list(people)).exclude(planned)
    return set(named.values_list("people", "day"))
