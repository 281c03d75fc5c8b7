"""Two schedulers at once, each from a yard of their own: one run covers both yards."""

from typing import Any

import pytest
from django.db import IntegrityError, transaction

from fleet.operations.actor import Actor
from fleet.operations.plan_runs import ask_for_plan, take_run
from fleet.records.models import PlanRun, PlanRunYard, Visit, YardPlan
from tests import people
from tests.operations.test_at_once import race_past, split
from tests.planned import THURSDAY, Ground, visit_of

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.mark.postgresql
def test_two_that_ask_at_once_are_shown_the_same_run() -> None:
    """Locked in one order whatever yard each asks from: neither waits for the other for ever."""
    ground = Ground()
    birch, other = ground.other("Birch", ground.technician), second_scheduler()

    def asks(by: Actor, mine: int, others: int) -> Any:
        return lambda: ask_for_plan(by, mine, others=[others], **ground.at)

    outcomes = race_past(
        lambda: list(YardPlan.objects.select_for_update()),
        asks(ground.scheduler, ground.yard.pk, birch.pk), asks(other, birch.pk, ground.yard.pk),
    )  # fmt: skip
    assert outcomes[0].row == outcomes[1].row
    assert PlanRun.objects.count() == 1


@pytest.mark.postgresql
def test_two_that_take_it_at_once_put_it_in_place_once() -> None:
    ground = Ground()
    birch, other = ground.other("Birch", ground.technician), second_scheduler()
    trucks = [ground.truck("A-1"), ground.truck("B-1", at=birch)]
    run = ground.run(first=THURSDAY, others=[birch])
    outcomes = race_past(
        lambda: list(YardPlan.objects.select_for_update()),
        lambda: take_run(ground.scheduler, run.pk, **ground.at),
        lambda: take_run(other, run.pk, **ground.at),
    )
    won, told = split(outcomes)
    assert (len(won), [one.problems[0].code for one in told]) == (1, ["not_proposed"])
    assert {visit_of(truck).yard for truck in trucks} == {ground.yard, birch}
    assert Visit.objects.count() == len(trucks)


def test_the_database_itself_keeps_a_yard_from_two_runs_at_work() -> None:
    ground = Ground()
    birch = ground.other("Birch", ground.technician)
    run = ask_for_plan(ground.scheduler, ground.yard.pk, others=[birch.pk], **ground.at).row
    second = PlanRun.objects.create(
        yard=birch, first=run.first, last=run.last, asked_by=run.asked_by, asked_at=run.asked_at
    )
    with pytest.raises(IntegrityError, match=r"plan_run_one_at_work|yard_id"), transaction.atomic():
        PlanRunYard.objects.create(run=second, yard=birch, first=run.first)


def second_scheduler() -> Actor:
    return Actor(people.person("Second scheduler", "scheduler", all_yards=True))
