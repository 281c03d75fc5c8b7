"""What a plan does, one rule at a time; and that it tells, stops and repeats."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from fleet.calc.planning import Cause, Effort, Person, Plan, Standing, Work, Yard, plan_visits
from tests.calc.planning.asks import small
from tests.calc.planning.checker import broken

DAYS = [date(2026, 3, 2) + timedelta(days=n) for n in range(3)]
HOURS = dict.fromkeys(DAYS, 240)
BASIN = Yard("Basin", 2, HOURS)
ANA, BEN = Person("ana", "Basin", HOURS), Person("ben", "Basin", HOURS)
SHORT = Effort(gap=0.0, seconds=300.0, rounds=60)


def owed(key: str, minutes: int = 60, day: int = 0, **more: object) -> Work:
    base = Work(key, f"T-{key}", "Basin", minutes, DAYS[day])
    return replace(base, **more)  # type: ignore[arg-type]


def plan(*work: Work, standing: Standing | None = None, effort: Effort = SHORT) -> Plan:
    return plan_visits(work, [BASIN], [ANA, BEN], DAYS, standing, effort)


def test_work_on_one_vehicle_is_put_together_in_one_bay_one_after_the_other() -> None:
    made = plan(owed("a", vehicle="T-1"), owed("b", day=2, vehicle="T-1", minutes=30))
    first, second = made.assignments
    assert (first.day, first.bay, first.start) == (DAYS[0], second.bay, 15)
    assert (second.day, second.start) == (DAYS[0], 75)


def test_the_least_hold_work_outranks_any_other() -> None:
    one = [Person("ana", "Basin", dict.fromkeys(DAYS, 100))]
    work = [owed("light", 80, weight=0.1, holds=True), owed("heavy", 80, weight=1000.0)]
    made = plan_visits(work, [BASIN], one, DAYS, None, SHORT)
    assert [a.work for a in made.assignments] == ["light", "heavy"]


def test_two_person_work_has_both_at_once() -> None:
    (one,) = plan(owed("steer", people=2)).assignments
    assert set(one.people) == {"ana", "ben"}


def test_what_was_told_stays_where_nothing_is_lost() -> None:
    before = plan(owed("a", day=2), owed("b", day=2)).assignments
    told = tuple(replace(one, day=DAYS[1]) for one in before)
    made = plan(owed("a", day=2), owed("b", day=2), standing=Standing(previous=told))
    assert {one.day for one in made.assignments} == {DAYS[1]}
    assert made.moved == ()


def test_work_with_no_day_has_a_reason_for_every_day() -> None:
    away = Standing(away={"T-a": frozenset(DAYS[:2])})
    made = plan(owed("a", earliest=DAYS[0], skills=frozenset({"press"})), standing=away)
    (left,) = made.unplaced
    assert [(r.cause, r.days) for r in left.reasons] == [
        (Cause.VEHICLE_AWAY, tuple(DAYS[:2])),
        (Cause.NOT_ENOUGH_PEOPLE, (DAYS[2],)),
    ]


@pytest.mark.parametrize("seed", range(8))
def test_reasons_of_what_is_left_out_cover_the_plan(seed: int) -> None:
    ask = small(seed, most_work=30)
    calm = replace(ask.standing, pins=())
    made = plan_visits(ask.work, ask.yards, ask.people, ask.days, calm, SHORT)
    for left in made.unplaced:
        assert sorted(day for reason in left.reasons for day in reason.days) == ask.days


def test_a_far_yard_is_visited_by_a_crew_that_is_not_at_home_that_day() -> None:
    far = Yard("Far", 1, HOURS, travel_minutes=60, trip_days=frozenset({DAYS[1]}), crew=1)
    ana = Person("ana", "Basin", HOURS, yards=frozenset({"Far"}))
    work = [owed("home"), Work("there", "T-9", "Far", 100, DAYS[0])]
    made = plan_visits(work, [BASIN, far], [ana], DAYS, None, SHORT)
    assert {(one.work, one.day) for one in made.assignments} == {
        ("home", DAYS[0]), ("there", DAYS[1]),
    }  # fmt: skip
    trip = next(one for one in made.people_loads if one.day == DAYS[1])
    assert (trip.yard, trip.minutes, trip.minutes_there) == ("Far", 115, 180)


def test_the_same_seed_gives_the_same_plan() -> None:
    ask = small(11, most_work=30)
    calm = replace(ask.standing, pins=())
    plans = [plan_visits(ask.work, ask.yards, ask.people, ask.days, calm, SHORT) for _ in range(2)]
    assert plans[0].assignments == plans[1].assignments


def test_it_tells_a_plan_first_and_never_a_bound_above_it() -> None:
    heard: list[tuple[float, float, float]] = []
    effort = replace(SHORT, on_progress=lambda *figures: heard.append(figures))
    made = plan(*(owed(f"w{n}", 70) for n in range(16)), effort=effort)
    assert heard[0][1] == 0.0
    assert all(bound <= best for best, bound, _ in heard)
    assert [best for best, _, _ in heard] == sorted((b for b, _, _ in heard), reverse=True)
    assert heard[-1][:2] == (made.objective, made.bound)


def test_stopped_at_once_it_still_gives_a_plan_that_holds() -> None:
    work = [owed(f"w{n}", 70) for n in range(16)]
    made = plan(*work, effort=replace(SHORT, should_stop=lambda: True))
    assert made.stopped
    assert made.assignments
    assert broken(made, work, [BASIN], [ANA, BEN], DAYS) == []


def test_the_checker_finds_what_is_broken() -> None:
    work = [owed("a"), owed("b")]
    made = plan(*work)
    first, second = made.assignments
    for wrong in (
        replace(first, day=DAYS[0] - timedelta(days=1)), replace(first, people=()),
        replace(first, bay=3), replace(first, start=0), replace(first, start=200),
        replace(second, work="a"), replace(first, people=("cal",)),
        replace(first, bay=second.bay, start=second.start, people=second.people),
    ):  # fmt: skip
        changed = replace(made, assignments=(wrong, second))
        assert broken(changed, work, [BASIN], [ANA, BEN], DAYS) != [], wrong
