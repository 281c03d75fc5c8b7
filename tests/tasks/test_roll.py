"""The yard's midnight: what fell due is missed, what is missed by far holds, over any pause."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from fleet.operations import moves, roll
from fleet.operations.actor import Actor, server_actor
from fleet.operations.errors import Conflict
from fleet.operations.vehicles import bring_back, lay_up
from fleet.records.models import Hold, Person, Recheck, TrailEntry, Vehicle, Yard
from tests import build

# Denver is seven hours behind UTC in winter and six in summer; the days of change in 2026 are
# March 8 and November 1 (15 U.S.C. 260a: second Sunday of March, first Sunday of November).
SPRING, AUTUMN = date(2026, 3, 8), date(2026, 11, 1)


def utc(day: date, hour: int, minute: int = 0) -> datetime:
    return datetime(day.year, day.month, day.day, hour, minute, tzinfo=UTC)


def owed(vehicle: Vehicle, due_on: date, days: int = 10, **extra: Any) -> Recheck:
    started = utc(due_on - timedelta(days=days), 18)
    return build.recheck(
        vehicle, build.joint(vehicle), due_on=due_on, falls_on=due_on, started_at=started, **extra
    )


@pytest.fixture
def truck(yard: Yard) -> Vehicle:
    return build.vehicle(yard)


def test_owed_through_its_day_and_missed_at_the_yards_midnight(boss: Actor, truck: Vehicle) -> None:
    due = date(2026, 1, 15)
    recheck = owed(truck, due)
    assert roll.roll(boss, at=utc(due + timedelta(days=1), 6, 59)) == 0
    assert roll.roll(boss, at=utc(due + timedelta(days=1), 7)) == 1
    recheck.refresh_from_db()
    assert recheck.state == Recheck.State.MISSED
    assert recheck.fell_due_at == utc(due + timedelta(days=1), 7)


@pytest.mark.parametrize(
    ("due", "midnight_after"),
    [
        (SPRING - timedelta(days=1), utc(SPRING, 7)),
        (SPRING, utc(SPRING + timedelta(days=1), 6)),
        (AUTUMN - timedelta(days=1), utc(AUTUMN, 6)),
        (AUTUMN, utc(AUTUMN + timedelta(days=1), 7)),
    ],
)
def test_on_both_days_when_the_clocks_change(
    boss: Actor, truck: Vehicle, due: date, midnight_after: datetime
) -> None:
    recheck = owed(truck, due)
    assert roll.roll(boss, at=midnight_after - timedelta(minutes=1)) == 0
    assert roll.roll(boss, at=midnight_after) == 1
    recheck.refresh_from_db()
    assert recheck.fell_due_at == midnight_after


def test_each_yard_has_a_midnight_of_its_own(boss: Actor, truck: Vehicle) -> None:
    east = build.vehicle(build.yard("Mesa Tank", time_zone="America/New_York"))
    due = date(2026, 1, 15)
    for vehicle in (truck, east):
        owed(vehicle, due)
    assert roll.roll(boss, at=utc(date(2026, 1, 16), 5)) == 1
    assert Recheck.objects.get(state="missed").vehicle == east
    assert roll.roll(boss, at=utc(date(2026, 1, 16), 7)) == 1


def test_nights_on_which_nothing_ran_are_caught_up(boss: Actor, truck: Vehicle, yard: Yard) -> None:
    roll.roll(boss, at=utc(date(2026, 1, 10), 12))
    recheck = owed(truck, date(2026, 1, 15))
    assert roll.roll(boss, at=utc(date(2026, 2, 20), 12)) == 1
    recheck.refresh_from_db()
    assert recheck.fell_due_at == utc(date(2026, 1, 16), 7), "the moment it fell due, not today"
    yard.refresh_from_db()
    assert yard.rolled_to == date(2026, 2, 20)


def test_rolled_twice_equals_once(boss: Actor, truck: Vehicle) -> None:
    owed(truck, date(2026, 1, 15), hold_at_twice=True)
    at = utc(date(2026, 2, 20), 12)
    assert roll.roll(boss, at=at) == 1
    told = TrailEntry.objects.count()
    Yard.objects.update(rolled_to=None)
    assert roll.roll(boss, at=at) == 0
    assert TrailEntry.objects.count() == told
    assert Hold.objects.count() == 1


def test_missed_by_the_meter_counts_from_the_reading_that_passed_it(
    boss: Actor, truck: Vehicle
) -> None:
    start = utc(date(2026, 1, 5), 18)
    recheck = build.recheck(
        truck, start_use_si=0, due_use_si=160_934, due_on=None, started_at=start,
        falls_on=date(2026, 3, 1),
    )  # fmt: skip
    build.meter(truck, 99, boss.person, at=start + timedelta(days=1))
    assert roll.roll(boss, at=start + timedelta(days=2)) == 0
    passed = start + timedelta(days=3)
    build.meter(truck, 120, boss.person, at=passed)
    build.meter(truck, 150, boss.person, at=passed + timedelta(days=1))
    assert roll.roll(boss, at=start + timedelta(days=6)) == 1
    recheck.refresh_from_db()
    assert recheck.fell_due_at == passed


def test_missed_may_still_be_done_late_and_never_be_missed_again(
    boss: Actor, truck: Vehicle
) -> None:
    recheck = owed(truck, date(2026, 1, 15))
    roll.roll(boss, at=utc(date(2026, 1, 20), 12))
    recheck.refresh_from_db()
    late = utc(date(2026, 1, 21), 18)
    moves.move(recheck, moves.RECHECK_MOVES, Recheck.State.DONE, done_at=late)
    recheck.refresh_from_db()
    assert (recheck.state, recheck.done_at) == (Recheck.State.DONE, late)
    with pytest.raises(Conflict):
        moves.move(recheck, moves.RECHECK_MOVES, Recheck.State.MISSED, fell_due_at=late)
    assert roll.roll(boss, at=utc(date(2026, 1, 25), 12)) == 0


def test_missed_by_twice_its_interval_holds(boss: Actor, truck: Vehicle) -> None:
    """Started on the 5th, ten days long: twice that is used up on the 25th."""
    recheck = owed(truck, date(2026, 1, 15), hold_at_twice=True)
    roll.roll(boss, at=utc(date(2026, 1, 24), 18))
    assert not Hold.objects.exists()
    roll.roll(boss, at=utc(date(2026, 1, 25), 18))
    hold = Hold.objects.get()
    assert (hold.vehicle, hold.recheck, hold.reason) == (truck, recheck, Hold.Reason.MISSED)
    roll.roll(boss, at=utc(date(2026, 1, 26), 18))
    assert Hold.objects.count() == 1


def test_what_does_not_hold_at_twice_never_does(boss: Actor, truck: Vehicle) -> None:
    owed(truck, date(2026, 1, 15))
    roll.roll(boss, at=utc(date(2026, 6, 1), 18))
    assert not Hold.objects.exists()


def test_a_laid_up_vehicle_stands_still_but_for_what_the_law_dates(
    boss: Actor, truck: Vehicle
) -> None:
    parked = utc(date(2026, 1, 10), 18)
    retorque = owed(truck, date(2026, 1, 15), hold_at_twice=True)
    yearly = build.recheck(
        truck, kind="annual", ladder="annual", due_on=date(2026, 1, 15),
        falls_on=date(2026, 1, 15), started_at=parked - timedelta(days=300),
    )  # fmt: skip
    lay_up(boss, truck.pk, "for parts", at=parked)
    assert roll.roll(boss, at=utc(date(2026, 3, 1), 18)) == 1
    yearly.refresh_from_db()
    retorque.refresh_from_db()
    assert (yearly.state, retorque.state) == ("missed", "owed")
    assert not Hold.objects.exists()

    back = utc(date(2026, 3, 1), 19)
    moves.move(yearly, moves.RECHECK_MOVES, Recheck.State.DONE, done_at=back)
    bring_back(boss, truck.pk, at=back)
    retorque.refresh_from_db()
    assert retorque.due_on == date(2026, 1, 15) + timedelta(days=50)
    assert roll.roll(boss, at=utc(date(2026, 3, 7), 18)) == 1
    retorque.refresh_from_db()
    assert retorque.state == "missed"


def test_a_vehicle_out_of_the_fleet_owes_nothing(boss: Actor, truck: Vehicle) -> None:
    owed(truck, date(2026, 1, 15))
    Vehicle.objects.filter(pk=truck.pk).update(status=Vehicle.Status.OUT)
    assert roll.roll(boss, at=utc(date(2026, 3, 1), 18)) == 0


def test_a_yard_that_fails_keeps_no_other_from_its_day(boss: Actor, truck: Vehicle) -> None:
    build.yard("Aspen", time_zone="Nowhere/Town")
    other = build.vehicle(build.yard("Mesa Tank"))
    owed(other, date(2026, 1, 15))
    with pytest.raises(ExceptionGroup, match="some yards"):
        roll.roll(boss, at=utc(date(2026, 2, 1), 12))
    assert Recheck.objects.get(vehicle=other).state == "missed"


def test_people_of_the_yard_see_it_under_the_servers_own_name(truck: Vehicle, boss: Actor) -> None:
    owed(truck, date(2026, 1, 15))
    roll.roll(server_actor(), at=utc(date(2026, 2, 1), 12))
    entry = TrailEntry.objects.get(verb="miss_recheck")
    assert (entry.actor_id, entry.door) == (server_actor().person.pk, "task")
    assert server_actor().person not in Person.visible_to(boss.person)
