"""Tasks: the same operations behind Celery; queued only where there is a broker."""

from pathlib import Path
from typing import Any

import pytest
import redis
from django.db import transaction
from kombu.exceptions import OperationalError

from fleet import tasks
from fleet.celery import app
from fleet.operations.actor import Actor
from fleet.operations.work import Work, notices_waiting
from fleet.records.models import Joint, Outbox, Pattern, Recheck
from tests import build
from tests.support.processes import running


def test_the_schedule_names_tasks_that_exist() -> None:
    app.loader.import_default_modules()
    schedule = app.conf.beat_schedule
    assert {entry["task"] for entry in schedule.values()} <= set(app.tasks)
    assert {name: entry["schedule"] for name, entry in schedule.items()} == {
        "deliver": 60, "roll": 15 * 60, "scan": 60 * 60, "refit": 6 * 60 * 60,
        "tell": 15, "digests": 5 * 60, "forget": 24 * 60 * 60, "plan": 60,
    }  # fmt: skip


def test_redelivery_comes_later_than_the_longest_task() -> None:
    options = app.conf.broker_transport_options
    assert app.conf.task_acks_late
    assert app.conf.worker_prefetch_multiplier == 1
    assert options["visibility_timeout"] > app.conf.task_time_limit


def test_each_task_does_its_operation_and_may_be_run_again(
    notice: Outbox, loosened: Joint, boss: Actor
) -> None:
    late = build.recheck(loosened.vehicle, due_in=-400)
    for _ in range(2):
        tasks.deliver_outbox()
        tasks.roll_days()
        tasks.tell_events()
        tasks.forget_events()
        tasks.write_digests()
        tasks.scan_fleet()
        tasks.refit_intervals()
    assert not Outbox.objects.exists()
    assert Pattern.objects.get().version == 1
    late.refresh_from_db()
    assert late.state == Recheck.State.MISSED


def test_without_a_broker_nobody_listens_and_celery_is_not_loaded(tmp_path: Path) -> None:
    code = (
        "import django, sys; django.setup(); from fleet.operations.work import notices_waiting; "
        "print(len(notices_waiting.receivers), 'celery' in sys.modules)"
    )
    assert said(code, tmp_path) == "0 False"
    assert said(code, tmp_path, REDIS_URL="redis://127.0.0.1:1/0") == "1 True"


def said(code: str, folder: Path, **extra: str) -> str:
    settings = {"DJANGO_SETTINGS_MODULE": "fleet.settings", "REDIS_URL": "", **extra}
    with running(["-c", code], folder, **settings) as process:
        assert process.wait(timeout=60) == 0
    log = folder / "process.log"
    told = log.read_text().strip()
    log.unlink()
    return told


@pytest.fixture
def listening() -> Any:
    """As in a process that has a broker."""
    notices_waiting.connect(tasks.notices_left, sender=Work)
    yield
    notices_waiting.disconnect(tasks.notices_left, sender=Work)


@pytest.fixture
def broker(redis_url: str, monkeypatch: pytest.MonkeyPatch) -> Any:
    monkeypatch.setattr(app.conf, "broker_url", redis_url)
    with redis.Redis.from_url(redis_url) as client:
        client.flushdb()
        yield client
        client.flushdb()


@pytest.mark.django_db(transaction=True)
def test_a_notice_queues_its_delivery_after_the_commit(
    loosened: Joint, boss: Actor, listening: None, broker: Any
) -> None:
    with transaction.atomic():
        Work(boss, build.NOW).trail("close_ticket", loosened.vehicle, tell=("patterns",))
        assert broker.llen("celery") == 0
    assert broker.llen("celery") == 1


@pytest.mark.django_db(transaction=True)
def test_a_broker_out_of_reach_spoils_nothing(
    loosened: Joint, boss: Actor, listening: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    def apply_async(**_: Any) -> None:
        raise OperationalError("connection refused")

    monkeypatch.setattr(tasks.deliver_outbox, "apply_async", apply_async)
    with transaction.atomic():
        Work(boss, build.NOW).trail("close_ticket", loosened.vehicle, tell=("patterns",))
    assert Outbox.objects.count() == 1
