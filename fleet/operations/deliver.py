"""Delivering the outbox: notices are leased, worked off, and deleted with the work.

A worker killed in the middle leaves its leases to run out; the next one does the work again.
Nothing is lost with a lost task, because the notice is a row. A notice that can't be worked off
is tried by itself, later and later, and keeps no other from its turn.
"""

import logging
from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime, timedelta

from django.db import OperationalError, connection, models, transaction
from django.db.models import F, Q

from fleet.operations import exposures, patterns
from fleet.operations.actor import Actor
from fleet.operations.work import Work
from fleet.records.models import Outbox

LEASE = timedelta(minutes=20)
BATCH = 200
# After a failure: so long, doubled each time, up to a most.
FIRST_WAIT, LONGEST_WAIT = timedelta(minutes=1), timedelta(hours=6)
MOST_DOUBLINGS = 10

log = logging.getLogger(__name__)


def deliver(actor: Actor, *, at: datetime, most: int = BATCH) -> int:
    """Work off up to `most` notices; returns how many were delivered.

    Raises OperationalError where the database itself is in trouble; the leases are given back.
    """
    taken = lease("patterns", at, most)
    if not taken:
        return 0
    try:
        _work_off(actor, at, taken)
    except OperationalError:
        _give_back(taken)
        raise
    except Exception:
        log.exception("%s notices could not be worked off together", len(taken))
        return sum(_alone(actor, at, rows) for rows in _by_vehicle(taken))
    return len(taken)


def lease(consumer: str, at: datetime, most: int) -> list[Outbox]:
    """Take notices that nobody holds, for as long as a lease lasts."""
    free = Q(leased_until=None) | Q(leased_until__lt=at)
    with transaction.atomic(durable=True):
        rows = Outbox.objects.filter(free, consumer=consumer).order_by("id")
        if connection.features.has_select_for_update_skip_locked:
            rows = rows.select_for_update(skip_locked=True)
        taken = list(rows[:most])
        if taken:
            _rows(taken).update(leased_until=at + LEASE, tries=F("tries") + 1)
    return taken


def _work_off(actor: Actor, at: datetime, taken: Iterable[Outbox]) -> None:
    """The work, and the end of its notices, in one transaction."""
    vehicles = {row.vehicle_id for row in taken if row.vehicle_id is not None}
    reckoned = exposures.changes_of(vehicles)
    with transaction.atomic(durable=True):
        patterns.scan(Work(actor, at), vehicles)
        exposures.store(reckoned)
        _rows(taken).delete()


def _alone(actor: Actor, at: datetime, rows: list[Outbox]) -> int:
    """The notices of one vehicle by themselves; how many were delivered."""
    try:
        _work_off(actor, at, rows)
    except Exception as error:
        log.exception("notices of vehicle %s could not be worked off", rows[0].vehicle_id)
        for row in rows:
            until = at + wait_after(row.tries + 1)
            _rows([row]).update(leased_until=until, last_error=repr(error)[:500])
        return 0
    return len(rows)


def wait_after(tries: int) -> timedelta:
    """How long a notice waits after so many failures."""
    return min(FIRST_WAIT * (1 << min(tries - 1, MOST_DOUBLINGS)), LONGEST_WAIT)


def _give_back(taken: list[Outbox]) -> None:
    try:
        _rows(taken).update(leased_until=None)
    except OperationalError:
        log.exception("%s leases are left to run out", len(taken))


def _by_vehicle(taken: list[Outbox]) -> Iterable[list[Outbox]]:
    by_vehicle: dict[int | None, list[Outbox]] = defaultdict(list)
    for row in taken:
        by_vehicle[row.vehicle_id].append(row)
    return by_vehicle.values()


def _rows(taken: Iterable[Outbox]) -> "models.QuerySet[Outbox]":
    rows: models.QuerySet[Outbox] = Outbox.objects.filter(pk__in=[row.pk for row in taken])
    return rows
