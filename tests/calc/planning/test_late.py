"""What comes late, and what each piece of it weighs: all together they are the objective."""

from datetime import date, timedelta

import pytest

from fleet.calc.planning import Effort, Late, NoPlan, Person, Work, Yard, plan_visits
from tests.calc.planning.asks import small, told_before

QUICK = Effort(gap=0.0, seconds=60.0, rounds=1)
MONDAY = date(2026, 3, 2)
DAYS = [MONDAY + timedelta(days=n) for n in range(3)]


def test_what_is_late_makes_the_objective() -> None:
    plans = 0
    for seed in range(40):
        ask = small(seed)
        try:
            plan = plan_visits(ask.work, ask.yards, ask.people, ask.days, ask.standing, QUICK)
            again = told_before(ask, plan.assignments, seed)
            plan = plan_visits(
                again.work, again.yards, again.people, again.days, again.standing, QUICK
            )
        except NoPlan:
            continue
        plans += 1
        holds = {one.key for one in again.work if one.holds}
        assert sum(one.weighed for one in plan.late) == pytest.approx(plan.objective)
        of_holds = sum(one.weighed for one in plan.late if one.work in holds)
        assert of_holds == pytest.approx(plan.hold_objective)
        days = {one.work: one.day for one in plan.assignments}
        assert all(one.day == days.get(one.work) for one in plan.late)
        assert all(one.weighed > 0 for one in plan.late)
    assert plans > 10


def test_by_hand_a_day_late_is_one_a_day_before_a_quarter_and_none_a_week_more() -> None:
    """One bay of one hour a day: three of these four fit."""
    yard = Yard("Basin", 1, dict.fromkeys(DAYS, 60), setup_minutes=0)
    ana = Person("ana", "Basin", dict.fromkeys(DAYS, 60))
    owed = [
        Work("holds", "T-1", "Basin", 60, DAYS[0], holds=True, weight=3.0),
        Work("day late", "T-2", "Basin", 60, DAYS[0], weight=2.0),
        Work("in its days", "T-3", "Basin", 60, DAYS[2], due_low=DAYS[0], weight=0.5),
        Work("none", "T-4", "Basin", 60, DAYS[1], weight=0.1),
    ]
    plan = plan_visits(owed, [yard], [ana], DAYS, None, QUICK)
    # A week after Wednesday is eight days after Tuesday, on which it was due.
    *placed, none = plan.late
    assert placed == [Late("day late", DAYS[1], 2.0), Late("in its days", DAYS[2], 0.25)]
    assert (none.work, none.day) == ("none", None)
    assert none.weighed == pytest.approx(0.8)
