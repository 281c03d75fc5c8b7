"""Pins and locked days that can't all be kept: the plan says which, and no more than needed."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from fleet.calc.planning import (
    Assignment,
    Clash,
    Effort,
    Limit,
    NoPlan,
    Person,
    Pin,
    Plan,
    Standing,
    Work,
    Yard,
    plan_visits,
)

MONDAY = date(2026, 3, 2)
TUESDAY = MONDAY + timedelta(days=1)
DAYS = [MONDAY, TUESDAY]
HOURS = dict.fromkeys(DAYS, 240)
BASIN, FAR = Yard("Basin", 1, HOURS), Yard("Far", 1, HOURS, travel_minutes=60)
STEERING = frozenset({"steering"})
ANA = Person("ana", "Basin", HOURS, STEERING, frozenset({"Far"}))
BEN = Person("ben", "Basin", HOURS)


def work(key: str, minutes: int = 60, vehicle: str = "", people: int = 1, skill: str = "") -> Work:
    skills = frozenset({skill} if skill else ())
    return Work(key, vehicle or f"T-{key}", "Basin", minutes, MONDAY, people=people, skills=skills)


def plan(owed: Sequence[Work], standing: Standing) -> Plan:
    effort = Effort(seconds=300, rounds=20)
    return plan_visits(owed, [BASIN, FAR], [ANA, BEN], DAYS, standing, effort)


def clashes(owed: Sequence[Work], standing: Standing) -> tuple[Clash, ...]:
    with pytest.raises(NoPlan) as found:
        plan(owed, standing)
    return found.value.clashes


ALONE: dict[str, tuple[Work, Pin, dict[str, Any], Limit]] = {
    "the vehicle is away": (
        work("a"), Pin("a", MONDAY), {"away": {"T-a": frozenset({MONDAY})}}, Limit.VEHICLE_AWAY,
    ),
    "the day is not of the plan": (
        work("a"), Pin("a", MONDAY + timedelta(days=9)), {}, Limit.CLOSED,
    ),
    "no such yard": (work("a"), Pin("a", MONDAY, "Nowhere"), {}, Limit.NO_SUCH_YARD),
    "the day is locked": (
        work("a"), Pin("a", MONDAY), {"locked": frozenset({("Basin", MONDAY)})}, Limit.LOCK,
    ),
    "one is named and it takes two": (
        work("a", people=2), Pin("a", MONDAY, None, ("ana",)), {}, Limit.PAIR,
    ),
    "the named can't do it": (
        work("a", skill="steering"), Pin("a", MONDAY, None, ("ben",)), {}, Limit.PERSON_SKILL,
    ),
    "the named does not go there": (
        work("a"), Pin("a", MONDAY, "Far", ("ben",)), {}, Limit.PERSON_THERE,
    ),
    "it is longer than the day": (work("a", 235), Pin("a", MONDAY), {}, Limit.BAY_MINUTES),
    "two can't do it": (
        work("a", people=2, skill="steering"), Pin("a", MONDAY), {}, Limit.PEOPLE_THERE,
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", ALONE)
def test_a_pin_names_what_it_runs_into(name: str) -> None:
    owed, pin, more, limit = ALONE[name]
    found = clashes([owed, work("b")], Standing(pins=(pin,), **more))
    assert limit in {one for clash in found for one in clash.limits}
    assert {clash.work for clash in found} == {("a",)}


def test_only_the_pins_that_clash_are_named_and_each_of_them_is_needed() -> None:
    owed = [work("a", 100), work("b", 100), work("c", 20), work("d", 100)]
    pins = tuple(Pin(one.key, MONDAY) for one in owed)
    (clash,) = clashes(owed, Standing(pins=pins))
    assert clash.limits == (Limit.BAY_MINUTES,)
    assert (clash.day, clash.yards) == (MONDAY, ("Basin",))
    for key in clash.work:
        left = tuple(pin for pin in pins if pin.work in clash.work and pin.work != key)
        assert plan(owed, Standing(pins=left)).assignments


def test_a_vehicle_and_a_person_are_in_one_yard_a_day() -> None:
    owed = [work("a", vehicle="T-1"), work("b", vehicle="T-1"), work("c")]
    pins = (Pin("a", MONDAY, None, ("ana",)), Pin("b", MONDAY, "Far", ("ana",)))
    found = clashes(owed, Standing(pins=pins))
    assert {(one.limits, one.work) for one in found} == {
        ((Limit.VEHICLE_ONE_YARD,), ("a", "b")),
        ((Limit.PERSON_ONE_YARD,), ("a", "b")),
    }


def test_no_more_people_are_named_than_may_come() -> None:
    far = Yard("Far", 2, HOURS, travel_minutes=60, crew=1)
    people = [replace(one, yards=frozenset({"Far"})) for one in (ANA, BEN)]
    pins = (Pin("a", MONDAY, "Far", ("ana",)), Pin("b", MONDAY, "Far", ("ben",)))
    with pytest.raises(NoPlan) as found:
        plan_visits([work("a"), work("b")], [BASIN, far], people, DAYS, Standing(pins=pins))
    (clash,) = found.value.clashes
    assert (clash.limits, clash.work, clash.people) == ((Limit.CREW,), ("a", "b"), ("ana", "ben"))


def test_a_locked_day_says_who_is_not_there_any_more() -> None:
    told = Assignment("a", "T-a", "Basin", MONDAY, 1, 1, 15, 60, ("cal",))
    locked = frozenset({("Basin", MONDAY)})
    (clash,) = clashes([work("a")], Standing(locked=locked, previous=(told,)))
    assert (clash.limits, clash.people) == ((Limit.LOCK, Limit.PERSON_THERE), ("cal",))


def test_a_pin_sends_people_and_one_on_another_day_is_kept() -> None:
    owed = [work("a", skill="steering"), work("b")]
    made = plan(owed, Standing(pins=(Pin("a", TUESDAY, "Far"),)))
    by_key = {one.work: one for one in made.assignments}
    assert (by_key["a"].yard, by_key["a"].day, by_key["a"].people) == ("Far", TUESDAY, ("ana",))
    assert by_key["b"].day == MONDAY
