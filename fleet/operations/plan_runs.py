"""Runs of the planner: asked for, stopped, left, and what one proposes put in place."""

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import F
from django.dispatch import Signal
from django.utils.translation import gettext as _

from fleet.operations.actor import Actor
from fleet.operations.errors import refuse
from fleet.operations.once import Request
from fleet.operations.plan_lock import lock_plans
from fleet.operations.plan_take import put_in_place
from fleet.operations.work import Done, Work, find, run, same_version
from fleet.reads.days import today_at
from fleet.reads.plan.facts import now_first
from fleet.records.models import PlanRun, PlanRunYard, YardPlan

DAYS, MOST_DAYS = 14, 60
PROPOSED = PlanRun.State.PROPOSED

# Sent after a commit that left a run waiting; fleet.tasks listens when there is a broker.
plan_wanted = Signal()


def ask_for_plan(
    actor: Actor, yard_id: int, *, at: datetime, first: date | None = None, days: int = DAYS,
    others: Iterable[int] = (), request: Request | None = None,
) -> Done[PlanRun]:  # fmt: skip
    """Ask the planner for the days from `first` on (as soon as can be where it is left out).

    `others` are yards planned together with it, each by its own calendar, so that people whom
    they share are weighed between them. One run at a time for a yard: whoever asks while one is
    at work on any of these is shown that one. What older runs proposed for them is left.
    """
    actor.need("edit_plan")

    def apply(work: Work) -> PlanRun:
        plans = lock_plans(work, {yard_id, *others})
        firsts = {plan.yard_id: _first(work, plan, first, days) for plan in plans}
        over = PlanRunYard.objects.filter(yard__in=firsts)
        at_work = over.filter(at_work=True).select_related("run")
        if at_work:
            return _shown(actor, min(at_work, key=lambda one: one.yard_id != yard_id).run)
        old = PlanRun.objects.filter(pk__in=over.values("run"), state=PROPOSED)
        old.update(state=PlanRun.State.LEFT, version=F("version") + 1)
        row = _asked(work, yard_id, firsts, days)
        transaction.on_commit(lambda: plan_wanted.send(PlanRun), robust=True)
        work.trail("ask_for_plan", row, after={
            "first": str(row.first), "last": str(row.last),
            "yards": ", ".join(plan.yard.name for plan in plans),
        })  # fmt: skip
        return row

    return run("ask_for_plan", actor, at, apply, request)


def _first(work: Work, plan: YardPlan, wanted: date | None, days: int) -> date:
    """The first day of one yard: not before its own next day that can still be planned."""
    soonest = now_first(plan.yard, plan, work.at)
    start = max(wanted or soonest, soonest)
    if not 1 <= days <= MOST_DAYS:
        message = _("Choose from 1 to %(most)s days.") % {"most": MOST_DAYS}
        raise refuse("days_wrong", message, field="days")
    if (start - today_at(plan.yard, work.at)).days > MOST_DAYS:
        message = _("Begin within %(most)s days from today.") % {"most": MOST_DAYS}
        raise refuse("day_too_far", message, field="first")
    return start


def _asked(work: Work, yard_id: int, firsts: dict[int, date], days: int) -> PlanRun:
    """All end on one day: so many days from the first day of the yard that was asked from."""
    last = firsts[yard_id] + timedelta(days=days - 1)
    firsts = {yard: first for yard, first in firsts.items() if first <= last}
    row = PlanRun.objects.create(
        yard_id=yard_id, first=min(firsts.values()), last=last, asked_by=work.actor.person,
        asked_at=work.at,
    )  # fmt: skip
    PlanRunYard.objects.bulk_create(
        PlanRunYard(run=row, yard_id=yard, first=first) for yard, first in firsts.items()
    )
    return row


def _shown(actor: Actor, row: PlanRun) -> PlanRun:
    """A run at work, to whoever may see all of its yards."""
    if PlanRun.visible_to(actor.person).filter(pk=row.pk).exists():
        return row
    message = _(
        "The planner is at work on this yard together with one that is not yours. "
        "Ask again when it is done."
    )
    raise refuse("planned_elsewhere", message)


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
    """Put what was proposed in place, of all its yards or of none.

    What has changed since it was read stays as it is now.
    """
    actor.need("edit_plan")

    def apply(work: Work) -> PlanRun:
        seen = find(PlanRun, actor, run_id, _("run of the planner"))
        vehicles = [visit["vehicle"] for visit in seen.proposal.get("visits", [])]
        people = [person for visit in seen.proposal.get("visits", [])
                  for person, _minutes in visit["people"]]  # fmt: skip
        yards = seen.over.values_list("yard", flat=True)
        plans = lock_plans(work, yards, vehicles, people)
        row = _proposed(work, run_id, expected_version)
        if row.proposal.get("clashes"):
            message = _("There is no plan to put in place: its pins and locked days clash.")
            raise refuse("plan_clashes", message)
        taken: dict[str, Any] = put_in_place(work, plans, row)
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
