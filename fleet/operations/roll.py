"""The yard's midnight: what fell due is marked missed, and what is missed by far holds.

Nothing on a screen waits for it: shares and 'overdue' are worked out on reading. It writes the
moment each recheck fell due, catching up over any nights on which nothing ran.
"""

import logging
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from functools import partial

from django.db import transaction
from django.db.models import QuerySet
from django.utils.translation import gettext as _

from fleet.calc.calendar import local_date, start_of_local_day
from fleet.operations import exceptions, holds, moves, rechecks
from fleet.operations.actor import Actor
from fleet.operations.work import EVENTS, Work
from fleet.reads.due import overdue
from fleet.reads.rules import setting
from fleet.records.base import in_every_language
from fleet.records.models import Hold, Joint, Recheck, Vehicle, Yard

log = logging.getLogger(__name__)


def roll(actor: Actor, *, at: datetime) -> int:
    """Roll every yard whose day has changed; returns how many rechecks were marked missed.

    A yard that can't be rolled keeps no other from its day; what went wrong is raised at the end.
    """
    missed, failures = 0, []
    for yard in Yard.objects.order_by("id"):
        try:
            missed += roll_yard(actor, yard, at=at)
        except Exception as error:
            log.exception("the day of %s could not be rolled", yard.name)
            failures.append(error)
    if failures:
        raise ExceptionGroup("some yards could not be rolled", failures)
    return missed


def roll_yard(actor: Actor, yard: Yard, *, at: datetime) -> int:
    """Catch one yard up to its own today. Running it twice changes nothing."""
    today = local_date(at, yard.time_zone)
    if yard.rolled_to is not None and yard.rolled_to >= today:
        return 0
    ids = list(_fallen(yard, at).values_list("pk", "vehicle_id"))
    missed = sum(_miss(actor, vehicle_id, recheck_id, at) for recheck_id, vehicle_id in ids)
    _hold_the_late(actor, yard, at)
    _tell_what_lapsed(actor, yard, at)
    exceptions.lapse(actor, yard, at)
    Yard.objects.filter(pk=yard.pk).update(rolled_to=today)
    return missed


def _fallen(yard: Yard, at: datetime) -> QuerySet[Recheck]:
    """Owed, and past its date at the yard or past its use on the meter."""
    owed = Recheck.objects.filter(vehicle__yard=yard, state=Recheck.State.OWED)
    late = overdue(owed.exclude(vehicle__status=Vehicle.Status.OUT), [yard], at)
    return late.order_by("id")


def _miss(actor: Actor, vehicle_id: int, recheck_id: int, at: datetime) -> int:
    with transaction.atomic(durable=True):
        work = Work(actor, at)
        vehicle = work.lock(vehicle_id)
        recheck = Recheck.objects.filter(pk=recheck_id, state=Recheck.State.OWED).first()
        if recheck is None:
            return 0
        moment = fell_due(recheck, vehicle)
        moves.move(recheck, moves.RECHECK_MOVES, Recheck.State.MISSED, fell_due_at=moment)
        after = {"fell_due_at": str(moment)}
        work.trail("miss_recheck", recheck, vehicle=vehicle, after=after, tell=EVENTS)
        return 1


def fell_due(recheck: Recheck, vehicle: Vehicle) -> datetime:
    """The first of: the start of the day after its date, and the reading past its use."""
    moments = []
    if recheck.due_on is not None:
        moments.append(
            start_of_local_day(recheck.due_on + timedelta(days=1), vehicle.yard.time_zone)
        )
    if recheck.due_use_si is not None:
        past = vehicle.readings.filter(
            use_si__gt=recheck.due_use_si, occurred_at__gte=recheck.started_at, withdrawn_by=None
        ).order_by("occurred_at", "id").first()  # fmt: skip
        if past is not None:
            moments.append(past.occurred_at)
    return min(moments) if moments else recheck.started_at.astimezone(UTC)


def _hold_the_late(actor: Actor, yard: Yard, at: datetime) -> None:
    """Track-bar ends and wheel nuts hold at twice their interval (own)."""
    late = Recheck.objects.filter(
        vehicle__yard=yard, state=Recheck.State.MISSED, hold_at_twice=True,
        vehicle__status=Vehicle.Status.IN_SERVICE,
    ).exclude(hold__lifted_at=None, hold__isnull=False)  # fmt: skip
    # What lies apart holds the vehicle already, and can't be looked at.
    late = late.exclude(joint__fitted=Joint.Fitted.APART)
    multiple = float(setting("hold_at_multiple"))
    for recheck in _late_by(late.select_related("vehicle__yard", "vehicle__use"), at, multiple):
        with transaction.atomic(durable=True):
            work = Work(actor, at)
            vehicle = work.lock(recheck.vehicle_id)
            if not Recheck.objects.filter(pk=recheck.pk, state=Recheck.State.MISSED).exists():
                continue  # done while we came to it
            said = in_every_language(partial(_missed, recheck, vehicle))
            holds.place(work, vehicle, Hold.Reason.MISSED, said, joint=recheck.joint,
                        recheck=recheck, ticket=None)  # fmt: skip


def _tell_what_lapsed(actor: Actor, yard: Yard, at: datetime) -> None:
    """What was let out by a read-over keeps the vehicle in again by itself; the trail says so."""
    lapsed = Hold.objects.filter(vehicle__yard=yard, lifted_at=None, out_until__lte=at)
    for hold_id, vehicle_id in list(lapsed.order_by("id").values_list("pk", "vehicle")):
        with transaction.atomic(durable=True):
            work = Work(actor, at)
            vehicle = work.lock(vehicle_id)
            hold = lapsed.filter(pk=hold_id).first()
            if hold is not None:
                Hold.objects.filter(pk=hold_id).update(out_until=None)
                work.trail("read_over_lapsed", hold, vehicle=vehicle, tell=EVENTS,
                           before={"until": str(hold.out_until)})  # fmt: skip


def _missed(recheck: Recheck, vehicle: Vehicle) -> str:
    return _("%(what)s missed by twice its interval: %(joint)s") % {
        "what": recheck.get_kind_display(),
        "joint": recheck.joint.name if recheck.joint else vehicle.unit_number,
    }


def _late_by(rows: Iterable[Recheck], at: datetime, multiple: float) -> list[Recheck]:
    return [
        row
        for row in rows
        if rechecks.share_at(row, row.vehicle, at, _use_now(row.vehicle)) >= multiple
    ]


def _use_now(vehicle: Vehicle) -> int | None:
    return vehicle.use.last_use_si if hasattr(vehicle, "use") else None
