"""Days of a yard's plan locked and unlocked: no run and no hand changes a locked day."""

from datetime import date, datetime

from django.utils.translation import gettext as _

from fleet.operations.actor import Actor
from fleet.operations.once import Request
from fleet.operations.plan_lock import lock_plan
from fleet.operations.work import Done, Work, find, run
from fleet.records.models import LockedDay, Yard, YardPlan


def lock_day(
    actor: Actor, yard_id: int, day: date, *, at: datetime, request: Request | None = None
) -> Done[LockedDay]:
    """Keep a day as it is. Locked twice, it is locked."""
    actor.need("edit_plan")

    def apply(work: Work) -> LockedDay:
        plan = lock_plan(work, yard_id)
        row, made = LockedDay.objects.get_or_create(
            yard=plan.yard, day=day, defaults={"by": actor.person}
        )
        if made:
            work.trail("lock_day", row, after={"day": day.isoformat()})
        return row

    return run("lock_day", actor, at, apply, request)


def unlock_day(
    actor: Actor, yard_id: int, day: date, *, at: datetime, request: Request | None = None
) -> Done[YardPlan]:
    """Let a day be changed again."""
    actor.need("edit_plan")

    def apply(work: Work) -> YardPlan:
        find(Yard, actor, yard_id, _("yard"))
        plan = lock_plan(work, yard_id)
        row = LockedDay.objects.filter(yard=plan.yard, day=day).first()
        if row is not None:
            work.trail("unlock_day", row, before={"day": day.isoformat()})
            row.delete()
        return plan

    return run("unlock_day", actor, at, apply, request)
