"""A day is the yard's day: the same moment may be two dates at two yards."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from django.db.models import Q

from fleet.calc.calendar import local_date
from fleet.records.models import Yard


def zone_of(yard: Yard | None) -> ZoneInfo:
    """A yard's zone; UTC where there is no yard or its zone is not known here."""
    try:
        return ZoneInfo(yard.time_zone if yard else "UTC")
    except (ZoneInfoNotFoundError, ValueError):
        return ZoneInfo("UTC")


def today_at(yard: Yard | None, now: datetime) -> date:
    return local_date(now, zone_of(yard))


def by_day(yards: Iterable[Yard], now: datetime) -> dict[date, list[int]]:
    """The yards grouped by the date it is there now: never more than three groups on Earth."""
    groups: dict[date, list[int]] = defaultdict(list)
    for yard in yards:
        groups[today_at(yard, now)].append(yard.pk)
    return dict(groups)


def on_each_yards_day(yards: Iterable[Yard], now: datetime, path: str, **limits: int) -> Q:
    """A condition on dates, each yard judged by its own day.

    `limits` are lookups in days from today: `falls_on__lt=0`, `falls_on__lte=7`.
    """
    wanted = Q(pk__in=[])
    for today, ids in by_day(yards, now).items():
        dates = {name: today + timedelta(days=days) for name, days in limits.items()}
        wanted |= Q(**{f"{path}__in": ids}, **dates)
    return wanted
