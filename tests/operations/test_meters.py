"""Meter readings: what is refused, what a manager takes, and a truck that moves while held."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from fleet.operations import close_out, holds, meters
from fleet.operations.errors import NotAllowed, NotThere, Refused
from fleet.records.models import Hold, MeterReading, VehicleUse
from tests import build, people
from tests.operations.conftest import RETORQUE, House
from tests.operations.tables import heavy_truck, refusal, row_counts, undone


def read(house: House, typed: str, by: Any = None, **more: Any) -> MeterReading:
    reading = meters.Reading(more.pop("vehicle_id", house.vehicle.pk), typed, **more)
    return meters.record_meter(by or house.driver, reading, at=house.now).row


def used(house: House) -> int | None:
    return VehicleUse.objects.get(vehicle=house.vehicle).last_use_si


MILE = 1609.344


def test_a_reading_moves_the_truck_s_use(house: House) -> None:
    house.later(days=3)
    row = read(house, "48,120.5")
    assert row.use_si == used(house) == round(48_120.5 * MILE)
    assert (row.typed, float(row.value), row.unit) == ("48,120.5", 48_120.5, "mi")


REFUSED: list[tuple[str, str, dict[str, Any], str]] = [
    ("less than before", "47,999", {}, "meter_backwards"),
    ("further than a truck runs in a day", "49,501", {}, "meter_too_fast"),
    ("a month of days by the same measure", "93,001", {"days": 30}, "meter_too_fast"),
    ("no number", "lots", {}, "missing_number"),
    ("1e400", "1e400", {}, "exponent"),
    ("below zero", "-5", {}, "negative"),
    ("another unit's meter", "48,100", {"unit": "h"}, "meter_unit"),
    ("no unit at all", "48,100", {"unit": "ly"}, "meter_unit"),
]


def test_what_a_reading_is_refused_for(house: House, subtests: pytest.Subtests) -> None:
    for name, typed, more, code in REFUSED:
        with subtests.test(name), undone():
            given = dict(more)
            start = house.now
            house.later(days=float(given.pop("days", 1)))
            before = row_counts()
            found = refusal(read, house, typed, **given)
            assert found == {(code, "meter")}
            assert row_counts() == before
            house.now = start


def test_as_far_as_a_truck_runs_in_a_day_is_taken(house: House) -> None:
    house.later(days=1)
    assert read(house, "49,500").use_si == used(house)


def test_the_refusal_says_what_was_read_and_when_at_the_yard(house: House) -> None:
    house.later(days=1)
    with pytest.raises(Refused) as caught:
        read(house, "4,800")
    (problem,) = caught.value.problems
    assert "48,000 miles" in problem.message
    assert "Sep 1, 2026" in problem.message


def test_a_reading_from_the_future_is_refused(house: House) -> None:
    tomorrow = house.now + timedelta(days=1)
    assert refusal(lambda: read(house, "48,100", occurred_at=tomorrow)) == {
        ("in_the_future", "occurred_at")
    }


def test_one_that_comes_late_is_judged_by_its_neighbours(house: House) -> None:
    house.later(days=10)
    read(house, "48,500")
    between = house.now - timedelta(days=5)
    assert refusal(lambda: read(house, "48,501", occurred_at=between)) == {
        ("meter_backwards", "meter")
    }
    row = read(house, "48,250", occurred_at=between)
    assert row.occurred_at == between
    assert used(house) == round(48_500 * MILE)  # the last in time stays the last


def test_a_manager_takes_with_a_reason_what_the_checks_refuse(house: House) -> None:
    house.later(days=1)
    assert refusal(lambda: read(house, "60,000", reason="on a trailer")) == {
        ("meter_too_fast", "meter")
    }
    assert refusal(lambda: read(house, "60,000", by=house.manager)) == {("meter_too_fast", "meter")}
    row = read(house, "60,000", by=house.manager, reason="typed wrong on Monday")
    assert (row.reason, used(house)) == ("typed wrong on Monday", round(60_000 * MILE))


def test_a_new_meter_goes_on_where_the_old_one_stopped(house: House) -> None:
    house.later(days=1)
    read(house, "48,100")
    house.later(days=1)
    row = read(house, "7", new_meter=True)
    assert (row.kind, row.use_si) == ("new_meter", round(48_100 * MILE))
    house.later(days=1)
    read(house, "57")
    assert used(house) == pytest.approx(48_150 * MILE, abs=1)


def withdraw(house: House, row: MeterReading, reason: str = "misread", by: Any = None) -> Any:
    by = by or house.manager
    return meters.withdraw_reading(by, row.pk, reason, at=house.now).row


def test_a_wrong_reading_stays_on_file_and_counts_no_more(house: House) -> None:
    house.later(days=1)
    wrong = read(house, "49,400")
    house.later(hours=1)
    entry = withdraw(house, wrong)
    assert (entry.kind, entry.withdraws, entry.reason) == ("withdraws", wrong, "misread")
    assert MeterReading.objects.filter(pk=wrong.pk).exists()
    assert used(house) == round(48_000 * MILE)
    house.later(hours=1)
    read(house, "48,040")


def test_what_a_withdrawal_is_refused_for(house: House, subtests: pytest.Subtests) -> None:
    house.later(days=1)
    wrong = read(house, "48,200")
    house.later(days=1)
    swapped = read(house, "0", new_meter=True)
    house.later(days=1)
    read(house, "60")
    with undone():
        entry = withdraw(house, wrong)
        assert refusal(lambda: withdraw(house, wrong)) == {("withdrawn", "")}
        assert refusal(lambda: withdraw(house, entry)) == {("not_a_reading", "")}
    assert refusal(lambda: withdraw(house, wrong, " ")) == {("reason_missing", "reason")}
    assert refusal(lambda: withdraw(house, wrong, "x" * 201)) == {("too_long", "reason")}
    # What was read since counts on from the new meter.
    assert refusal(lambda: withdraw(house, swapped)) == {("counted_from", "")}
    assert refusal(withdraw, house, wrong, by=house.technician, raising=NotAllowed)
    stranger = type(house.driver)(people.person("Foreman", "manager", build.yard("Birch")))
    assert refusal(withdraw, house, wrong, by=stranger, raising=NotThere)


def test_an_hour_meter_counts_hours_only(house: House) -> None:
    truck = heavy_truck(house, "1,200")
    house.later(days=2)
    row = read(house, "1,212.5", vehicle_id=truck.pk)
    assert row.use_si == 1_212.5 * 3600
    house.later(days=1)
    assert refusal(lambda: read(house, "1,237", vehicle_id=truck.pk)) == {
        ("meter_too_fast", "meter")
    }
    assert refusal(lambda: read(house, "1,215", vehicle_id=truck.pk, unit="mi")) == {
        ("meter_unit", "meter")
    }


# Used while held -------------------------------------------------------------------------------


def used_holds(house: House) -> int:
    return Hold.objects.filter(reason="used_while_held", lifted_at=None).count()


def hold(house: House) -> Hold:
    return holds.place_hold(house.driver, house.vehicle.pk, "Bent", at=house.now).row


def test_a_meter_that_moves_while_held_raises_it_at_once(house: House) -> None:
    read(house, "48,000")
    hold(house)
    house.later(hours=20)
    read(house, "48,001")
    assert used_holds(house) == 0  # pushed about the yard
    house.later(hours=1)
    read(house, "48,003")
    assert used_holds(house) == 1
    house.later(hours=1)
    read(house, "48,010")
    assert used_holds(house) == 1  # raised once


def test_a_truck_that_stands_raises_nothing(house: House) -> None:
    house.later(hours=5)  # in which it may have been driven in
    hold(house)
    for _day in range(3):
        house.later(days=1)
        read(house, "48,020")
    assert used_holds(house) == 0


def test_it_counts_from_the_sheet_that_found_it_though_it_came_late(house: House) -> None:
    found = house.now
    house.later(hours=6)
    house.inspect(house.look("track_bar_frame_end", "play", method="dry_steer"),
                  occurred_at=found, meter="48,000")  # fmt: skip
    house.later(hours=1)
    read(house, "48,060")
    assert used_holds(house) == 1


def on_test(house: House) -> Any:
    ticket = house.ticket(("retorque", "track_bar_frame_end"))
    house.record(house.line(ticket, "retorque"), RETORQUE)
    read(house, "48,000")
    hold(house)
    house.check(ticket)
    out = close_out.Release("a helper", "county road", hours=2)
    close_out.release(house.colleague, ticket.pk, out, at=house.now)
    return ticket


def test_a_road_test_is_no_use_while_held(house: House) -> None:
    on_test(house)
    house.later(minutes=50)
    read(house, "48,020")
    assert used_holds(house) == 0
    house.later(hours=3)
    read(house, "48,021")
    house.later(hours=1)
    read(house, "48,040")
    assert used_holds(house) == 1


def test_back_from_the_test_it_stands_again_though_time_was_left(house: House) -> None:
    ticket = on_test(house)
    house.later(minutes=20)
    sheet = close_out.TestSheet(True)
    close_out.road_test(house.colleague, ticket.pk, sheet, at=house.now)
    read(house, "48,010")
    house.later(minutes=40)
    read(house, "48,030")
    assert used_holds(house) == 1


def test_once_asked_about_it_is_raised_again_only_by_new_use(house: House) -> None:
    read(house, "48,000")
    hold(house)
    house.later(hours=2)
    read(house, "48,050")
    raised = Hold.objects.get(reason="used_while_held")
    check = holds.Check(dry_steer=True, note="Moved by the night crew; looked over.")
    house.later(minutes=5)
    holds.lift_hold(house.manager, raised.pk, check, at=house.now)
    house.later(minutes=5)
    read(house, "48,050")
    assert used_holds(house) == 0
    house.later(hours=1)
    read(house, "48,070")
    assert used_holds(house) == 1


def test_daylight_saving_does_not_move_a_reading(house: House) -> None:
    """The clocks of Denver go back on 1 November 2026."""
    house.now = datetime(2026, 11, 1, 7, 30, tzinfo=UTC)
    read(house, "48,100")
    house.now = datetime(2026, 11, 1, 8, 30, tzinfo=UTC)
    assert read(house, "48,110").occurred_at > MeterReading.objects.earliest("id").occurred_at
