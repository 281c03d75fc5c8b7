"""State rebuilt from the facts equals the state kept, whatever came late."""

import random
from datetime import timedelta
from io import StringIO
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from fleet.operations import rebuild
from fleet.operations.bring_in import record_readings
from fleet.operations.inspect import Sheet, record_inspection
from fleet.operations.meters import Reading, record_meter, withdraw_reading
from fleet.operations.vehicles import bring_back, lay_up
from fleet.records.models import Joint, JointState, MeterReading, Recheck, VehicleUse
from tests.operations.conftest import RETORQUE, TRACK_BAR, House


def said() -> list[str]:
    return [str(difference) for difference in rebuild.differences()]


def snapshot() -> list[Any]:
    projected = ("pk", "falls_on", "use_on_low", "use_on", "use_on_high")
    return [
        list(VehicleUse.objects.order_by("vehicle").values()),
        list(JointState.objects.order_by("joint").values()),
        list(Recheck.objects.order_by("pk").values(*projected)),
    ]


def test_a_new_vehicle_has_nothing_to_mend(house: House) -> None:
    assert said() == []


def test_rebuilt_equals_kept_after_a_life_told_out_of_order(house: House) -> None:
    """Readings and sheets reach the server late, in any order, between repairs."""
    house.repair(("replace_track_bar", "track_bar_frame_end", TRACK_BAR))
    seeded = random.Random(3)
    house.later(days=60)
    moments = [house.now - timedelta(days=d, hours=seeded.randint(0, 9)) for d in range(1, 50, 4)]
    seeded.shuffle(moments)
    start = min(moments)
    for turn, when in enumerate(moments):
        miles = 48_100 + round((when - start).total_seconds() / 86_400 * 35)
        reading = Reading(house.vehicle.pk, str(miles), occurred_at=when)
        if turn % 3:
            record_meter(house.technician, reading, at=house.now)
        else:
            record_readings(house.manager, [reading], at=house.now)
        code = seeded.choice(["moved", "tight"])
        extra = {"degrees": "12"} if code == "moved" else {}
        look = house.look(
            "track_bar_frame_end", code, method="wrench", torque="125 lbf·ft",
            tool_id=house.tool.pk, **extra,
        )  # fmt: skip
        sheet = Sheet(house.vehicle.pk, "retorque", (look,), at_wheel="a helper", occurred_at=when)
        record_inspection(house.technician, sheet, at=house.now)
        assert said() == [], f"after {when}"
    middle = MeterReading.objects.order_by("occurred_at")[5]
    withdraw_reading(house.manager, middle.pk, "another truck's", at=house.now)
    assert said() == []

    kept = snapshot()
    assert rebuild.rebuild(house.manager, at=house.later(days=3)) == 1
    assert snapshot() == kept
    assert Recheck.objects.filter(state__in=Recheck.LIVE).count() > 3


def test_rebuilt_equals_kept_over_a_time_laid_up(house: House) -> None:
    house.repair(("retorque", "track_bar_frame_end", RETORQUE))
    lay_up(house.manager, house.vehicle.pk, "season", at=house.later(days=2))
    bring_back(house.manager, house.vehicle.pk, at=house.later(days=30))
    assert said() == []


@pytest.fixture
def spoiled(house: House) -> House:
    """States changed behind the back of the program."""
    house.moved()
    joint = house.joint()
    JointState.objects.filter(joint=joint).update(mark="no_play", loosenings=9)
    VehicleUse.objects.update(last_use_si=1)
    JointState.objects.filter(joint=Joint.objects.exclude(pk=joint.pk).first()).delete()
    return house


def test_what_was_changed_by_hand_is_told_and_mended(spoiled: House) -> None:
    told = said()
    assert any("mark is no_play, should be moved" in line for line in told)
    assert any("loosenings is 9, should be 1" in line for line in told)
    assert any("meter: last_use_si is 1," in line for line in told)
    assert any("state is None" in line for line in told)
    rebuild.rebuild(spoiled.manager, at=spoiled.now)
    assert said() == []


def test_the_command_compares_without_writing_and_mends_when_asked(spoiled: House) -> None:
    output, kept = StringIO(), snapshot()
    with pytest.raises(CommandError) as failed:
        call_command("rebuild_state", "--check", stdout=output)
    assert failed.value.returncode == 1
    assert "A-101" in output.getvalue()
    assert snapshot() == kept
    call_command("rebuild_state", stdout=output)
    assert "1 vehicles rebuilt" in output.getvalue()
    call_command("rebuild_state", "--check", stdout=output)
    assert "What is kept is what the facts say" in output.getvalue()
