"""Tasks: thin over operations, each safe to run twice, at once or again after being lost."""

import logging
from typing import Any

from django.utils import timezone
from kombu.exceptions import OperationalError

from fleet.celery import app
from fleet.operations.actor import server_actor
from fleet.operations.deliver import deliver
from fleet.operations.digest_send import send_digests
from fleet.operations.events import forget_old, publish
from fleet.operations.plan_solve import work_plans
from fleet.operations.refit import refit
from fleet.operations.roll import roll
from fleet.operations.scan_fleet import scan_fleet as scan
from fleet.operations.webhook_send import send

log = logging.getLogger(__name__)


@app.task
def deliver_outbox() -> None:
    """Work off notices until none is left that nobody holds."""
    while deliver(server_actor(), at=timezone.now()):
        pass


@app.task
def tell_events() -> None:
    """Word what happened for other programs, and send what is owed to them now."""
    while publish(server_actor(), at=timezone.now()):
        pass
    while send(at=timezone.now()):
        pass


@app.task
def forget_events() -> None:
    """Let go of events too old to be sent again."""
    forget_old(at=timezone.now())


@app.task
def write_digests() -> None:
    """Send the digests whose hour has come."""
    send_digests(at=timezone.now())


@app.task
def roll_days() -> None:
    """Bring every yard up to its own today."""
    roll(server_actor(), at=timezone.now())


@app.task
def scan_fleet() -> None:
    """Look for patterns over the whole fleet."""
    scan(server_actor(), at=timezone.now())


@app.task
def refit_intervals() -> None:
    """Reckon anew how long joints hold, where a month or a fifth more finds went by."""
    refit(server_actor(), at=timezone.now())


@app.task
def plan_visits() -> None:
    """Work off the runs of the planner that wait."""
    while work_plans(server_actor(), at=timezone.now()):
        pass


def notices_left(**_: Any) -> None:
    """Ask a worker to deliver now; the schedule does it within a minute where that fails."""
    try:
        deliver_outbox.apply_async(retry=False)
    except OperationalError:
        log.exception("The broker is out of reach; the notices wait in the outbox.")


def plan_left(**_: Any) -> None:
    """The same for a run of the planner."""
    try:
        plan_visits.apply_async(retry=False)
    except OperationalError:
        log.exception("The broker is out of reach; the run waits for its turn.")
