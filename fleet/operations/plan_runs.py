"""Runs of the planner: asked for, stopped, left, and what one proposes put in place."""

from datetime import date, datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import F
from django.dispatch import Signal
from django.utils.translation import gettext as _

from fleet.operations.actor import Actor
from fleet.operations.errors import refuse
from fleet.operations.once import Request
from fleet.operations.plan_lock import lock_plan
from fleet.operations.plan_take import put_in_place
from fleet.operations.work import Done, Work, find, run, same_version
from fleet.reads.days import today_at
from fleet.reads.plan.facts import now_first
from fleet.records.models import PlanRun

DAYS, MOST_DAYS = 14, 60
PROPOSED = PlanRun.State.PROPOSED

# Sent after a commit that left a run waiting; fleet.tasks listens when there is a broker.
plan_wanted = Signal()


def ask_for_plan(
    actor: Actor, yard_id: int, *, at: datetime, first: date | None = None, days: int = DAYS,
    request: Request | None = None,
) -> Done[PlanRun]:  # fmt: skip
    """Ask the planner for the days from `first` on (as soon as can be where it is left out).

    One run at a time for a yard: whoever asks while one is at work is shown that one. What an
    older run proposed is left.
    """
    actor.need("edit_plan")

    def apply(work: Work) -> PlanRun:
        plan = lock_plan(work, yard_id)
        soonest = now_first(plan.yard, plan, work.at)
        start = max(first or soonest, soonest)
        if not 1 <= days <= MOST_DAYS:
            message = _("Choose from 1 to %(most)s days.") % {"most": MOST_DAYS}
            raise refuse("days_wrong", message, field="days")
        if (start - today_at(plan.yard, work.at)).days > MOST_DAYS:
            message = _("Begin within %(most)s days from today.") % {"most": MOST_DAYS}
            raise refuse("day_too_far", message, field="first")
        rows = PlanRun.objects.filter(yard=plan.yard)
        at_work = rows.filter(state__in=PlanRun.ASKED).first()
        if at_work is not None:
            return at_work
        rows.filter(state=PROPOSED).update(state=PlanRun.State.LEFT, version=F("version") + 1)
        row = PlanRun.objects.create(
            yard=plan.yard, first=start, last=start + timedelta(days=days - 1),
            asked_by=actor.person, asked_at=work.at,
        )  # fmt: skip
        transaction.on_commit(lambda: plan_wanted.send(PlanRun), robust=True)
        work.trail("ask_for_plan", row, after={"first": str(row.first), "last": str(row.last)})
        return row

    return run("ask_for_plan", actor, at, apply, request)


def stop_run(
    actor: Actor, run_id: int, *, at: datetime, request: Request | None = None
) -> Done[PlanRun]:
    """Stop looking for a better plan: the best one so far is proposed."""
    actor.need("edit_plan")

    def apply(work: Work) -> PlanRun:
        row = find(PlanRun, actor, run_id, _("run of the planner"))
        stopped = PlanRun.objects.filter(pk=row.pk, state__in=PlanRun.ASKED, stop_wanted=False)
        if stopped.update(stop_wanted=True):
            work.trail("stop_plan", row)
        row.refresh_from_db()
        return row

    return run("stop_run", actor, at, apply, request)


def leave_run(
    actor: Actor, run_id: int, *, at: datetime, expected_version: int | None = None,
    request: Request | None = None,
) -> Done[PlanRun]:  # fmt: skip
    """Leave what was proposed: the plan stays as it is."""
    actor.need("edit_plan")

    def apply(work: Work) -> PlanRun:
        row = _proposed(work, run_id, expected_version)
        _end(row, PlanRun.State.LEFT, work.at)
        work.trail("leave_plan", row)
        return row

    return run("leave_run", actor, at, apply, request)


def take_run(
    actor: Actor, run_id: int, *, at: datetime, expected_version: int | None = None,
    request: Request | None = None,
) -> Done[PlanRun]:  # fmt: skip
    """Put what was proposed in place. What has changed since it was read stays as it is now."""
    actor.need("edit_plan")

    def apply(work: Work) -> PlanRun:
        seen = find(PlanRun, actor, run_id, _("run of the planner"))
        vehicles = [visit["vehicle"] for visit in seen.proposal.get("visits", [])]
        people = [person for visit in seen.proposal.get("visits", [])
                  for person, _minutes in visit["people"]]  # fmt: skip
        plan = lock_plan(work, seen.yard_id, vehicles, people)
        row = _proposed(work, run_id, expected_version)
        if row.proposal.get("clashes"):
            message = _("There is no plan to put in place: its pins and locked days clash.")
            raise refuse("plan_clashes", message)
        taken: dict[str, Any] = put_in_place(work, plan, row)
        _end(row, PlanRun.State.TAKEN, work.at, taken=taken)
        work.trail("take_plan", row, after={
            name: len(taken[name]) if isinstance(taken[name], list) else taken[name]
            for name in ("made", "moved", "out", "stale")
        })  # fmt: skip
        return row

    return run("take_run", actor, at, apply, request)


def _proposed(work: Work, run_id: int, expected: int | None) -> PlanRun:
    find(PlanRun, work.actor, run_id, _("run of the planner"))
    row = PlanRun.objects.select_for_update().get(pk=run_id)
    same_version(row, expected)
    if row.state != PROPOSED:
        raise refuse("not_proposed", _("This proposal is no longer open."))
    return row


def _end(row: PlanRun, to: str, at: datetime, **columns: Any) -> None:
    for name, value in {"state": to, "version": row.version + 1, **columns}.items():
        setattr(row, name, value)
    row.save(update_fields=["state", "version", *columns])
