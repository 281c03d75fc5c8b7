"""Looking for patterns over the whole fleet, some vehicles at a time."""

from datetime import datetime

from django.db import transaction

from fleet.operations import exposures, patterns
from fleet.operations.actor import Actor
from fleet.operations.stand_out import scan_stand_outs
from fleet.operations.work import Work
from fleet.records.models import Vehicle

# So that the write lock is never held for long.
CHUNK = 25


def scan_fleet(actor: Actor, *, at: datetime) -> int:
    """Scan every vehicle, then the record as a whole; returns how many patterns changed.

    Running it again changes nothing.
    """
    exposures.ensure_baselines(at)
    ids = list(Vehicle.objects.order_by("pk").values_list("pk", flat=True))
    changed = 0
    for start in range(0, len(ids), CHUNK):
        some = ids[start : start + CHUNK]
        reckoned = exposures.changes_of(some)
        with transaction.atomic(durable=True):
            changed += patterns.scan(Work(actor, at), some)
            exposures.store(reckoned)
    return changed + scan_stand_outs(actor, at=at)
