"""The outbox: delivered twice equals once, and one bad notice keeps no other waiting."""

from collections.abc import Iterable
from datetime import timedelta
from typing import Any

import pytest
from django.db import OperationalError

from fleet.operations import patterns
from fleet.operations.actor import Actor
from fleet.operations.deliver import LEASE, deliver, lease, wait_after
from fleet.operations.work import Work
from fleet.records.models import Joint, Outbox, Pattern, TrailEntry
from tests import build
from tests.build import NOW
from tests.tasks.waiting import notice_of, notices, twice_loosened


@pytest.fixture
def another(loosened: Joint, boss: Actor) -> Joint:
    """A second truck with a notice of its own."""
    joint = twice_loosened(build.vehicle(loosened.vehicle.yard), boss.person)
    notice_of(joint.vehicle, boss.person)
    return joint


def found() -> list[Any]:
    return list(Pattern.objects.order_by("key").values("key", "version", "state", "evidence"))


def test_a_delivered_notice_is_gone_and_its_work_is_done(
    notice: Outbox, loosened: Joint, boss: Actor
) -> None:
    assert deliver(boss, at=NOW) == 1
    assert not notices().exists()
    assert Pattern.objects.get().joint == loosened


def test_delivered_twice_equals_once(notice: Outbox, loosened: Joint, boss: Actor) -> None:
    deliver(boss, at=NOW)
    once, steps = found(), TrailEntry.objects.count()
    notice_of(loosened.vehicle, boss.person)
    assert deliver(boss, at=NOW) == 1
    assert found() == once
    assert TrailEntry.objects.count() == steps + 1, "the notice's own entry alone"


def test_a_leased_notice_is_nobody_elses_until_the_lease_runs_out(
    notice: Outbox, boss: Actor
) -> None:
    assert len(lease("patterns", NOW, 10)) == 1
    assert lease("patterns", NOW, 10) == []
    assert deliver(boss, at=NOW + LEASE) == 0
    assert deliver(boss, at=NOW + LEASE + timedelta(seconds=1)) == 1


def test_two_that_deliver_the_same_after_a_lease_ran_out_do_no_harm(
    notice: Outbox, boss: Actor
) -> None:
    """A slow worker comes to its end when another has done its work already."""
    slow = lease("patterns", NOW, 10)
    assert deliver(boss, at=NOW + 2 * LEASE) == 1
    patterns.scan(Work(boss, NOW), {row.vehicle_id for row in slow if row.vehicle_id})
    assert Pattern.objects.get().version == 1


def test_no_more_than_asked_for(notice: Outbox, another: Joint, boss: Actor) -> None:
    assert deliver(boss, at=NOW, most=1) == 1
    assert notices().count() == 1


def failing_on(vehicle_id: int | None, error: Exception, monkeypatch: pytest.MonkeyPatch) -> None:
    real = patterns.scan

    def scan(work: Work, vehicle_ids: Iterable[int] | None = None) -> int:
        if vehicle_ids is None or vehicle_id in set(vehicle_ids):
            raise error
        return real(work, vehicle_ids)

    monkeypatch.setattr(patterns, "scan", scan)


def test_a_notice_that_fails_is_told_of_and_keeps_no_other_waiting(
    notice: Outbox, another: Joint, boss: Actor, monkeypatch: pytest.MonkeyPatch
) -> None:
    failing_on(notice.vehicle_id, RuntimeError("no such joint"), monkeypatch)
    at = NOW
    for tries in range(1, 6):
        if tries > 1:
            notice_of(another.vehicle, boss.person)
        assert deliver(boss, at=at) == 1
        left = notices().get()
        assert (left.pk, left.tries) == (notice.pk, tries)
        assert "no such joint" in left.last_error
        assert left.leased_until == at + wait_after(tries)
        assert deliver(boss, at=at) == 0
        at = left.leased_until + timedelta(seconds=1)
    assert Pattern.objects.get().joint == another
    monkeypatch.undo()
    assert deliver(boss, at=at) == 1
    assert Pattern.objects.count() == 2


def test_the_wait_grows_to_six_hours_and_no_further() -> None:
    waits = [wait_after(tries) for tries in (1, 2, 3, 9, 10, 11, 30_000)]
    assert waits[:3] == [timedelta(minutes=1), timedelta(minutes=2), timedelta(minutes=4)]
    assert waits[3:] == [timedelta(minutes=256)] + [timedelta(hours=6)] * 3


def test_trouble_with_the_database_is_not_the_notices_fault(
    notice: Outbox, boss: Actor, monkeypatch: pytest.MonkeyPatch
) -> None:
    failing_on(notice.vehicle_id, OperationalError("database is locked"), monkeypatch)
    with pytest.raises(OperationalError):
        deliver(boss, at=NOW)
    monkeypatch.undo()
    assert deliver(boss, at=NOW) == 1
