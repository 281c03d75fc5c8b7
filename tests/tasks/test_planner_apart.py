"""A run of the planner takes half a minute: nothing else waits for it, and it ends when told to."""

from pathlib import Path

import pytest
import redis
from celery import Celery
from django.utils import timezone

from fleet.celery import PLANS, QUEUE, app
from fleet.operations.plan_runs import ask_for_plan
from fleet.records.models import PlanRun, PlanRunYard
from tests import build
from tests.planned import Ground
from tests.support.processes import running, wait_until
from tests.tasks.waiting import notice_of, notices, twice_loosened

WORKER = ["-m", "celery", "--app", "fleet.celery", "worker", "--pool", "solo", "--loglevel", "INFO"]
KINDS = ("retorque", "dry_steer", "look", "rack")


def asked_for() -> tuple[Ground, PlanRun]:
    """More work than fits, of so many lengths that no plan is soon proven the best."""
    ground = Ground()
    ground.now = timezone.now()
    for number in range(40):
        truck = ground.truck(f"A-{number}", due_in=number % 7, kind=KINDS[number % 4])
        ground.owe(truck, number % 5, "track_bar_frame_end", kind=KINDS[number % 3])
    return ground, ask_for_plan(ground.scheduler, ground.yard.pk, at=ground.now, days=7).row


def notice_left(ground: Ground) -> None:
    """Two looks that found a joint loose, and the notice by which the pattern is looked for."""
    truck = build.vehicle(ground.yard, "A-999")
    twice_loosened(truck, ground.scheduler.person)
    notice_of(truck, ground.scheduler.person)


def state_of(run: PlanRun) -> tuple[str, bool]:
    run.refresh_from_db()
    return run.state, run.best is not None


@pytest.mark.django_db(transaction=True)
def test_a_notice_is_delivered_while_the_planner_is_at_work(tmp_path: Path) -> None:
    ground, run = asked_for()
    with running(["manage.py", "work"], tmp_path) as process:
        wait_until(lambda: state_of(run) == ("running", True), tmp_path)
        notice_left(ground)
        wait_until(lambda: not notices().exists(), tmp_path)
        assert state_of(run) == ("running", True)
        process.terminate()
        assert process.wait(timeout=30) == 0
    # Told to stop, it kept the best plan that it had.
    assert state_of(run) == ("proposed", True)
    assert not PlanRunYard.objects.filter(at_work=True).exists()
    assert b"Traceback" not in (tmp_path / "process.log").read_bytes()


@pytest.mark.django_db(transaction=True)
def test_a_worker_of_the_other_tasks_takes_no_run(tmp_path: Path, redis_url: str) -> None:
    """As docker-compose.yml starts it: a run waits for the planner's own worker."""
    ground, run = asked_for()
    notice_left(ground)
    with redis.Redis.from_url(redis_url) as client:
        client.flushdb()
        with running([*WORKER, "--queues", QUEUE], tmp_path, REDIS_URL=redis_url):
            queued = Celery(broker=redis_url)
            queued.send_task("fleet.tasks.plan_visits", queue=PLANS)
            queued.send_task("fleet.tasks.deliver_outbox")
            wait_until(lambda: not notices().exists(), tmp_path)
        assert (client.llen(PLANS), state_of(run)[0]) == (1, "waiting")


def test_runs_of_the_planner_have_a_queue_of_their_own() -> None:
    app.loader.import_default_modules()
    tasks = [name for name in app.tasks if name.startswith("fleet.tasks.")]
    queues = {name: app.amqp.router.route({}, name)["queue"].name for name in tasks}
    assert {name for name, queue in queues.items() if queue == PLANS} == {"fleet.tasks.plan_visits"}
    assert set(queues.values()) == {QUEUE, PLANS}
    # A worker that is not told which queues takes both.
    assert set(app.amqp.queues) == {QUEUE, PLANS}
