"""A recheck put off: with a reason, for half its interval at most, never past a hold."""

from datetime import date, timedelta

import pytest

from fleet.operations import put_off as verbs
from fleet.operations import roll
from fleet.operations.actor import server_actor
from fleet.operations.errors import Conflict, NotAllowed, Refused
from fleet.operations.put_off import PutOff, put_off, take_put_off_back
from fleet.records.models import Hold, Recheck, TrailEntry
from tests import build
from tests.operations.conftest import RETORQUE, House

FRAME = "track_bar_frame_end"
WHY = "The shop is full"


def first(house: House) -> Recheck:
    """Owed on 8 September: 7 days, so 3 days more at most."""
    house.repair(("retorque", FRAME, RETORQUE))
    return Recheck.objects.get(ladder="track_bar", joint=house.joint(), state="owed")


def off(house: House, row: Recheck, day: int, reason: str = WHY, **more: object) -> Recheck:
    said = PutOff(row.pk, date(2026, 9, day), reason)
    return put_off(house.manager, said, at=house.now, **more).row  # type: ignore[arg-type]


def code(house: House, row: Recheck, day: int = 10, reason: str = WHY) -> str:
    with pytest.raises(Refused) as refused:
        off(house, row, day, reason)
    return refused.value.problems[0].code


def test_it_has_another_date_and_the_old_one_stays_in_the_trail(house: House) -> None:
    row = first(house)
    now = off(house, row, 10)
    assert (now.due_on, now.falls_on, now.ruled_on) == (date(2026, 9, 10),) * 2 + (row.due_on,)
    assert (now.put_off_by, now.put_off_reason) == (house.manager.person, WHY)
    entry = TrailEntry.objects.get(verb="put_off_recheck")
    assert (entry.before, entry.after) == ({"falls_on": "2026-09-08"}, {"falls_on": "2026-09-10"})
    # By the meter, half its distance more and no further.
    assert row.due_use_si is not None
    assert row.start_use_si is not None
    assert now.due_use_si is not None
    assert now.due_use_si - row.start_use_si == pytest.approx(
        1.5 * (row.due_use_si - row.start_use_si), abs=1
    )


def test_half_its_interval_more_is_the_most_however_often(house: House) -> None:
    row = first(house)
    assert code(house, row, 12) == "day_wrong"
    off(house, row, 11)
    assert code(house, row, 12) == "no_further"


@pytest.mark.parametrize(("day", "reason", "said"), [(8, WHY, "day_wrong"), (1, WHY, "day_wrong"),
                                                     (10, " ", "reason_missing")])  # fmt: skip
def test_not_earlier_and_not_without_a_reason(
    house: House, day: int, reason: str, said: str
) -> None:
    assert code(house, first(house), day, reason) == said


def test_a_hold_comes_when_it_would_have_come(house: House) -> None:
    """At twice the seven days of its rule: on 15 September, put off or not."""
    row = first(house)
    off(house, row, 11)
    roll.roll(server_actor(), at=house.later(days=13))
    assert not Hold.objects.filter(recheck=row, lifted_at=None).exists()
    roll.roll(server_actor(), at=house.later(days=1))
    assert Hold.objects.filter(recheck=row, lifted_at=None).exists()


def test_it_is_missed_only_after_the_day_it_was_put_off_to(house: House) -> None:
    row = first(house)
    off(house, row, 10)
    roll.roll(server_actor(), at=house.later(days=9))
    assert Recheck.objects.get(pk=row.pk).state == "owed"
    roll.roll(server_actor(), at=house.later(days=1))
    row.refresh_from_db()
    assert row.state == "missed"
    assert code(house, row, 12) == "late_already"


def test_a_look_at_half_of_what_the_rule_said_still_counts(house: House) -> None:
    row = first(house)
    off(house, row, 11)
    house.later(days=4)
    house.tight()
    row.refresh_from_db()
    assert row.state == "done"


def test_taken_back_the_rules_own_date_stands_again(house: House) -> None:
    row = first(house)
    off(house, row, 10)
    back = take_put_off_back(house.manager, row.pk, at=house.now).row
    assert (back.due_on, back.due_use_si, back.falls_on) == (
        row.due_on, row.due_use_si, row.falls_on
    )  # fmt: skip
    assert (back.put_off_by, back.put_off_reason, back.ruled_on) == (None, "", None)
    with pytest.raises(Conflict):
        take_put_off_back(house.manager, row.pk, at=house.now)


def test_a_legal_date_and_wheel_nuts_are_not_put_off(house: House) -> None:
    legal = build.recheck(house.vehicle, kind="annual", ladder="x", due_in=5)
    nuts = build.recheck(house.vehicle, kind="wheel_nuts", ladder="wheel_nuts", due_in=5)
    assert [code(house, row) for row in (legal, nuts)] == ["legal_date", "wheel_nuts"]


def test_of_two_schedulers_the_second_is_told(house: House) -> None:
    row = first(house)
    off(house, row, 9, seen=row.falls_on)
    with pytest.raises(Conflict):
        off(house, row, 10, seen=row.falls_on)


def test_a_technician_puts_nothing_off(house: House) -> None:
    row = first(house)
    with pytest.raises(NotAllowed):
        put_off(house.technician, PutOff(row.pk, row.falls_on + timedelta(days=1), WHY),
                at=house.now)  # fmt: skip
    assert verbs.MORE_USE < 1
