"""Yards that share people: the plan of all together is never later than one after the other."""

import time

from fleet.calc.planning import Effort, NoPlan, Person, Plan, Standing, Work, Yard, plan_visits
from fleet.calc.planning.board import Board
from fleet.calc.planning.clash import put_pins
from fleet.calc.planning.clock import Clock
from fleet.calc.planning.greedy import first_plan
from fleet.calc.planning.in_turn import better_start
from fleet.calc.planning.pieces import numbered, pieces_of
from fleet.calc.planning.told import told
from tests.calc.planning.asks import Ask, small, told_before
from tests.calc.planning.checker import broken
from tests.calc.planning.test_late import DAYS

IN_TURN = Effort(gap=0.0, seconds=60.0, rounds=1, in_turn=True)


def test_no_limit_pin_or_lock_is_broken_by_what_it_begins_with() -> None:
    plans = 0
    for seed in range(40):
        ask = small(seed)
        plan = plan_of(ask)
        if plan is None:
            continue
        plans += 1
        assert breaks(ask, plan) == [], seed
        again = told_before(ask, plan.assignments, seed)
        after = plan_of(again)
        assert after is None or breaks(again, after) == [], seed
    assert plans > 12


def test_a_far_yard_gets_as_many_as_it_takes_and_the_rest_stay_at_home() -> None:
    """Six visits of 125 minutes are due at home on the first day, more than one of the three people
    can do in 400 minutes and no more than two can; one is due at the far yard. Whoever is free is
    sent there at once, and then nobody is at home; one yard after the other all of it is in time.
    """
    days = DAYS[:2]
    yards = [Yard("Home", 2, dict.fromkeys(days, 480)),
             Yard("Far", 1, dict.fromkeys(days, 480), travel_minutes=150)]  # fmt: skip
    people = [Person(f"p{n}", "Home", dict.fromkeys(days, 400), yards=frozenset({"Far"}))
              for n in range(3)]  # fmt: skip
    work = [Work(f"h{n}", f"H-{n}", "Home", 110, days[0]) for n in range(6)]
    work.append(Work("f", "F-1", "Far", 75, days[0]))
    asked = numbered(work, yards, people, days, Standing())
    board = Board(asked, pieces_of(asked))
    put_pins(board)
    first_plan(board)
    begun = better_start(board, Clock(Effort(seconds=30.0), time.monotonic()))
    assert sum(board.objective()) > 0
    assert sum(begun.objective()) == 0
    assert breaks(Ask(work, yards, people, days, Standing()), told(begun, 0.0)) == []


def plan_of(ask: Ask, effort: Effort = IN_TURN) -> Plan | None:
    try:
        return plan_visits(ask.work, ask.yards, ask.people, ask.days, ask.standing, effort)
    except NoPlan:
        return None


def breaks(ask: Ask, plan: Plan) -> list[str]:
    return broken(plan, ask.work, ask.yards, ask.people, ask.days, ask.standing)
