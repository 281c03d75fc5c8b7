"""The plan is the best there is: against trying everything, and against HiGHS on a plain model."""

from datetime import date, timedelta
from random import Random

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from fleet.calc.planning import Effort, Person, Plan, Standing, Work, Yard, plan_visits
from tests.calc.planning.asks import START, Ask, small
from tests.calc.planning.exhaustive import best, days_late

THOROUGH = Effort(gap=0.0, seconds=300.0, rounds=300)


def plan_of(ask: Ask) -> Plan:
    return plan_visits(ask.work, ask.yards, ask.people, ask.days, ask.standing, THOROUGH)


def tiny(seed: int) -> Ask:
    """Up to 5 pieces of work, 3 days, 3 people in yards that they may change; no pins."""
    ask = small(seed, most_work=5, most_days=3)
    near = [yard for yard in ask.yards if not yard.travel_minutes]
    work = [one for one in ask.work if one.yard in {yard.key for yard in near}]
    people = [
        Person(p.key, p.home, p.minutes, p.skills, p.yards & {yard.key for yard in near})
        for p in ask.people[:3]
    ]
    return Ask(work, near, people, ask.days, Standing(ask.standing.away))


@pytest.mark.parametrize("first", range(0, 100, 20))
def test_nothing_is_better_than_the_plan(first: int) -> None:
    for seed in range(first, first + 20):
        ask = tiny(seed)
        if not ask.work:
            continue
        plan, (hold, rest) = plan_of(ask), best(ask)
        assert (plan.hold_objective, plan.objective - plan.hold_objective) == (hold, rest), seed
        assert plan.bound <= hold + rest + 1e-9, seed


def one_bay(seed: int) -> Ask:
    """One bay, one person: minutes alone decide, so the plain model says what can be."""
    draw = Random(seed)
    days = [START + timedelta(days=n) for n in range(4)]
    opening = dict.fromkeys(days, 300)
    work = [
        Work(
            f"w{n}", f"T-{n}", "Basin", draw.choice((45, 60, 75, 90, 105)),
            START + timedelta(days=draw.randrange(0, 3)), weight=draw.choice((1.0, 2.0, 3.0)),
        )
        for n in range(14)
    ]  # fmt: skip
    return Ask(work, [Yard("Basin", 1, opening)], [Person("ana", "Basin", opening)], days,
               Standing())  # fmt: skip


def plain_model(ask: Ask) -> float:
    """Each work on one day or left out, minutes of each day kept; solved to the end by HiGHS."""
    after = ask.days[-1] + timedelta(days=7)
    whens: list[date] = [*ask.days, after]
    weights = [one.weight * days_late(one, ask.days[0], day) for one in ask.work for day in whens]
    each = np.kron(np.eye(len(ask.work)), np.ones(len(whens)))
    minutes = [[(one.minutes + 15) * (when == day) for one in ask.work for when in whens]
               for day in ask.days]  # fmt: skip
    found = milp(
        weights,
        constraints=[LinearConstraint(each, 1, 1), LinearConstraint(np.array(minutes), 0, 300)],
        integrality=np.ones(len(weights)),
        bounds=Bounds(0, 1),
    )
    return float(found.fun)


@pytest.mark.parametrize("seed", range(6))
def test_it_equals_highs_on_the_plain_model(seed: int) -> None:
    ask = one_bay(seed)
    plan, least = plan_of(ask), plain_model(ask)
    assert plan.objective == pytest.approx(least)
    assert plan.bound <= least + 1e-6


def test_triplets_that_fill_each_day_to_the_minute_are_all_placed() -> None:
    """Three to a day and no minute over, the hard class of Falkenauer (1996), A hybrid grouping
    genetic algorithm for bin packing, Journal of Heuristics 2, 5-30: the class as described there,
    from memory, unverified; made small. The least number of bins is known by how it is made."""
    draw, days = Random(3), [START + timedelta(days=n) for n in range(5)]
    minutes = []
    for _ in days:
        first = draw.randrange(190, 245)
        second = draw.randrange((500 - first) // 2 - 30, (500 - first) // 2 + 30)
        minutes += [first, second, 500 - first - second]
    draw.shuffle(minutes)
    opening = dict.fromkeys(days, 500)
    work = [Work(f"w{n}", f"T-{n}", "Basin", m, days[-1]) for n, m in enumerate(minutes)]
    plan = plan_of(Ask(work, [Yard("Basin", 1, opening, setup_minutes=0)],
                       [Person("ana", "Basin", opening)], days, Standing()))  # fmt: skip
    assert plan.unplaced == ()
    assert plan.objective == plan.bound == 0
