"""A run of the planner is worked off beside the web process: by `work` or by a worker."""

from collections.abc import Callable

import pytest
import time_machine
from django.core.management import call_command

from fleet import tasks
from fleet.operations import plan_solve
from fleet.operations.plan_runs import ask_for_plan
from fleet.records.models import PlanRun
from tests.planned import NOW, Ground


def by_command() -> None:
    call_command("work", "--once")


@pytest.mark.parametrize("work", [by_command, tasks.plan_visits])
def test_what_waits_is_planned_once(
    db: None, monkeypatch: pytest.MonkeyPatch, work: Callable[[], None]
) -> None:
    monkeypatch.setattr(plan_solve, "SECONDS", 0.1)
    with time_machine.travel(NOW, tick=False):
        ground = Ground()
        ground.truck()
        asked = ask_for_plan(ground.scheduler, ground.yard.pk, **ground.at).row
        for _each in range(2):
            work()
    run = PlanRun.objects.get()
    assert (run.pk, run.state, run.tries) == (asked.pk, "proposed", 1)


def test_a_run_that_fails_says_so_and_leaves_the_plan(
    db: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise RuntimeError("no such day")

    monkeypatch.setattr(plan_solve, "question", broken)
    ground = Ground()
    ask_for_plan(ground.scheduler, ground.yard.pk, **ground.at)
    assert plan_solve.work_plans(ground.scheduler, at=NOW) == 1
    assert PlanRun.objects.get().state == "failed"
