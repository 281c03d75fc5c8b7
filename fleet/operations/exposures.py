"""Keeping the exposures: what each check covered, weighed by what was usual before its month."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from fleet.operations.insert import insert
from fleet.reads.history.exposures import exposures_of
from fleet.reads.history.usual import (
    baselines,
    first_of,
    month_number,
    table_of,
    weighed,
)
from fleet.records.models import Baseline, Exposure

FIELDS = [field for field in Exposure._meta.concrete_fields if not field.primary_key]
# So many ids fit one statement on either database.
MOST = 5_000
NAMES, COLUMNS = [field.name for field in FIELDS], [field.attname for field in FIELDS]


@dataclass(frozen=True)
class Changes:
    """Exposures to be written anew, and the findings that have none any more."""

    new: list[Exposure]
    gone: list[int]

    def __len__(self) -> int:
        return len(self.new) + len(self.gone)


def refresh(vehicle_ids: Iterable[int]) -> int:
    """Make the exposures of these vehicles say what their facts say; returns how many changed.

    What is as it was stays as it is.
    """
    return store(changes_of(vehicle_ids))


def changes_of(vehicle_ids: Iterable[int]) -> Changes:
    """What is to be written; reads only, so that a long reckoning keeps nobody from writing.

    Whatever is recorded meanwhile brings a notice of its own, and is reckoned with then.
    """
    ids = list(vehicle_ids)
    made = _weighed(exposures_of(ids)) if ids else []
    kept = {row.finding_id: row for row in Exposure.objects.filter(vehicle__in=ids)}
    still = {row.finding_id for row in made}
    return Changes(
        [row for row in made if not _same(row, kept.get(row.finding_id))],
        [finding for finding in kept if finding not in still],
    )


def store(changes: Changes) -> int:
    """Write them; returns how many. Needs an open transaction."""
    stale = [*changes.gone, *(row.finding_id for row in changes.new)]
    for start in range(0, len(stale), MOST):
        Exposure.objects.filter(finding__in=stale[start : start + MOST]).delete()
    insert(Exposure, NAMES, (_values(row) for row in changes.new))
    return len(changes)


def _values(row: Exposure) -> tuple[object, ...]:
    return tuple(getattr(row, column) for column in COLUMNS)


def _same(one: Exposure, other: Exposure | None) -> bool:
    return other is not None and all(getattr(one, c) == getattr(other, c) for c in COLUMNS)


def _weighed(rows: list[Exposure]) -> list[Exposure]:
    table = table_of(rows)
    stored = {month_number(row.month): row for row in Baseline.objects.filter(
        month__in={first_of(int(month)) for month in set(table.month.tolist())}
    )}  # fmt: skip
    expected, spent = weighed(table, stored)
    for row, month, due, gone in zip(rows, table.month.tolist(), expected, spent, strict=True):
        if not math.isnan(due):  # the fleet was known
            row.baseline, row.expected, row.spent = stored[month], float(due), float(gone)
    return rows


def ensure_baselines(at: datetime) -> int:
    """Make the baselines of all months up to this one that have none; returns how many.

    A month with a baseline keeps it, whatever was heard of since.
    """
    last = month_number(at)
    stored = {month_number(row.month): row for row in Baseline.objects.all()}
    if last in stored:
        return 0
    rows = exposures_of()
    table = table_of(rows)
    if not rows:
        return 0
    months = range(int(table.month.min()), last + 1)
    made = baselines(table, stored, months, at)
    with transaction.atomic():
        Baseline.objects.bulk_create(made)
    return len(made)
