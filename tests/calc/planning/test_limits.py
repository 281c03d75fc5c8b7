"""Nothing that a plan must keep is ever broken: 500 drawn cases, each planned anew once."""

import pytest

from fleet.calc.planning import Effort, NoPlan, Plan, plan_visits
from tests.calc.planning.asks import Ask, small, told_before
from tests.calc.planning.checker import broken

QUICK = Effort(gap=0.0, seconds=300.0, rounds=25)
CASES, BATCH = 500, 50


def plan_of(ask: Ask) -> Plan | None:
    """The plan, or None where pins clash, which must say where and with what."""
    try:
        return plan_visits(ask.work, ask.yards, ask.people, ask.days, ask.standing, QUICK)
    except NoPlan as no:
        clashes = no.clashes
    assert clashes
    assert all(clash.limits and clash.work for clash in clashes)
    return None


def breaks(ask: Ask, plan: Plan) -> list[str]:
    return broken(plan, ask.work, ask.yards, ask.people, ask.days, ask.standing)


@pytest.mark.parametrize("first", range(0, CASES, BATCH))
def test_no_limit_pin_or_lock_is_ever_broken(first: int) -> None:
    plans = 0
    for seed in range(first, first + BATCH):
        ask = small(seed)
        plan = plan_of(ask)
        if plan is None:
            continue
        plans += 1
        assert breaks(ask, plan) == [], seed
        assert plan.bound <= plan.objective
        again = told_before(ask, plan.assignments, seed)
        after = plan_of(again)
        assert after is None or breaks(again, after) == [], seed
    assert plans > BATCH / 4
