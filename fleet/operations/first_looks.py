"""A new fleet's first looks: the routine of vehicles that were never inspected is brought forward,
so many a working day, since until then nothing is known of their joints."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import islice

from django.utils.translation import gettext as _

from fleet.operations import projection
from fleet.operations.actor import Actor
from fleet.operations.errors import Problem, Refused, refuse
from fleet.operations.once import Request
from fleet.operations.work import Done, Work, find, run
from fleet.reads.days import today_at
from fleet.reads.set_up import never_inspected
from fleet.records.models import Recheck, Yard

FURTHEST = timedelta(days=365)
MOST_A_DAY = 100


@dataclass(frozen=True)
class FirstLooks:
    """From which day on, and how many vehicles on each working day of the yard."""

    first_day: date
    a_day: int


def set_first_looks(
    actor: Actor, yard_id: int, plan: FirstLooks, *, at: datetime, request: Request | None = None
) -> Done[Yard]:
    """Make the first inspection of a yard's vehicles due; one that is due sooner stays."""
    actor.need("assign_work")

    def apply(work: Work) -> Yard:
        yard = find(Yard, actor, yard_id, _("yard"))
        _refuse_wrong(plan, today_at(yard, at))
        waiting = never_inspected(actor.person).filter(yard=yard).order_by("unit_number")
        ids = list(waiting.values_list("pk", flat=True))
        if not ids:
            message = _("No vehicle in service here waits for its first look.")
            raise refuse("nothing_waits", message)
        work.lock_all(ids)
        days = islice(_working_days(yard, plan), len(ids))
        for vehicle_id, day in zip(ids, days, strict=True):
            _bring_forward(work, vehicle_id, day)
        return yard

    return run("set_first_looks", actor, at, apply, request)


def _refuse_wrong(plan: FirstLooks, today: date) -> None:
    found = []
    if not today <= plan.first_day <= today + FURTHEST:
        message = _("Choose a day from today on, within a year.")
        found.append(Problem("day_wrong", message, field="first_day"))
    if not 1 <= plan.a_day <= MOST_A_DAY:
        message = _("Type how many are looked at on a day, from 1 to %(most)s.")
        found.append(Problem("a_day_wrong", message % {"most": MOST_A_DAY}, field="a_day"))
    if found:
        raise Refused(tuple(found))


def _working_days(yard: Yard, plan: FirstLooks) -> Iterator[date]:
    """Each of the yard's working days as often as it can take a vehicle."""
    day = plan.first_day
    while True:
        if not yard.working_days or day.weekday() in yard.working_days:
            yield from [day] * plan.a_day
        day += timedelta(days=1)


def _bring_forward(work: Work, vehicle_id: int, day: date) -> None:
    rows = Recheck.objects.filter(vehicle=vehicle_id, joint=None, state__in=Recheck.LIVE)
    recheck = rows.filter(kind=Recheck.Kind.ROUTINE).select_related("vehicle__yard").first()
    if recheck is None or recheck.falls_on <= day:
        return
    before = recheck.falls_on
    recheck.due_on = day
    projection.place(recheck, recheck.vehicle, getattr(recheck.vehicle, "use", None))
    recheck.save(update_fields=["due_on", *projection.FIELDS])
    then = {"falls_on": str(recheck.falls_on)}
    work.trail("make_first_look_due", recheck, vehicle=recheck.vehicle,
               before={"falls_on": str(before)}, after=then)  # fmt: skip
