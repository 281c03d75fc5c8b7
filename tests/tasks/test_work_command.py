"""`manage.py work`: all background work in one process, whatever goes wrong."""

import signal
import threading
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import OperationalError, connection, transaction

from fleet.management import rounds
from fleet.management.rounds import Job, Rounds
from fleet.operations import patterns
from fleet.operations.actor import Actor
from fleet.records.models import Joint, Outbox, Pattern, Recheck, Yard
from tests import build
from tests.support.processes import running, wait_until


def test_one_round_delivers_rolls_and_scans(
    notice: Outbox, loosened: Joint, boss: Actor, yard: Yard
) -> None:
    long_ago = build.NOW.date() - timedelta(days=400)
    late = build.recheck(loosened.vehicle, due_on=long_ago)
    call_command("work", "--once")
    assert not Outbox.objects.exists()
    assert Pattern.objects.count() == 1
    late.refresh_from_db()
    assert late.state == Recheck.State.MISSED


def test_what_a_lost_notice_left_undone_is_found_by_the_daily_scan(
    loosened: Joint, boss: Actor
) -> None:
    call_command("work", "--once")
    assert Pattern.objects.get().joint == loosened


def test_one_round_of_nothing_is_fine(boss: Actor) -> None:
    call_command("work", "--once")
    call_command("work", "--once")


def test_one_round_that_fails_says_so_after_doing_the_rest(
    notice: Outbox, boss: Actor, monkeypatch: pytest.MonkeyPatch
) -> None:
    def roll(*_: object, **__: object) -> int:
        raise RuntimeError("no such yard")

    monkeypatch.setattr(rounds, "roll", roll)
    with pytest.raises(CommandError):
        call_command("work", "--once")
    assert not Outbox.objects.exists()
    assert Pattern.objects.count() == 1


class Clock:
    def __init__(self) -> None:
        self.at = datetime(2026, 11, 25, 12, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.at


@pytest.mark.django_db  # after a failure it looks to its connection
def test_a_job_that_fails_waits_longer_each_time_and_comes_right() -> None:
    clock, tries = Clock(), []

    def do(at: datetime) -> bool:
        tries.append(at)
        if len(tries) < 4:
            raise OperationalError("database is locked")
        return False

    job = Job("trying", do)
    for _ in range(40):
        job.run(clock())
        clock.at += timedelta(seconds=1)
        if not job.failures:
            break
    gaps = [(b - a).total_seconds() for a, b in pairwise(tries)]
    assert gaps == [2, 4, 8]
    assert job.failures == 0


def test_the_fleet_is_scanned_once_a_day(boss: Actor, monkeypatch: pytest.MonkeyPatch) -> None:
    clock, scans = Clock(), list[date]()

    def scan(_actor: Actor, *, at: datetime) -> int:
        scans.append(at.date())
        return 0

    monkeypatch.setattr(rounds, "scan_fleet", scan)
    all_rounds = Rounds(now=clock)
    for _ in range(50):
        all_rounds.once()
        clock.at += timedelta(hours=1)
    assert scans == [datetime(2026, 11, day, tzinfo=UTC).date() for day in (25, 26, 27)]


def test_intervals_are_reckoned_once_a_day_after_a_scan_that_went_well(
    boss: Actor, monkeypatch: pytest.MonkeyPatch
) -> None:
    clock, done = Clock(), list[str]()

    def scan(_actor: Actor, *, at: datetime) -> int:
        done.append(f"scan {at:%d}")
        if len(done) == 1:
            raise RuntimeError("no such table")
        return 0

    def refit(_actor: Actor, *, at: datetime) -> int:
        done.append(f"refit {at:%d}")
        return 0

    monkeypatch.setattr(rounds, "scan_fleet", scan)
    monkeypatch.setattr(rounds, "refit", refit)
    all_rounds = Rounds(now=clock)
    for _ in range(30):
        all_rounds.once()
        clock.at += timedelta(hours=1)
    assert done == ["scan 25", "scan 25", "refit 25", "scan 26", "refit 26"]


def test_told_to_stop_it_begins_nothing_more(boss: Actor) -> None:
    all_rounds = Rounds()
    all_rounds.stop()
    assert all_rounds.once() is False
    all_rounds.until_stopped()


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_it_stops_cleanly_when_told_to(boss: Actor, tmp_path: Path, number: int) -> None:
    with running(["manage.py", "work"], tmp_path) as process:
        log = tmp_path / "process.log"
        wait_until(lambda: b"Working" in log.read_bytes(), tmp_path)
        process.send_signal(number)
        assert process.wait(timeout=30) == 0
    assert b"Stopped" in log.read_bytes()
    assert b"Traceback" not in log.read_bytes()


@pytest.mark.sqlite
@pytest.mark.django_db(transaction=True)
def test_a_locked_database_is_outlived(
    notice: Outbox, boss: Actor, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another process holds the one write lock for longer than anybody waits."""
    clock = Clock()
    all_rounds = Rounds(now=clock)
    holding, let_go = threading.Event(), threading.Event()

    def hold() -> None:
        with transaction.atomic():
            Yard.objects.update(bays=2)
            holding.set()
            let_go.wait(30)
        connection.close()

    other = threading.Thread(target=hold)
    other.start()
    assert holding.wait(30)
    monkeypatch.setitem(connection.settings_dict["OPTIONS"], "timeout", 0.05)
    connection.close()
    assert all_rounds.once() is False
    assert not all_rounds.well
    let_go.set()
    other.join()
    clock.at += timedelta(minutes=1)
    all_rounds.once()
    assert all_rounds.well
    assert not Outbox.objects.exists()


def test_a_notice_that_always_fails_is_no_reason_to_stop(
    notice: Outbox, boss: Actor, monkeypatch: pytest.MonkeyPatch
) -> None:
    def scan(*_: object) -> int:
        raise RuntimeError("no such joint")

    with monkeypatch.context() as broken:
        broken.setattr(patterns, "scan", scan)
        Rounds().once()
    notice.refresh_from_db()
    assert "no such joint" in notice.last_error
