"""Looking for patterns over the whole fleet, some vehicles at a time."""

from datetime import datetime

from django.db import transaction

from fleet.operations import exposures, patterns
from fleet.operations.actor import Actor
from fleet.operations.reckoning import in_parts, reckon
from fleet.operations.stand_out import scan_stand_outs
from fleet.operations.work import Work

# So that the write lock is never held for long.
CHUNK = 100


def scan_fleet(actor: Actor, *, at: datetime) -> int:
    """Scan the vehicles on which anything has happened since they were scanned, then the record as
    a whole; returns how many patterns changed.

    Running it again changes nothing.
    """
    reckoning = reckon()
    exposures.ensure_baselines(at, reckoning)
    reckoning = reckoning.weighed()
    changed = 0
    for some in in_parts(list(reckoning.versions), CHUNK):
        changes = reckoning.changes(some)
        with transaction.atomic(durable=True):
            changed += patterns.scan(Work(actor, at), some)
            exposures.store(changes)
    exposures.weigh_waiting()
    return changed + scan_stand_outs(actor, at=at)
