"""A run worked off: by the work process or a worker, never by the web process.

A run is leased like a notice of the outbox: one whose worker was killed is taken up again.
"""

import logging
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from django.db import connection, transaction
from django.db.models import F, Q
from django.utils import timezone

from fleet.calc import planning as calc
from fleet.operations.actor import Actor
from fleet.operations.plan_propose import solved
from fleet.reads.plan.facts import question
from fleet.reads.plan.span import spans_of
from fleet.records.models import PlanRun, PlanRunYard

log = logging.getLogger(__name__)

LEASE = timedelta(minutes=5)
# How long a run looks for a better plan unless it is stopped (own).
SECONDS = 30.0
# A run that kills its worker is not tried for ever.
MOST_TRIES = 3
# Progress is written, and the wish to stop read, no more often than this.
EVERY_SECONDS = 0.5

WAITING, RUNNING = PlanRun.State.WAITING, PlanRun.State.RUNNING


def work_plans(
    actor: Actor, *, at: datetime, stopping: Callable[[], bool] = lambda: False,
    seconds: float | None = None, rounds: int | None = None,
) -> int:  # fmt: skip
    """Work off one run that waits; returns 1 if there was one.

    By `rounds` of improvement alone it comes to the same on any machine.
    """
    run = _lease(at)
    if run is None:
        return 0
    began = time.monotonic()
    try:
        asked = question(actor.person, spans_of(run, at))
        progress = _Progress(run, stopping)
        effort = calc.Effort(
            seconds=SECONDS if seconds is None else seconds, rounds=rounds,
            on_progress=progress.tell, should_stop=progress.stop, in_turn=rounds is None,
        )  # fmt: skip
        yards = dict(run.over.values_list("yard__slug", "yard"))
        proposal, figures = solved(asked, effort, yards)
    except Exception:
        log.exception("plan run %s failed", run.pk)
        _store(run, PlanRun.State.FAILED, proposal={}, seconds=time.monotonic() - began)
        return 1
    _store(run, PlanRun.State.PROPOSED, proposal=proposal, seconds=time.monotonic() - began,
           **figures)  # fmt: skip
    return 1


def _lease(at: datetime) -> PlanRun | None:
    lapsed = Q(state=RUNNING, leased_until__lt=at)
    with transaction.atomic(durable=True):
        given_up = PlanRun.objects.filter(lapsed, tries__gte=MOST_TRIES)
        PlanRunYard.objects.filter(run__in=given_up).update(at_work=False)
        given_up.update(state=PlanRun.State.FAILED)
        rows = PlanRun.objects.filter(Q(state=WAITING) | lapsed).order_by("id")
        if connection.features.has_select_for_update_skip_locked:
            rows = rows.select_for_update(skip_locked=True)
        run = rows.first()
        if run is not None:
            PlanRun.objects.filter(pk=run.pk).update(
                state=RUNNING, leased_until=at + LEASE, tries=F("tries") + 1,
                version=F("version") + 1,
            )  # fmt: skip
            run = PlanRun.objects.select_related("yard").get(pk=run.pk)
    return run


def _store(run: PlanRun, state: str, **columns: Any) -> None:
    """Only while it is still at work: one whose lease another took up is that other's."""
    rows = PlanRun.objects.filter(pk=run.pk, state=RUNNING, tries=run.tries)
    with transaction.atomic(durable=True):
        if rows.update(state=state, leased_until=None, ended_at=timezone.now(),
                       version=F("version") + 1, **columns):  # fmt: skip
            PlanRunYard.objects.filter(run=run).update(at_work=False)


@dataclass
class _Progress:
    """Writes how far the planner is, and knows whether somebody wants it to stop."""

    run: PlanRun
    stopping: Callable[[], bool]
    told_at: float = field(default_factory=lambda: 0.0)
    wanted: bool = False

    def tell(self, best: float, bound: float, _seconds: float) -> None:
        self._look(best=best, bound=bound)

    def stop(self) -> bool:
        self._look()
        return self.wanted or self.stopping()

    def _look(self, **figures: float) -> None:
        now = time.monotonic()
        if now - self.told_at < EVERY_SECONDS and not (figures and not self.told_at):
            return
        self.told_at = now
        rows = PlanRun.objects.filter(pk=self.run.pk, state=RUNNING)
        if figures:
            rows.update(leased_until=timezone.now() + LEASE, **figures)
        self.wanted = not rows.filter(stop_wanted=False).exists()
