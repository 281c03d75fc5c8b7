"""What a line of Due says of a meter that can't tell a date, and of a vehicle that is laid up."""

from typing import Any

import pytest

from fleet.operations import meters, vehicles
from fleet.reads.due import due_items, with_all_shown
from fleet.records.models import Recheck, VehicleUse
from tests.operations.conftest import RETORQUE, House


def items(house: House) -> dict[str, Any]:
    rows = with_all_shown(Recheck.objects.filter(state__in=Recheck.LIVE))
    return {item.recheck.ladder: item for item in due_items(rows, house.now)}


def read(house: House, meter: str) -> None:
    meters.record_meter(house.technician, meters.Reading(house.vehicle.pk, meter), at=house.now)


@pytest.mark.parametrize(
    ("days", "lacks"),
    [
        ([], "needs 2 more meter readings"),
        ([0], "needs 2 more meter readings"),  # two on one day are one
        ([4], "needs 1 more meter reading"),
        ([2, 2], "needs meter readings that are 7 days apart"),
        ([4, 4], ""),
    ],
)
def test_it_says_how_many_readings_are_missing(house: House, days: list[int], lacks: str) -> None:
    """A rate needs three days of readings over a week; the first came with the vehicle."""
    for number, length in enumerate(days, start=1):
        house.later(days=length, hours=1)
        read(house, f"{48_000 + 100 * number:,}")
    assert items(house)["routine"].use_lacks == lacks


def test_a_meter_never_read_needs_all_of_them(house: House) -> None:
    VehicleUse.objects.all().delete()
    assert items(house)["routine"].use_lacks == "needs 3 more meter readings"


def test_what_is_owed_by_date_alone_lacks_no_reading(house: House) -> None:
    assert items(house)["annual"].use_lacks == ""


def test_laid_up_its_retorque_waits_and_its_yearly_look_does_not(house: House) -> None:
    house.repair(("retorque", "track_bar_frame_end", RETORQUE))
    assert not any(item.waits for item in items(house).values())
    vehicles.lay_up(house.manager, house.vehicle.pk, "waits for a hub", at=house.now)
    house.later(days=20)
    found = items(house)
    assert found["track_bar"].waits
    assert not found["track_bar"].late
    assert not found["annual"].waits
