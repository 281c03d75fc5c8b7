"""Recheck compliance: what was owed, and whether it was done in time, by yard and month.

Each recheck counts once: in the month in which it was done in time, or fell due undone. What was
dropped (done again, joint not fitted) is owed no longer and counts nowhere.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Case, Count, DateTimeField, Q, QuerySet, Value, When
from django.db.models.functions import Coalesce, TruncDate, TruncMonth

from fleet.calc.calendar import start_of_local_day
from fleet.reads.days import today_at, zone_of
from fleet.reads.due import overdue
from fleet.records.models import Person, Recheck, Yard

S = Recheck.State


@dataclass(frozen=True)
class KeptRow:
    """One yard in one month. `owed` is all three together."""

    yard: Yard
    month: date
    in_time: int
    late: int
    missed: int

    @property
    def owed(self) -> int:
        return self.in_time + self.late + self.missed

    @property
    def share(self) -> float:
        """Done in time, of all that was owed."""
        return self.in_time / self.owed if self.owed else 0.0


def kept_on_time(
    person: Person, yards: Sequence[Yard], since: date | None, until: date | None, now: datetime
) -> list[KeptRow]:
    """By yard and month, oldest first; one query for each time zone and none for a row more."""
    by_zone: dict[ZoneInfo, list[Yard]] = defaultdict(list)
    for yard in yards:
        by_zone[zone_of(yard)].append(yard)
    found = [
        row
        for zone, here in by_zone.items()
        for row in _counted(person, here, zone, _Days(since, until), now)
    ]
    return sorted(found, key=lambda row: (row.yard.name, row.month))


@dataclass(frozen=True)
class _Days:
    since: date | None
    until: date | None


def _counted(
    person: Person, yards: list[Yard], zone: ZoneInfo, days: _Days, now: datetime
) -> Iterable[KeptRow]:
    rows = Recheck.visible_to(person).filter(vehicle__yard__in=yards).exclude(state=S.DROPPED)
    judged: QuerySet[Any] = _judged(rows, yards, zone, now).exclude(how="")
    if days.since is not None:
        judged = judged.filter(counts_at__gte=start_of_local_day(days.since, zone))
    if days.until is not None:
        after = start_of_local_day(days.until + timedelta(days=1), zone)
        judged = judged.filter(counts_at__lt=after)
    by_month = judged.annotate(month=TruncMonth("counts_at", tzinfo=zone)).order_by()
    told = by_month.values("vehicle__yard", "month").annotate(
        in_time=Count("pk", filter=Q(how="in_time")),
        late=Count("pk", filter=Q(how="late")),
        missed=Count("pk", filter=Q(how="missed")),
    )
    by_id = {yard.pk: yard for yard in yards}
    for row in told:
        month = row["month"].date()
        yard = by_id[row["vehicle__yard"]]
        yield KeptRow(yard, month, row["in_time"], row["late"], row["missed"])


def _judged(
    rows: QuerySet[Recheck], yards: list[Yard], zone: ZoneInfo, now: datetime
) -> QuerySet[Any]:
    """Each with how it was kept, and the moment in whose month it counts.

    The night's work writes when a recheck fell due; where it has not run yet, the date alone says.
    """
    done = Q(state=S.DONE)
    # By what its rule had set: putting it off does not make it kept.
    past_day = Q(due_on__isnull=False) & Q(done_on__gt=Coalesce("ruled_on", "due_on", "done_on"))
    undone = overdue(rows, yards, now).values("pk")
    return rows.annotate(done_on=TruncDate("done_at", tzinfo=zone)).annotate(
        how=Case(
            When(done & (Q(fell_due_at__isnull=False) | past_day), then=Value("late")),
            When(done, then=Value("in_time")),
            When(pk__in=undone, then=Value("missed")),
            default=Value(""),
        ),
        counts_at=Case(
            When(fell_due_at__isnull=False, then="fell_due_at"),
            When(done, then="done_at"),
            default=Value(now),
            output_field=DateTimeField(),
        ),
    )


def first_day(yards: Sequence[Yard], now: datetime) -> date:
    """The first of the month a year ago: what the report opens with."""
    today = min((today_at(yard, now) for yard in yards), default=now.date())
    return today.replace(year=today.year - 1, day=1)
