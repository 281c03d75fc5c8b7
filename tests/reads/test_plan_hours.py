"""Days of the plan by the yard's own clock: changed clocks, leap day, year end, other zones.

Dates of changed clocks: the IANA time zone database, by way of Python's zoneinfo.
"""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from fleet.reads.plan.facts import now_first, question
from fleet.reads.plan.hours import days_from, open_days, week_of
from fleet.reads.plan.span import Span
from fleet.reads.plan.visits import Names, lines_of_day
from fleet.records.models import Visit, Yard, YardPlan
from tests import people

NIGHT = [["00:00", "08:00"]] * 7


def opened(zone: str, day: date, hours: Any = NIGHT) -> Any:
    yard = Yard(name="Here", time_zone=zone)
    [found] = open_days(yard, YardPlan(yard=yard, hours=hours), {}, [day])
    return found


@pytest.mark.parametrize(
    ("day", "minutes"),
    [
        pytest.param(date(2026, 3, 8), 420, id="clocks go forward: an hour is not there"),
        pytest.param(date(2026, 11, 1), 540, id="clocks go back: an hour comes twice"),
        pytest.param(date(2026, 3, 9), 480, id="any other night"),
    ],
)
def test_minutes_are_those_that_pass(day: date, minutes: int) -> None:
    assert opened("America/Denver", day).minutes == minutes


def test_a_day_begins_and_ends_by_the_yards_clock() -> None:
    hours = [["07:30", "16:00"]] * 7
    found = opened("Pacific/Kiritimati", date(2026, 12, 31), hours)
    assert found.opens == datetime(2026, 12, 30, 17, 30, tzinfo=UTC)
    assert found.minutes == 510


def test_weeks_run_over_leap_day_and_year_end_without_a_gap() -> None:
    """2028 is a leap year: 28 and 29 February, 1 March (Gregorian calendar)."""
    days = days_from(date(2028, 2, 27), 4)
    assert [day.isoformat()[5:] for day in days] == ["02-27", "02-28", "02-29", "03-01"]
    # The week begins on Sunday, as the readers' calendars do (fleet/formats).
    assert week_of(date(2027, 1, 1)) == date(2026, 12, 27)
    assert week_of(date(2026, 12, 27)) == date(2026, 12, 27)


@pytest.mark.parametrize("zone", ["America/Denver", "Asia/Tokyo", "Pacific/Pago_Pago", "UTC"])
def test_the_first_day_to_plan_is_the_yards_own(zone: str) -> None:
    """A quarter of an hour after it has opened, its next day; before that, its today."""
    yard = Yard(name="Here", time_zone=zone)
    plan = YardPlan(yard=yard, hours=[["07:00", "15:00"]] * 7)
    today = date(2026, 12, 31)
    opens = opened(zone, today, plan.hours).opens
    assert now_first(yard, plan, opens) == today
    assert now_first(yard, plan, opens + timedelta(minutes=15)) == date(2027, 1, 1)


def test_visits_follow_each_other_over_the_hour_that_is_not_there() -> None:
    day = opened("America/Denver", date(2026, 3, 8))
    rows = [Visit(pk=n, bay=1, place=n, minutes=100, day=day.day) for n in (1, 2)]
    first, second = lines_of_day(day, rows, Names({}, {}))[1]
    assert (second.starts, first.ends) == (datetime(2026, 3, 8, 8, 40, tzinfo=UTC), second.starts)
    assert not second.over


def test_a_run_over_changed_clocks_offers_the_planner_the_minutes_there_are(db: None) -> None:
    yard = Yard.objects.create(name="Alder", slug="alder", time_zone="America/Denver")
    YardPlan.objects.create(yard=yard, hours=NIGHT)
    first = date(2026, 3, 7)
    span = Span(yard, first, date(2026, 3, 9), first)
    [offered] = question(people.scheduler(), [span]).yards
    assert list(offered.opening.values()) == [480, 420, 480]
