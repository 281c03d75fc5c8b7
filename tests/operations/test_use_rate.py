"""The rate that is kept of a vehicle: replaced meters, hours, and readings that were wrong.

Figures are invented; each rate is reckoned by hand beside it.
"""

from datetime import timedelta

import pytest

from fleet.operations import meters
from fleet.records.models import MeterReading, Recheck, VehicleUse
from tests.operations.conftest import House
from tests.operations.tables import heavy_truck, refusal

MILE = 1609.344


def read(house: House, typed: str, **more: object) -> MeterReading:
    given = {"vehicle_id": house.vehicle.pk, "typed": typed, **more}
    return meters.record_meter(house.manager, meters.Reading(**given), at=house.now).row  # type: ignore[arg-type]  # named by the test


def weekly(house: House, start: int, weeks: int, miles: int = 350) -> int:
    for _week in range(weeks):
        house.later(days=7)
        start += miles
        read(house, f"{start:,}")
    return start


def rate(house: House) -> VehicleUse:
    return VehicleUse.objects.get(vehicle=house.vehicle)


def test_a_week_s_350_miles_is_50_a_day(house: House) -> None:
    weekly(house, 48_000, 10)
    use = rate(house)
    assert use.rate_likely == pytest.approx(50 * MILE, rel=1e-6)
    assert (use.rate_low or 0) < 50 * MILE < (use.rate_high or 0)


def test_days_with_a_dead_meter_do_not_count_as_days_at_rest(house: House) -> None:
    """Dead for five weeks, replaced, and read again: still 50 miles a day, not 33."""
    weekly(house, 48_000, 10)
    house.later(days=35)
    read(house, "3", new_meter=True)
    weekly(house, 3, 3)
    assert rate(house).rate_likely == pytest.approx(50 * MILE, rel=1e-6)


def test_an_old_meter_read_as_it_came_off_loses_nothing(house: House) -> None:
    weekly(house, 48_000, 3)  # 49,050
    house.later(days=7)
    read(house, "3", new_meter=True, old_meter="49,400")
    new, old = MeterReading.objects.order_by("-id")[:2]
    assert [(row.kind, row.typed, row.use_si) for row in (old, new)] == [
        ("read", "49,400", round(49_400 * MILE)),
        ("new_meter", "3", round(49_400 * MILE)),
    ]
    assert old.occurred_at == new.occurred_at
    weekly(house, 3, 1)
    assert rate(house).last_use_si == pytest.approx(49_750 * MILE, abs=1)
    assert rate(house).rate_likely == pytest.approx(50 * MILE, rel=1e-3)


def test_the_old_meter_s_figure_is_refused_at_its_own_field(house: House) -> None:
    house.later(days=1)
    said = [
        ({"new_meter": True, "old_meter": "lots"}, ("missing_number", "old_meter")),
        ({"new_meter": True, "old_meter": "99,999"}, ("meter_too_fast", "old_meter")),
        ({"old_meter": "48,100"}, ("not_replaced", "old_meter")),
    ]
    for more, problem in said:
        count = MeterReading.objects.count()
        assert refusal(lambda more=more: read(house, "3", **more)) == {problem}
        assert MeterReading.objects.count() == count


def test_more_than_24_hours_in_a_day_says_nothing_of_an_hour_meter(house: House) -> None:
    """A slip that a manager took: 900 hours in a week, where a week has 168."""
    truck = heavy_truck(house, "1,200")
    hours = 1_200
    for week in range(8):
        house.later(days=7)
        hours += 900 if week == 3 else 35
        read(house, str(hours), vehicle_id=truck.pk, reason="read twice" if week == 3 else "")
    use = VehicleUse.objects.get(vehicle=truck)
    assert use.rate_likely == pytest.approx(5 * 3600, rel=1e-6)
    assert use.rate_high is not None
    assert use.rate_high < 8 * 3600


def test_a_wrong_reading_bends_the_rate_until_it_is_withdrawn(house: House) -> None:
    at = weekly(house, 48_000, 6)
    house.later(days=7)
    wrong = read(house, f"{at + 3_500:,}")  # ten times a week's work: possible, and wrong
    bent = rate(house).rate_high
    meters.withdraw_reading(house.manager, wrong.pk, "read the trip meter", at=house.now)
    assert bent is not None
    assert (rate(house).rate_high or 0) < bent / 2


def test_what_is_owed_by_the_meter_moves_with_the_rate(house: House) -> None:
    """A routine look on gravel is owed 4,000 miles on: 80 days at 50 miles a day."""
    weekly(house, 48_000, 8)
    owed = Recheck.objects.get(vehicle=house.vehicle, kind="routine", state="owed")
    reached = house.now.date() + timedelta(days=(52_000 - 50_800) // 50)
    assert owed.use_on is not None
    assert abs((owed.use_on - reached).days) <= 1
    assert owed.use_on_low is not None
    assert owed.use_on_high is not None
    assert owed.use_on_low <= owed.use_on <= owed.use_on_high
