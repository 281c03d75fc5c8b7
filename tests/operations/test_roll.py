"""The yard's midnight, and trucks that are laid up."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from fleet.operations import holds, roll, vehicles
from fleet.operations.actor import server_actor
from fleet.records.models import Hold, Recheck, TrailEntry, Vehicle, Yard
from tests import build
from tests.operations.conftest import RETORQUE, House
from tests.operations.tables import refusal

FRAME = "track_bar_frame_end"


def owed(house: House) -> Recheck:
    house.repair(("retorque", FRAME, RETORQUE))
    return Recheck.objects.get(ladder="track_bar", joint=house.joint(), state="owed")


def night(at: datetime) -> int:
    return roll.roll(server_actor(), at=at)


# Midnight at the yard on 9 September: the day after the recheck's 8 September, in UTC.
MIDNIGHT = datetime(2026, 9, 9, 6, 0, tzinfo=UTC)


def test_a_day_after_its_date_it_is_missed_and_stays_owed(house: House) -> None:
    first = owed(house)
    assert night(MIDNIGHT - timedelta(seconds=1)) == 0
    assert night(MIDNIGHT) == 2  # both ends of the bar
    first.refresh_from_db()
    assert (first.state, first.fell_due_at) == ("missed", MIDNIGHT)
    assert first.state in Recheck.LIVE


def test_after_nights_on_which_nothing_ran_it_is_written_with_its_own_moment(house: House) -> None:
    first = owed(house)
    night(MIDNIGHT + timedelta(days=5))
    first.refresh_from_db()
    assert first.fell_due_at == MIDNIGHT


def test_a_second_roll_of_the_same_day_changes_nothing(house: House) -> None:
    owed(house)
    night(MIDNIGHT)
    before = TrailEntry.objects.count()
    assert night(MIDNIGHT) == 0
    Yard.objects.update(rolled_to=None)
    assert night(MIDNIGHT + timedelta(hours=1)) == 0
    assert TrailEntry.objects.count() == before


def test_past_its_miles_it_fell_due_with_the_reading_that_says_so(house: House) -> None:
    first = owed(house)
    who = house.driver.person
    build.meter(house.vehicle, 48_099, who, house.now + timedelta(days=1))
    past = build.meter(house.vehicle, 48_101, who, house.now + timedelta(days=2))
    night(house.now + timedelta(days=3))
    first.refresh_from_db()
    assert (first.state, first.fell_due_at) == ("missed", past.occurred_at)


def test_missed_by_twice_its_interval_a_track_bar_end_holds(house: House) -> None:
    first = owed(house)
    night(MIDNIGHT)
    assert not Hold.objects.filter(lifted_at=None).exists()
    night(house.now + timedelta(days=13))
    assert not Hold.objects.filter(lifted_at=None).exists()
    night(house.now + timedelta(days=14))
    hold = Hold.objects.filter(lifted_at=None).get(recheck=first)
    assert (hold.reason, hold.joint, hold.ticket) == ("missed", house.joint(), None)
    night(house.now + timedelta(days=15))
    assert Hold.objects.filter(recheck=first).count() == 1


def test_missed_by_twice_its_interval_wheel_nuts_hold(house: House) -> None:
    """Wheel off: 50 mi, 3 days, 2 h (own); held after 6 days. A pitman arm's nut holds nothing."""
    ticket = house.ticket()
    for kind, side in (("wheel_nuts", "left"), ("pitman_arm", "")):
        house.add_line(ticket, "retorque", kind, side)
    typed = {**RETORQUE, "studs_looked": True, "out_of_band_reason": "manual, page 3"}
    for line in ticket.lines.select_related("joint__kind"):
        if line.joint and line.joint.kind.code != "wheel_nuts":
            typed = {name: said for name, said in typed.items() if name != "studs_looked"}
        house.record(line, typed)
    house.check(ticket)
    house.test_drive(ticket)
    house.close(ticket)
    held = []
    for days in (5, 2):
        house.later(days=days)
        roll.roll(server_actor("task"), at=house.now)
        held.append({hold.joint.kind.code for hold in Hold.objects.filter(lifted_at=None)
                     if hold.joint})  # fmt: skip
    assert held == [set(), {"wheel_nuts"}]


def test_done_late_its_hold_is_then_lifted_by_a_manager(house: House) -> None:
    first = owed(house)
    house.later(days=15)
    night(house.now)
    house.tight()
    first.refresh_from_db()
    assert first.state == "done"
    hold = Hold.objects.get(recheck=first)
    check = holds.Check(dry_steer=True, note="Retorqued; both ends tight.")
    assert holds.lift_hold(house.manager, hold.pk, check, at=house.now).row.lifted_at


def test_a_rack_that_is_missed_holds_nothing(house: House) -> None:
    build.recheck(house.vehicle, kind="rack", ladder="steering_opened", due_in=-60,
                  started_at=house.now)  # fmt: skip
    night(house.now + timedelta(days=300))
    assert not Hold.objects.exists()


# Laid up ---------------------------------------------------------------------------------------


def lay_up(house: House) -> Any:
    return vehicles.lay_up(house.manager, house.vehicle.pk, "waits for a hub", at=house.now)


def bring_back(house: House) -> Any:
    return vehicles.bring_back(house.manager, house.vehicle.pk, at=house.now)


def test_retorque_days_stand_still_while_it_is_laid_up(house: House) -> None:
    first = owed(house)
    yearly = Recheck.objects.get(kind="annual")
    house.later(days=2)
    lay_up(house)
    house.later(days=100)
    night(house.now)
    first.refresh_from_db()
    assert first.state == "owed"
    started, due, law = first.started_at, first.due_on, yearly.due_on
    bring_back(house)
    first.refresh_from_db()
    yearly.refresh_from_db()
    assert due is not None
    assert first.due_on == due + timedelta(days=100)
    # Both ends of the interval move on, so that half of it is still half of seven days.
    assert first.started_at == started + timedelta(days=100)
    assert yearly.due_on == law


def test_what_was_owed_from_within_the_time_laid_up_stands_still_from_there(house: House) -> None:
    lay_up(house)
    house.later(days=10)
    first = owed(house)
    assert first.due_on is not None
    house.later(days=5)
    bring_back(house)
    due = first.due_on
    first.refresh_from_db()
    assert first.due_on == due + timedelta(days=5)


def test_all_due_work_is_done_before_it_goes_out(house: House) -> None:
    yearly = Recheck.objects.get(kind="annual")
    lay_up(house)
    house.later(days=366)
    night(house.now)
    yearly.refresh_from_db()
    assert yearly.state == "missed"
    assert refusal(lambda: bring_back(house)) == {("work_due", "")}
    assert Vehicle.objects.get().status == "laid_up"
    type(yearly).objects.filter(pk=yearly.pk).update(state="done", done_at=house.now)
    assert bring_back(house).row.status == "in_service"


def test_only_what_stands_is_brought_back_and_only_what_runs_is_laid_up(house: House) -> None:
    assert refusal(lambda: bring_back(house)) == {("status_wrong", "")}
    lay_up(house)
    assert refusal(lambda: lay_up(house)) == {("status_wrong", "")}


@pytest.mark.parametrize("days", [1, 40])
def test_a_truck_that_has_left_misses_nothing(house: House, days: int) -> None:
    owed(house)
    vehicles.let_go(house.manager, house.vehicle.pk, "sold", at=house.now)
    assert night(house.now + timedelta(days=days)) == 0
