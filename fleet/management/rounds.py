"""All background work in one process, for an installation without a broker.

Deliver the outbox, bring each yard up to its own day, look over the whole fleet once a day. What
fails is told in the log, waits a while and keeps nothing else from its turn. A run of the planner
takes up to half a minute: it has a thread of its own, so that no notice waits for it.
"""

import logging
import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from django.db import connection
from django.utils import timezone

from fleet.operations import events, webhook_send
from fleet.operations.actor import server_actor
from fleet.operations.deliver import deliver
from fleet.operations.digest_send import send_digests
from fleet.operations.plan_solve import work_plans
from fleet.operations.refit import refit
from fleet.operations.roll import roll
from fleet.operations.scan_fleet import scan_fleet

log = logging.getLogger(__name__)

IDLE_SECONDS = 1.0
# Short naps, so that a signal to stop is heeded soon.
NAP_SECONDS = 0.2
ROLL_EVERY = timedelta(minutes=1)
WRITE_EVERY = timedelta(minutes=1)
FORGET_EVERY = timedelta(days=1)
FIRST_WAIT, LONGEST_WAIT = timedelta(seconds=1), timedelta(minutes=5)


@dataclass
class Job:
    """One kind of work: when it is next wanted, and how it went."""

    name: str
    do: Callable[[datetime], bool]
    every: timedelta = timedelta(0)
    not_before: datetime | None = None
    failures: int = 0

    def run(self, at: datetime) -> bool:
        """Do it if it is time; whether there was something to do."""
        if self.not_before is not None and at < self.not_before:
            return False
        try:
            busy = self.do(at)
        except Exception:
            self.failures += 1
            wait = min(FIRST_WAIT * (1 << min(self.failures, 10)), LONGEST_WAIT)
            log.exception("%s failed; again in %s", self.name, wait)
            self.not_before = at + wait
            _drop_what_is_broken()
            return False
        self.failures = 0
        self.not_before = at + self.every
        return busy


@dataclass
class Rounds:
    """The jobs in turn, until told to stop; runs of the planner beside them."""

    now: Callable[[], datetime] = timezone.now
    stopping: bool = False
    scanned: date | None = None
    refitted: date | None = None
    jobs: list[Job] = field(default_factory=list)
    planning: Job = field(init=False)

    def __post_init__(self) -> None:
        self.planning = Job("planning", self._plan)
        self.jobs = [
            Job("delivering the outbox", _deliver),
            Job("telling other programs", _tell),
            Job("sending digests", _write, WRITE_EVERY),
            Job("rolling the days", _roll, ROLL_EVERY),
            Job("scanning the fleet", self._scan, ROLL_EVERY),
            Job("reckoning intervals", self._refit, ROLL_EVERY),
            Job("forgetting old events", _forget, FORGET_EVERY),
        ]

    def once(self) -> bool:
        """Each job once, planning last; whether any found something to do."""
        return self._round([*self.jobs, self.planning])

    @property
    def well(self) -> bool:
        """Whether every job went well the last time."""
        return not any(job.failures for job in [*self.jobs, self.planning])

    def until_stopped(self) -> None:
        """Round after round; a second's rest after one that found nothing."""
        planner = threading.Thread(target=self._plans, name="planner")
        planner.start()
        try:
            self._again_and_again(self.jobs)
        finally:
            self.stop()
            planner.join()

    def stop(self, *_: object) -> None:
        """Finish what is in hand, then end."""
        self.stopping = True

    def _plans(self) -> None:
        """What the planner's thread does. It has its own connection to the database."""
        try:
            self._again_and_again([self.planning])
        finally:
            connection.close()

    def _again_and_again(self, jobs: Sequence[Job]) -> None:
        while not self.stopping:
            if not self._round(jobs):
                self._rest()

    def _round(self, jobs: Sequence[Job]) -> bool:
        busy = False
        for job in jobs:
            if not self.stopping:
                busy = job.run(self.now()) or busy
        return busy

    def _rest(self) -> None:
        until = time.monotonic() + IDLE_SECONDS
        while not self.stopping and time.monotonic() < until:
            time.sleep(NAP_SECONDS)

    def _plan(self, at: datetime) -> bool:
        """A run ends with its best plan when the process is told to stop."""
        return work_plans(server_actor(), at=at, stopping=lambda: self.stopping) > 0

    def _scan(self, at: datetime) -> bool:
        """Once a day, and once after the start: what a lost notice left undone is found here."""
        if self.scanned == at.date():
            return False
        changed = scan_fleet(server_actor(), at=at)
        self.scanned = at.date()
        return changed > 0

    def _refit(self, at: datetime) -> bool:
        """Once a day, after the scan that it rests on."""
        if self.refitted == at.date() or self.scanned != at.date():
            return False
        changed = refit(server_actor(), at=at)
        self.refitted = at.date()
        return changed > 0


def _drop_what_is_broken() -> None:
    """A connection that broke is made anew, as after the database was started again."""
    if not connection.in_atomic_block:
        connection.close_if_unusable_or_obsolete()


def _deliver(at: datetime) -> bool:
    return deliver(server_actor(), at=at) > 0


def _tell(at: datetime) -> bool:
    """What happened is worded, and what is owed of it is sent."""
    worded = events.publish(server_actor(), at=at)
    return webhook_send.send(at=at) + worded > 0


def _write(at: datetime) -> bool:
    return send_digests(at=at) > 0


def _forget(at: datetime) -> bool:
    return events.forget_old(at=at) > 0


def _roll(at: datetime) -> bool:
    return roll(server_actor(), at=at) > 0
