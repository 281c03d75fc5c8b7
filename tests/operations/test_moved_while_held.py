"""What a leave to move a held truck to the yard excuses of its meter, and what it does not."""

from datetime import timedelta

import pytest

from fleet.reads.yard_moves import move_on
from fleet.records.models import Hold
from tests import build
from tests.operations.conftest import House
from tests.operations.tables import undone
from tests.operations.test_yard_moves import decide, end, hold, read, used_holds


def test_driving_within_the_leave_is_no_use_while_held(house: House) -> None:
    read(house, "48,000")
    hold(house)
    decide(house, hours=2)
    house.later(minutes=50)
    read(house, "48,014")
    assert used_holds(house) == 0
    end(house, move_on(house.vehicle))  # type: ignore[arg-type]  # it stands
    house.later(days=1)
    read(house, "48,014")
    assert used_holds(house) == 0


USES: list[tuple[str, list[tuple[int, str]], int]] = [
    # what happened, (minutes after the hold, meter), how often it is raised; the leave stands
    # from minute 60 to minute 120 at 20 mph, the hold was placed at 48,000
    ("moved before there was leave", [(30, "48,009")], 1),
    ("moved within it", [(60, "48,000"), (110, "48,019")], 0),
    ("in the yard before, read after", [(60, "48,000"), (600, "48,019")], 0),
    ("driven on after it had lapsed", [(60, "48,000"), (115, "48,012"), (600, "48,040")], 1),
    ("further than its hour at its speed", [(600, "48,030")], 1),
    ("stood after", [(110, "48,012"), (600, "48,013")], 0),
]


def test_outside_the_leave_it_is_raised(house: House, subtests: pytest.Subtests) -> None:
    read(house, "48,000")
    hold(house)
    start = house.now
    house.now = start + timedelta(minutes=60)
    for what, readings, raised in USES:
        with subtests.test(what), undone():
            if readings[0][0] >= 60:
                house.now = start + timedelta(minutes=60)
                decide(house, hours=1)
            for minutes, typed in readings:
                house.now = start + timedelta(minutes=minutes)
                read(house, typed)
            assert used_holds(house) == raised


def test_after_it_has_arrived_it_stands_again_though_time_was_left(house: House) -> None:
    read(house, "48,000")
    hold(house)
    move = decide(house)
    house.later(minutes=30)
    end(house, move)
    read(house, "48,008")
    assert used_holds(house) == 0
    house.later(hours=2)
    read(house, "48,030")
    assert used_holds(house) == 1


def test_an_hour_meter_is_excused_the_hours_of_its_leave(house: House) -> None:
    truck = build.vehicle(house.yard, "H-1", design=house.design, meter_unit="h")
    house.vehicle = truck
    read(house, "1,200")
    hold(house)
    decide(house, hours=1)
    house.later(hours=3)
    read(house, "1,201")
    assert used_holds(house) == 0
    house.later(hours=3)
    read(house, "1,203")
    assert used_holds(house) == 1


def test_arriving_after_it_lapsed_is_use_while_held(house: House) -> None:
    hold(house)
    move = decide(house, hours=1)
    house.later(hours=2)
    end(house, move)
    assert Hold.objects.get(reason="used_while_held").text.startswith("It arrived after its leave")
