"""A run worked off: by the work process or a worker, never by the web process.

A run is leased like a notice of the outbox: one whose worker was killed is taken up again.
"""

import logging
import time
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Any

from django.db import connection, transaction
from django.db.models import F, Q
from django.utils import timezone

from fleet.calc import planning as calc
from fleet.operations.actor import Actor
from fleet.reads.days import today_at
from fleet.reads.plan.facts import Question, question
from fleet.reads.plan.why import clash_as_data, reasons_as_data
from fleet.records.models import PlanRun

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
        today = today_at(run.yard, at)
        asked = question(actor.person, run.yard, run.first, run.last, today)
        progress = _Progress(run, stopping)
        effort = calc.Effort(
            seconds=SECONDS if seconds is None else seconds, rounds=rounds,
            on_progress=progress.tell, should_stop=progress.stop,
        )  # fmt: skip
        proposal, figures = _solved(asked, effort)
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
        PlanRun.objects.filter(lapsed, tries__gte=MOST_TRIES).update(state=PlanRun.State.FAILED)
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
    rows.update(state=state, leased_until=None, ended_at=timezone.now(),
                version=F("version") + 1, **columns)  # fmt: skip


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


def _solved(asked: Question, effort: calc.Effort) -> tuple[dict[str, Any], dict[str, float]]:
    try:
        plan = calc.plan_visits(
            asked.work, [asked.yard], asked.people, asked.days, asked.standing, effort
        )
    except calc.NoPlan as clash:
        return {"visits": [], "read": {}, "unplaced": [],
                "clashes": [clash_as_data(one) for one in clash.clashes]}, {}  # fmt: skip
    hands = {one.key: one.people for one in asked.work}
    return {
        "visits": _visits(plan, asked, hands),
        "read": {str(pk): version for pk, version in asked.read.items()},
        "unplaced": [{"work": one.work, "reasons": reasons_as_data(one)} for one in plan.unplaced],
        "clashes": [], "asked": len(asked.work), "stopped": plan.stopped,
        "hold_objective": plan.hold_objective,
    }, {"best": plan.objective, "bound": plan.bound}  # fmt: skip


def _visits(plan: calc.Plan, asked: Question, hands: dict[str, int]) -> list[dict[str, Any]]:
    """All work on one vehicle on one day is one visit; its place in the bay is by its start."""
    by_visit: dict[tuple[str, date], list[calc.Assignment]] = defaultdict(list)
    for one in plan.assignments:
        by_visit[one.vehicle, one.day].append(one)
    rows = sorted(by_visit.values(), key=lambda works: min((w.day, w.bay, w.start) for w in works))
    places: dict[tuple[date, int], int] = defaultdict(int)
    found = []
    for works in rows:
        first = min(works, key=lambda work: work.start)
        places[first.day, first.bay] += 1
        found.append({
            "vehicle": int(first.vehicle), "day": first.day.isoformat(), "bay": first.bay,
            "place": places[first.day, first.bay],
            "begins": max(first.start - asked.yard.setup_minutes, 0),
            "people": _people(works, first, asked.yard.setup_minutes),
            "works": [_work(work, hands) for work in works],
        })  # fmt: skip
    return found


def _people(
    works: list[calc.Assignment], first: calc.Assignment, set_up: int
) -> list[tuple[int, int]]:
    """Each with the minutes it takes of them; the first of the first work brings it in and out."""
    minutes: dict[str, int] = defaultdict(int)
    minutes[first.people[0]] += set_up
    for work in works:
        for person in work.people:
            minutes[person] += work.minutes
    return [(int(person), taken) for person, taken in minutes.items()]


def _work(work: calc.Assignment, hands: dict[str, int]) -> dict[str, Any]:
    kind = "recheck" if work.work[0] == "r" else "ticket"
    return {kind: int(work.work[1:]), "minutes": work.minutes,
            "hands": hands.get(work.work, len(work.people))}  # fmt: skip
