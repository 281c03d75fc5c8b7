"""What the whole front end owes, and when each recheck falls due by the truck's own use."""

from datetime import date, timedelta
from typing import Any

import pytest

from fleet.operations import meters
from fleet.records.models import Joint, Recheck
from tests import build
from tests.operations.conftest import RETORQUE, House

FRAME, AXLE = "track_bar_frame_end", "track_bar_axle_end"


def owed(house: House, ladder: str = "track_bar", joint: str = FRAME) -> Recheck:
    where = {"joint": house.joint(joint)} if joint else {"joint": None}
    return Recheck.objects.get(vehicle=house.vehicle, ladder=ladder, state="owed", **where)


def retightened(house: House) -> Recheck:
    """The track bar's first rung is owed: 100 mi, 7 days."""
    house.repair(("retorque", FRAME, RETORQUE))
    return owed(house)


def state(row: Recheck) -> str:
    row.refresh_from_db()
    return row.state


def hold_joints(house: House) -> list[Joint]:
    return list(house.vehicle.joints.filter(kind__holds=True).select_related("kind"))


def walk(house: House, *, kind: str = "routine", method: str = "", skip: int = 0) -> None:
    """Every hold joint by the first method that can see play there, or by one for all."""
    looks = []
    for number, joint in enumerate(hold_joints(house)):
        code = "not_reached" if number < skip else "no_play"
        by = method or joint.kind.play_methods[0]
        looks.append(house.look(joint.kind.code, code, joint.side, method=by, reason="mud"))
    house.inspect(*looks, kind=kind)


@pytest.mark.parametrize(
    ("sheet", "paid"),
    [
        ({}, True),
        ({"kind": "annual"}, True),
        ({"kind": "recheck"}, False),
        ({"skip": 1}, False),
        # A look tells nothing of most joints.
        ({"method": "look"}, False),
    ],
)
def test_a_routine_needs_every_hold_joint_by_a_method_that_can_see_it(
    house: House, sheet: dict[str, Any], paid: bool
) -> None:
    routine = owed(house, "routine", "")
    house.later(days=50)
    walk(house, **sheet)
    assert (state(routine) == "done") is paid


def test_a_routine_done_starts_the_next_by_the_duty_of_the_day(house: House) -> None:
    """Gravel: 4,000 mi or 120 days (own)."""
    first = owed(house, "routine", "")
    house.later(days=50)
    walk(house)
    second = owed(house, "routine", "")
    assert second.follows == first
    assert second.due_on == house.now.date() + timedelta(days=120)
    assert second.due_use_si is not None
    assert second.due_use_si - (second.start_use_si or 0) == 6_437_376  # 4,000 mi in metres


def test_the_yearly_look_is_made_by_its_own_sheet(house: House) -> None:
    """At least once in the preceding 12 months (49 CFR 396.17)."""
    yearly = owed(house, "annual", "")
    assert yearly.due_on == date(2027, 9, 1)
    house.later(days=300)
    walk(house)
    assert state(yearly) == "owed"
    house.later(days=1)
    walk(house, kind="annual")
    assert state(yearly) == "done"
    assert owed(house, "annual", "").due_on == house.now.date() + timedelta(days=365)


def dry_steered(house: House, skip: str = "") -> None:
    joints = [j for j in hold_joints(house)
              if "dry_steer" in j.kind.play_methods and j.kind.code != skip]  # fmt: skip
    house.inspect(*[house.look(j.kind.code, "no_play", j.side, method="dry_steer") for j in joints],
                  kind="recheck")  # fmt: skip


def test_the_dry_steer_after_an_oscillation_looks_at_every_joint_that_it_can_tell(
    house: House,
) -> None:
    row = build.recheck(house.vehicle, kind="dry_steer", ladder="oscillation_closed",
                        methods=["dry_steer"], started_at=house.now,
                        due_on=house.now.date() + timedelta(days=7))  # fmt: skip
    house.later(days=1)
    dry_steered(house)
    assert state(row) == "owed"  # before half of its time
    house.later(days=4)
    dry_steered(house, skip=FRAME)
    assert state(row) == "owed"
    house.later(minutes=5)
    dry_steered(house)
    assert state(row) == "done"


# Projected dates -------------------------------------------------------------------------------


def test_a_recheck_falls_on_the_first_of_its_date_and_the_meter(house: House) -> None:
    for week in range(1, 9):
        # 30 miles a day: 100 miles are run in between three and four days.
        house.later(days=7)
        reading = meters.Reading(house.vehicle.pk, str(48_000 + 210 * week))
        meters.record_meter(house.technician, reading, at=house.now)
    first = retightened(house)
    today = house.now.date()
    assert first.use_on in (today + timedelta(days=3), today + timedelta(days=4))
    assert first.due_on == today + timedelta(days=7)
    assert first.falls_on == first.use_on
    assert first.use_on_low is not None
    assert first.use_on_high is not None
    assert first.use_on_low <= first.use_on <= first.use_on_high


def test_a_meter_past_the_limit_falls_on_the_day_it_was_read(house: House) -> None:
    first = retightened(house)
    house.later(days=2)
    reading = meters.Reading(house.vehicle.pk, "48,150")
    meters.record_meter(house.technician, reading, at=house.now)
    first.refresh_from_db()
    assert first.falls_on == house.now.date()
