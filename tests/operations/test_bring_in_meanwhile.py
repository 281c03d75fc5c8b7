"""Rows are judged before the transaction: what happens meanwhile is not passed over."""

import io
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from fleet.operations import rebuild
from fleet.operations.actor import Actor
from fleet.operations.bring_in import import_vehicles, record_readings
from fleet.operations.judged_readings import Row, Tally
from fleet.operations.many_readings import judge_many, store_many
from fleet.operations.meters import Reading, record_meter, withdraw_reading
from fleet.operations.vehicles import NewVehicle, add_vehicle, change_vehicle
from fleet.operations.work import Work
from fleet.records.base import new_uid
from fleet.records.models import JointState, MeterReading, Recheck, TrailEntry, Vehicle, VehicleUse
from tests import build, people
from tests.operations.conftest import RETORQUE, TRACK_BAR, House

NOW = datetime(2026, 9, 20, 19, 0, tzinfo=UTC)


def reading(vehicle: Vehicle, typed: str, day: int, **more: Any) -> Reading:
    return Reading(vehicle.pk, typed, occurred_at=NOW - timedelta(days=20 - day), **more)


def judged(house: House, *readings: Reading) -> tuple[Work, Any]:
    work = Work(house.manager, NOW)
    return work, judge_many(work, [Row(one) for one in readings])


def stored(work: Work, ready: Any) -> Tally:
    return store_many(work, ready)


def test_a_reading_that_came_meanwhile_makes_a_row_run_backwards(house: House) -> None:
    work, ready = judged(house, reading(house.vehicle, "48,300", 18))
    record_meter(house.manager, reading(house.vehicle, "48,400", 17), at=NOW)
    before = MeterReading.objects.count()
    tally = stored(work, ready)
    assert [problem.code for _index, problem in tally.problems] == ["meter_backwards"]
    assert MeterReading.objects.count() == before


def test_the_same_reading_that_came_meanwhile_is_on_file(house: House) -> None:
    rows = [reading(house.vehicle, "48,300", 17), reading(house.vehicle, "48,400", 18)]
    work, ready = judged(house, *rows)
    record_meter(house.manager, rows[0], at=NOW)
    tally = stored(work, ready)
    assert (tally.added, tally.on_file, tally.problem_count) == (1, 1, 0)
    assert VehicleUse.objects.get(last_reading__typed="48,400").vehicle == house.vehicle
    assert list(rebuild.differences()) == []


def test_a_reading_withdrawn_meanwhile_no_longer_counts(house: House) -> None:
    wrong = record_meter(house.manager, reading(house.vehicle, "48,400", 16), at=NOW).row
    work, ready = judged(house, reading(house.vehicle, "48,500", 18))
    withdraw_reading(house.manager, wrong.pk, "another truck's", at=NOW)
    assert stored(work, ready).added == 1
    assert list(rebuild.differences()) == []


def test_a_vehicle_that_left_the_yard_meanwhile_is_not_there(house: House) -> None:
    own = Actor(people.person("Yard manager", "manager", house.yard))
    work = Work(own, NOW)
    ready = judge_many(work, [Row(reading(house.vehicle, "48,300", 18))])
    other = build.yard("Mesa Tank")
    change_vehicle(house.manager, house.vehicle.pk, {"yard_id": other.pk}, at=NOW)
    assert [problem.code for _index, problem in stored(work, ready).problems] == ["not_there"]


def test_an_identity_taken_meanwhile_by_another_vehicle_is_told(house: House) -> None:
    other, uid = build.vehicle(house.yard, "B-2"), new_uid()
    work, ready = judged(house, reading(house.vehicle, "48,300", 18, uid=uid))
    record_meter(house.manager, reading(other, "100", 18, uid=uid), at=NOW)
    assert [problem.code for _index, problem in stored(work, ready).problems] == ["uid_taken"]


def test_what_came_to_be_owed_meanwhile_is_projected(house: House) -> None:
    days = [reading(house.vehicle, f"{48_300 + 40 * day:,}", day) for day in range(10, 19)]
    work, ready = judged(house, *days)
    house.repair(("retorque", "track_bar_frame_end", RETORQUE))
    assert Recheck.objects.filter(joint__isnull=False).exists()
    assert stored(work, ready).problem_count == 0
    assert list(rebuild.differences()) == []


def test_joints_that_owe_several_looks_show_the_next_one(house: House) -> None:
    """As the rebuild has it, though only the dates of the rechecks have moved."""
    house.repair(("replace_track_bar", "track_bar_frame_end", TRACK_BAR))
    days = [reading(house.vehicle, f"{48_300 + 300 * day:,}", day) for day in range(2, 19)]
    assert record_readings(house.manager, days, at=NOW).added == len(days)
    assert JointState.objects.exclude(due_recheck=None).exists()
    assert list(rebuild.differences()) == []


def test_nothing_is_judged_twice_where_nothing_happened(house: House) -> None:
    work, ready = judged(house, reading(house.vehicle, "48,300", 18))
    uid = ready.by_vehicle[house.vehicle.pk].uids[0]
    stored(work, ready)
    assert MeterReading.objects.get(typed="48,300").uid == uid


class Meanwhile(io.BytesIO):
    """A file; while it is read, somebody else does something."""

    def __init__(self, data: bytes, do: Any) -> None:
        super().__init__(data)
        self.do = do

    def read(self, size: int | None = -1) -> bytes:
        do, self.do = self.do, None
        if do is not None:
            do()
        return super().read(size)


TITLES = "unit number,VIN,design,yard,duty,meter unit,meter\n"


@pytest.fixture
def line(house: House) -> str:
    return f"B-1,,{house.design.name},{house.yard.name},gravel,mi,1200\n"


def add(house: House, number: str) -> Vehicle:
    new = NewVehicle(number, house.design.pk, house.yard.pk, "gravel", "mi", "900")
    return add_vehicle(house.manager, new, at=NOW).row


def test_a_unit_number_taken_meanwhile_is_on_file_and_stays_as_it_is(
    house: House, line: str
) -> None:
    data = (TITLES + line + line.replace("B-1", "B-2")).encode()
    source = Meanwhile(data, lambda: add(house, "B-1"))
    report = import_vehicles(house.manager, source, at=NOW, dry_run=False)
    assert (report.added, report.on_file, report.written) == (1, 1, True)
    assert Vehicle.objects.get(unit_number="B-1").readings.get().typed == "900"
    assert TrailEntry.objects.filter(verb="add_vehicle").count() >= 2
    assert list(rebuild.differences()) == []


def test_a_name_that_went_meanwhile_is_told_and_nothing_comes_in(house: House, line: str) -> None:
    def rename() -> None:
        house.design.name = "Ridge 9"
        house.design.save()

    source = Meanwhile((TITLES + line).encode(), rename)
    report = import_vehicles(house.manager, source, at=NOW, dry_run=False)
    assert [(problem.row, problem.column) for problem in report.problems] == [(2, "design")]
    assert not Vehicle.objects.filter(unit_number="B-1").exists()
