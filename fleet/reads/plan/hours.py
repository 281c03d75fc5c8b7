"""When a yard is open and a person is there, by the yard's own wall clock."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.utils import formats
from django.utils.translation import gettext as _

from fleet.reads.days import zone_of
from fleet.records.models import PersonPlan, Yard, YardPlan

WEEK = 7
MINUTE = timedelta(minutes=1)


@dataclass(frozen=True)
class Day:
    """One local day of a yard: from when to when it works, or why it does not."""

    day: date
    opens: datetime | None = None
    closes: datetime | None = None
    shut: str = ""

    @property
    def minutes(self) -> int:
        """Minutes that pass, not those the clock shows: on a night of changed clocks they differ.

        >>> from zoneinfo import ZoneInfo
        >>> zone = ZoneInfo("America/Denver")
        >>> Day(date(2026, 3, 8), datetime(2026, 3, 8, 0, tzinfo=zone),
        ...     datetime(2026, 3, 8, 8, tzinfo=zone)).minutes
        420
        """
        if self.opens is None or self.closes is None:
            return 0
        return int((self.closes.astimezone(UTC) - self.opens.astimezone(UTC)) / MINUTE)


def week_of(day: date) -> date:
    """The first day of its week, as the reader's calendar begins it."""
    begins = int(formats.get_format("FIRST_DAY_OF_WEEK"))
    return day - timedelta(days=(day.isoweekday() - begins) % WEEK)


def days_from(first: date, count: int = WEEK) -> list[date]:
    return [first + timedelta(days=n) for n in range(count)]


def open_days(
    yard: Yard, plan: YardPlan | None, closed: Mapping[date, str], days: Iterable[date]
) -> list[Day]:
    """Each day as the yard works it. A yard without hours on file is shut."""
    return [_open_day(zone_of(yard), plan, closed, day) for day in days]


def _open_day(zone: ZoneInfo, plan: YardPlan | None, closed: Mapping[date, str], day: date) -> Day:
    if day in closed:
        return Day(day, shut=closed[day])
    said = plan.hours[day.weekday()] if plan and len(plan.hours) == WEEK else None
    if not said:
        return Day(day, shut=_("no working day"))
    return Day(day, at(day, said[0], zone), at(day, said[1], zone))


def at(day: date, clock: str, zone: ZoneInfo) -> datetime:
    """A moment by the wall clock: "07:30" on a day. One that is skipped is as much later."""
    return datetime.combine(day, time.fromisoformat(clock), tzinfo=zone).astimezone(UTC)


def minutes_of(plan: PersonPlan | None, day: date) -> int:
    """Minutes of front-end work that a person gives on a weekday; days off are not in it."""
    if plan is None or len(plan.minutes) != WEEK:
        return 0
    return int(plan.minutes[day.weekday()])
