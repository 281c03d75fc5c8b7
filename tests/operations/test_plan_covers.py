"""One run at a time for each of its yards, by and for those who have all of them."""

from datetime import timedelta

import pytest

from fleet.operations import plan_runs
from fleet.operations.actor import Actor, server_actor
from fleet.operations.errors import NotThere, Refused
from fleet.operations.plan_solve import MOST_TRIES, work_plans
from fleet.records.models import PlanRun, PlanRunYard, Yard
from tests import build, people
from tests.operations.test_plan_together import ask, take
from tests.planned import Ground


@pytest.fixture
def ground(db: None) -> Ground:
    return Ground()


@pytest.fixture
def birch(ground: Ground) -> Yard:
    return ground.other("Birch", ground.technician)


def test_while_a_run_is_at_work_whoever_asks_for_any_of_its_yards_sees_it(
    ground: Ground, birch: Yard
) -> None:
    first = ask(ground, ground.yard, birch)
    other = Actor(people.person("Second scheduler", "scheduler", all_yards=True))
    assert ask(ground, birch, by=other) == first
    assert ask(ground, ground.yard, by=other) == first
    assert PlanRun.objects.count() == 1
    assert PlanRunYard.objects.filter(at_work=True).count() == 2
    work_plans(server_actor(), at=ground.now, seconds=0.1)
    assert not PlanRunYard.objects.filter(at_work=True).exists()
    second = ask(ground, birch, by=other)
    first.refresh_from_db()
    assert (second.pk != first.pk, first.state) == (True, "left")
    with pytest.raises(Refused):
        take(ground, first)


def test_a_run_given_up_frees_its_yards(ground: Ground, birch: Yard) -> None:
    run = ask(ground, ground.yard, birch)
    PlanRun.objects.filter(pk=run.pk).update(
        state="running", tries=MOST_TRIES, leased_until=ground.now
    )
    work_plans(server_actor(), at=ground.now + timedelta(minutes=6))
    run.refresh_from_db()
    assert run.state == "failed"
    assert ask(ground, birch) != run


def test_a_yard_out_of_scope_is_none_that_one_can_plan(ground: Ground, birch: Yard) -> None:
    own = Actor(people.person("Own", "scheduler", ground.yard))
    with pytest.raises(NotThere):
        ask(ground, ground.yard, birch, by=own)
    assert not PlanRun.objects.exists()


def test_a_run_is_seen_stopped_and_taken_by_who_has_all_of_its_yards(
    ground: Ground, birch: Yard
) -> None:
    run = ground.run(others=[birch])
    own = people.person("Own", "scheduler", ground.yard)
    both = people.person("Both", "scheduler", ground.yard, birch)
    assert run in PlanRun.visible_to(both)
    assert run not in PlanRun.visible_to(own)
    for verb in (plan_runs.stop_run, plan_runs.take_run, plan_runs.leave_run):
        with pytest.raises(NotThere):
            verb(Actor(own), run.pk, **ground.at)
    run.refresh_from_db()
    assert run.state == "proposed"


def test_who_has_one_of_its_yards_is_told_that_it_is_at_work(ground: Ground, birch: Yard) -> None:
    ask(ground, ground.yard, birch)
    with pytest.raises(Refused) as caught:
        ask(ground, ground.yard, by=Actor(people.person("Own", "scheduler", ground.yard)))
    assert caught.value.problems[0].code == "planned_elsewhere"


def test_a_yard_without_hours_is_named(ground: Ground) -> None:
    bare = build.yard("Birch")
    with pytest.raises(Refused) as caught:
        ask(ground, ground.yard, bare)
    assert "Set the hours of Birch first" in str(caught.value.problems[0].message)
