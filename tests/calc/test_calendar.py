"""Dates at a yard: on both daylight-saving days, at midnight, and where midnight is skipped."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.calc.calendar import is_due, local_date, share_used, start_of_local_day

ZONES = ["America/Denver", "America/Santiago", "Australia/Lord_Howe", "Asia/Kathmandu", "UTC"]
days = st.dates(date(2000, 1, 1), date(2037, 12, 31))


@pytest.mark.parametrize(
    ("day", "starts", "hours"),
    [
        pytest.param(date(2026, 3, 8), "2026-03-08T07:00", 23, id="clocks go forward"),
        pytest.param(date(2026, 11, 1), "2026-11-01T06:00", 25, id="clocks go back"),
        pytest.param(date(2026, 11, 25), "2026-11-25T07:00", 24, id="an ordinary day"),
    ],
)
def test_a_day_in_denver(day: date, starts: str, hours: int) -> None:
    begin = start_of_local_day(day, "America/Denver")
    end = start_of_local_day(day + timedelta(days=1), "America/Denver")
    assert begin == datetime.fromisoformat(starts).replace(tzinfo=UTC)
    assert end - begin == timedelta(hours=hours)


def test_the_day_turns_at_midnight_of_the_yard_not_of_greenwich() -> None:
    midnight = start_of_local_day(date(2026, 11, 25), "America/Denver")
    assert local_date(midnight, "America/Denver") == date(2026, 11, 25)
    assert local_date(midnight - timedelta(microseconds=1), "America/Denver") == date(2026, 11, 24)


def test_the_hour_that_comes_twice_is_one_date() -> None:
    for hour in (7, 8):
        moment = datetime(2026, 11, 1, hour, 30, tzinfo=UTC)
        assert local_date(moment, ZoneInfo("America/Denver")) == date(2026, 11, 1)


def test_where_midnight_itself_is_skipped_the_day_starts_at_one() -> None:
    """In Santiago clocks went from 24:00 to 01:00 on 7 September 2024 (time zone database)."""
    begin = start_of_local_day(date(2024, 9, 8), "America/Santiago")
    assert begin == datetime(2024, 9, 8, 4, tzinfo=UTC)
    assert local_date(begin, "America/Santiago") == date(2024, 9, 8)
    assert local_date(begin - timedelta(seconds=1), "America/Santiago") == date(2024, 9, 7)


@given(days, st.sampled_from(ZONES))
def test_a_day_starts_where_the_day_before_ends(day: date, zone: str) -> None:
    begin = start_of_local_day(day, zone)
    assert local_date(begin, zone) == day
    assert local_date(begin - timedelta(microseconds=1), zone) == day - timedelta(days=1)


def test_a_moment_without_a_zone_is_refused() -> None:
    with pytest.raises(ValueError, match="time zone"):
        local_date(datetime.fromisoformat("2026-11-25T06:00"), "UTC")


START, DUE = date(2026, 1, 1), date(2026, 1, 31)


@pytest.mark.parametrize(
    ("today", "use_now", "share"),
    [
        pytest.param(START, 1000, 0.0, id="at the start"),
        pytest.param(date(2026, 1, 16), 1000, 0.5, id="the date is ahead"),
        pytest.param(date(2026, 1, 16), 1900, 0.9, id="use is ahead"),
        pytest.param(DUE, 1000, 1.0, id="on the day"),
        pytest.param(date(2026, 1, 2), 2000, 1.0, id="at the mile"),
        pytest.param(date(2026, 3, 2), 1000, 2.0, id="twice the interval"),
        pytest.param(date(2025, 12, 1), 900, 0.0, id="before it began"),
    ],
)
def test_the_larger_share_counts(today: date, use_now: float, share: float) -> None:
    assert share_used(START, DUE, today, 1000, 2000, use_now) == pytest.approx(share)
    assert is_due(START, DUE, today, 1000, 2000, use_now) == (share >= 1)


def test_a_share_with_a_part_missing_is_left_out() -> None:
    assert share_used(START, DUE, date(2026, 1, 16), 1000, 2000, None) == 0.5
    assert share_used(START, None, date(2026, 6, 1), 1000, 2000, 1250) == 0.25
    assert share_used(None, None, None) == 0.0
    assert not is_due(None, None, None)


def test_an_interval_of_no_length_is_used_up_from_its_start() -> None:
    assert is_due(START, START, START)
    assert not is_due(START, START, START - timedelta(days=1))
    assert is_due(None, None, None, 1000, 1000, 1000)


@given(days, days, st.integers(1, 400))
def test_a_later_date_never_uses_less(one: date, other: date, length: int) -> None:
    due = START + timedelta(days=length)
    early, late = sorted((one, other))
    assert share_used(START, due, early) <= share_used(START, due, late)
