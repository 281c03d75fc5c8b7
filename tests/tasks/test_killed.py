"""A worker killed in the middle of a task loses nothing, with a broker and without one."""

from datetime import timedelta
from pathlib import Path

import pytest
import redis
from celery import Celery
from django.utils import timezone

from fleet.operations.actor import Actor
from fleet.operations.deliver import LEASE, deliver
from fleet.records.models import Outbox, Pattern
from tests.support.processes import kill, running, wait_until
from tests.tasks.stuck import someone_is_stuck, stuck_in_the_middle
from tests.tasks.waiting import notices

pytestmark = pytest.mark.django_db(transaction=True)

EMBEDDED = ["manage.py", "work"]
WORKER = ["-m", "celery", "--app", "fleet.celery", "worker", "--pool", "solo", "--loglevel", "INFO"]


def left_after(killed_at_work: Outbox) -> None:
    """The notice is still there, leased; what was half done is gone."""
    row = notices().get()
    assert row.pk == killed_at_work.pk
    assert row.leased_until is not None
    assert row.tries == 1
    assert not Pattern.objects.exists()


def let_the_lease_run_out() -> None:
    notices().update(leased_until=timezone.now() - timedelta(seconds=1))


def delivered_once() -> None:
    assert not notices().exists()
    pattern = Pattern.objects.get()
    assert pattern.version == 1


def test_the_embedded_process_killed_in_the_middle(
    notice: Outbox, tmp_path: Path, boss: Actor
) -> None:
    with stuck_in_the_middle(), running(EMBEDDED, tmp_path) as process:
        wait_until(someone_is_stuck, tmp_path)
        kill(process)
    left_after(notice)
    assert deliver(boss, at=timezone.now()) == 0, "another still holds the lease"
    assert deliver(boss, at=timezone.now() + LEASE + timedelta(seconds=1)) == 1
    delivered_once()


def test_the_embedded_process_takes_up_what_another_left(notice: Outbox, tmp_path: Path) -> None:
    let_the_lease_run_out()
    with running(EMBEDDED, tmp_path) as process:
        wait_until(lambda: not notices().exists(), tmp_path)
        process.terminate()
        assert process.wait(timeout=30) == 0, "it stops cleanly when told to"
    delivered_once()


def test_a_celery_worker_killed_in_the_middle(
    notice: Outbox, tmp_path: Path, redis_url: str
) -> None:
    with redis.Redis.from_url(redis_url) as client:
        client.flushdb()
    with stuck_in_the_middle(), running(WORKER, tmp_path, REDIS_URL=redis_url) as worker:
        ask(redis_url)
        wait_until(someone_is_stuck, tmp_path)
        kill(worker)
    left_after(notice)
    let_the_lease_run_out()
    with running(WORKER, tmp_path, REDIS_URL=redis_url):
        ask(redis_url)
        wait_until(lambda: not notices().exists(), tmp_path)
    delivered_once()


def ask(redis_url: str) -> None:
    """Queue the task, as the schedule does."""
    Celery(broker=redis_url).send_task("fleet.tasks.deliver_outbox")
