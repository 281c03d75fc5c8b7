"""Exceptions of one vehicle: with a reason and an end, never from the law or a rule that holds."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from fleet.calc.calendar import local_date
from fleet.operations.actor import server_actor
from fleet.operations.errors import Conflict, NotAllowed, Refused
from fleet.operations.excepted import Exceptions
from fleet.operations.exceptions import (
    NewException,
    end_exception,
    preview_exception,
    set_exception,
)
from fleet.operations.roll import roll
from fleet.operations.rule_figures import Step
from fleet.reads.rules import RuleNow, rule
from fleet.records.models import Recheck, RuleException, TrailEntry, Vehicle
from tests import build
from tests.operations.conftest import House
from tests.operations.test_rule_change import every_hold_joint

LAST = date(2026, 9, 30)


def wanted(house: House, **changed: object) -> NewException:
    new = NewException(house.vehicle.pk, "routine", "routine", (Step("5000 mi", "150", "160"),),
                       LAST, "Stands by for the fair")  # fmt: skip
    return replace(new, **changed)  # type: ignore[arg-type]  # fields by name


def give(house: House, **changed: object) -> RuleException:
    return set_exception(house.manager, wanted(house, **changed), at=house.now).row


def refused(house: House, **changed: object) -> dict[str, str]:
    with pytest.raises(Refused) as found:
        give(house, **changed)
    return {problem.field: problem.code for problem in found.value.problems}


def routine(house: House) -> Recheck:
    return Recheck.objects.get(vehicle=house.vehicle, kind="routine", state__in=Recheck.LIVE)


def looked(house: House) -> int:
    """The days until the next routine look, after one that is made now."""
    house.inspect(*every_hold_joint(house))
    due = routine(house).due_on
    assert due is not None
    return (due - local_date(house.now, house.yard.time_zone)).days


def test_what_is_made_from_now_on_goes_by_it_and_what_is_owed_stays(house: House) -> None:
    before = routine(house).due_on
    row = give(house)
    assert routine(house).due_on == before
    house.later(days=1)
    assert looked(house) == 150
    assert routine(house).exception == row


def test_asked_for_what_is_owed_is_made_anew(house: House) -> None:
    first = routine(house)
    new = wanted(house, anew=True)
    told = preview_exception(house.manager, new, now=house.now)
    assert (told.owed, told.later) == (1, 1)
    row = set_exception(house.manager, new, at=house.now).row
    now = routine(house)
    assert (now.exception, now.due_on) == (row, told.first[0].falls_on)
    assert now.due_on == first.started_at.date() + timedelta(days=150)


@pytest.mark.parametrize(("after_midnight", "days"), [(False, 150), (True, 120)])
def test_it_ends_by_itself_at_the_yards_midnight(
    house: House, after_midnight: bool, days: int
) -> None:
    """Midnight of 1 October in Denver is 06:00 UTC; also where nothing ran that night."""
    row = give(house)
    house.now = house.now.replace(month=10, day=1, hour=6 if after_midnight else 5, minute=30)
    assert looked(house) == days
    roll(server_actor(), at=house.now)
    row.refresh_from_db()
    assert (row.ended_at is not None, row.ended_by) == (after_midnight, None)
    assert TrailEntry.objects.filter(verb="lapse_exception").count() == after_midnight


@pytest.mark.parametrize(
    ("changed", "field", "code"),
    [
        ({"key": "annual"}, "rule", "legal_date"),
        ({"kind": "ladder", "key": "track_bar"}, "rule", "hold_rule"),
        ({"kind": "ladder", "key": "wheel_nuts"}, "rule", "hold_rule"),
        ({"kind": "ladder", "key": "after_moved"}, "rule", "rule_unknown"),
        ({"kind": "setting", "key": "tool_interval_days"}, "rule", "rule_unknown"),
        ({"kind": "response", "key": "other"}, "rule", "rule_unknown"),
        ({"steps": (Step("9000 mi", "150", "160"),)}, "steps.0.distance", "past_twice"),
        ({"steps": (Step("5000 mi", "150", "160"),) * 2}, "steps.0.distance", "steps_wrong"),
        ({"ends_on": None}, "ends_on", "day_missing"),
        ({"ends_on": date(2026, 8, 31)}, "ends_on", "day_wrong"),
        ({"ends_on": date(2028, 1, 1)}, "ends_on", "day_wrong"),
        ({"reason": ""}, "reason", "reason_missing"),
    ],
)  # fmt: skip
def test_what_can_not_be_excepted_is_told(
    house: House, changed: dict[str, object], field: str, code: str
) -> None:
    assert refused(house, **changed) == {field: code}


def test_a_rule_that_has_come_to_hold_is_excepted_no_more(house: House) -> None:
    give(house, kind="ladder", key="link_bolts", steps=(Step("700 mi", "40", "30"),))
    plain = rule("ladder", "link_bolts")
    holds = RuleNow(plain.key, plain.version, {**plain.data, "hold_at_twice": True})
    found = Exceptions(house.vehicle, house.now)
    assert found.of(plain)[0].data["rungs"][0]["days"] == 40
    assert found.of(holds) == (holds, None)


def test_another_one_takes_its_place_and_two_managers_are_told(house: House) -> None:
    first = give(house)
    second = set_exception(house.manager, wanted(house, steps=(Step("4500 mi", "140", "150"),)),
                           at=house.now, seen=first.pk).row  # fmt: skip
    first.refresh_from_db()
    assert first.ended_by == house.manager.person
    assert RuleException.objects.get(ended_at=None) == second
    with pytest.raises(Conflict):
        set_exception(house.manager, wanted(house), at=house.now, seen=first.pk)


def test_it_is_ended_early_once(house: House) -> None:
    row = give(house)
    end_exception(house.manager, row.pk, "Back on the road", at=house.now)
    house.later(days=1)
    assert looked(house) == 120
    with pytest.raises(Conflict):
        end_exception(house.manager, row.pk, "Back on the road", at=house.now)


def test_another_vehicle_keeps_the_rule_and_a_technician_gives_none(house: House) -> None:
    other = build.vehicle(house.yard, "A-2", design=house.design)
    give(house, vehicle_id=other.pk)
    house.later(days=1)
    assert looked(house) == 120
    with pytest.raises(NotAllowed):
        set_exception(house.technician, wanted(house), at=house.now)
    assert Vehicle.objects.count() == 2
