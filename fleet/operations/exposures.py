"""Keeping the exposures: what each check covered, weighed by what was usual before its month."""

import math
from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, datetime, timedelta
from typing import Any

import numpy as np
from django.db import transaction
from django.db.models import Q
from numpy.typing import NDArray

from fleet.operations.insert import insert
from fleet.operations.reckoning import Changes, Reckoning, in_parts, reckon
from fleet.reads.history.columns import Kinds, kinds_now
from fleet.reads.history.exposures import (
    DUTIES,
    Exposures,
    Weights,
    joined,
    kept_exposures,
)
from fleet.reads.history.labels import practice_of
from fleet.reads.history.numbers import NONE
from fleet.reads.history.usual import (
    baselines,
    first_known_month,
    month_number,
    table_of,
    weights_of,
)
from fleet.records.models import (
    Baseline,
    Clock,
    Exposure,
    PartChange,
    Reckoned,
    Sight,
    TorqueReading,
)

# So many ids fit one statement on either database.
MOST = 5_000
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def refresh(vehicle_ids: Iterable[int]) -> int:
    """Make the exposures of these vehicles say what their facts say; returns how many changed.

    What is as it was stays as it is.
    """
    return store(changes_of(vehicle_ids))


def changes_of(vehicle_ids: Iterable[int]) -> Changes:
    """What is to be written; reads only, so that a long reckoning keeps nobody from writing.

    Whatever is recorded meanwhile brings a notice of its own, and is reckoned with then.
    """
    reckoning = reckon(vehicle_ids)
    return reckoning.changes(list(reckoning.versions))


def store(changes: Changes) -> int:
    """Write them; returns how many. Needs an open transaction."""
    for some in in_parts([*changes.gone, *changes.new.finding.tolist()], MOST):
        Exposure.objects.filter(finding__in=some).delete()
    columns = _written(changes.new, changes.weights)
    insert(Exposure, list(columns), zip(*columns.values(), strict=True))
    Reckoned.objects.bulk_create(
        (
            Reckoned(vehicle_id=pk, version=version, basis=changes.basis)
            for pk, version in changes.versions.items()
        ),
        update_conflicts=True, unique_fields=["vehicle"], update_fields=["version", "basis"],
    )  # fmt: skip
    return len(changes)


def _written(rows: Exposures, weights: Weights) -> dict[str, list[Any]]:
    """Columns as they are stored, by field; what is told of a turning or a part goes with it."""
    practices, fitted = _practices(rows.turning), _fitted(rows.part)
    parts = [fitted.get(part, ("", "")) for part in rows.part.tolist()]
    return {
        "finding": rows.finding.tolist(), "joint": rows.joint.tolist(),
        "vehicle": rows.vehicle.tolist(),
        "clock": np.where(rows.wear, Clock.WEAR.value, Clock.TIGHTNESS.value).tolist(),
        "sight": np.where(rows.play, Sight.PLAY.value, Sight.MOVED.value).tolist(),
        "at": [EPOCH + timedelta(microseconds=at) for at in rows.at.tolist()],
        "lower_si": rows.lower.tolist(), "upper_si": rows.upper.tolist(),
        "loose": rows.loose.tolist(), "first": rows.first.tolist(),
        "turning": _ids(rows.turning), "part": _ids(rows.part), "tool": _ids(rows.tool),
        "practice": [practices.get(turning, "") for turning in rows.turning.tolist()],
        "number": [number for number, _lot in parts], "lot": [lot for _number, lot in parts],
        "duty": [DUTIES[place] for place in rows.duty.tolist()],
        "baseline": _ids(weights.baseline), "expected": _figures(weights.expected),
        "spent": _figures(weights.spent),
    }  # fmt: skip


def _ids(column: NDArray[Any]) -> list[int | None]:
    return [None if one == NONE else one for one in column.tolist()]


def _figures(column: NDArray[Any]) -> list[float | None]:
    return [None if math.isnan(one) else one for one in column.tolist()]


def _practices(turnings: NDArray[Any]) -> dict[int, str]:
    return {
        pk: practice_of(origin, threads)
        for some in _named(turnings)
        for pk, origin, threads in TorqueReading.objects.filter(pk__in=some).values_list(
            "pk", "spec__origin", "thread_condition"
        )
    }


def _fitted(parts: NDArray[Any]) -> dict[int, tuple[str, str]]:
    return {
        pk: (number, lot)
        for some in _named(parts)
        for pk, number, lot in PartChange.objects.filter(pk__in=some).values_list(
            "pk", "number", "lot"
        )
    }


def _named(ids: NDArray[Any]) -> Iterator[Sequence[int]]:
    yield from in_parts(np.unique(ids[ids != NONE]).tolist(), MOST)


def ensure_baselines(at: datetime, reckoning: Reckoning | None = None) -> int:
    """Make the baselines of all months up to this one that have none; returns how many.

    A month with a baseline keeps it, whatever was heard of since. `reckoning` is of the vehicles
    of which what is kept may be behind; without it they are reckoned here.
    """
    last = month_number(at)
    stored = {month_number(row.month): row for row in Baseline.objects.all()}
    if last in stored:
        return 0
    every = _everything(reckoning or reckon())
    if not len(every):
        return 0
    table = table_of(every, kinds_now())
    months = range(int(table.month.min()), last + 1)
    made = baselines(table, stored, months, at)
    with transaction.atomic():
        Baseline.objects.bulk_create(made)
    return len(made)


def _everything(reckoning: Reckoning) -> Exposures:
    """The whole fleet's exposures: those just reckoned, and those that can be no others."""
    kept, _weights = kept_exposures(reckoning.kinds)
    still = ~np.isin(kept.vehicle, list(reckoning.versions))
    return joined([kept.of(still), reckoning.made])


def weigh_waiting() -> int:
    """Weigh what came before its month had a baseline; returns how many."""
    since = first_known_month(Baseline.objects.all())
    if since is None:
        return 0
    kinds = kinds_now()
    began = datetime(since.year, since.month, 1, tzinfo=UTC)
    waiting, _none = kept_exposures(kinds, which=Q(baseline=None, at__gte=began))
    return sum(_weigh(waiting, kinds)) if len(waiting) else 0


def _weigh(waiting: Exposures, kinds: Kinds) -> Iterator[int]:
    weights = weights_of(waiting, kinds)
    told = weights.baseline != NONE
    for finding, baseline, expected, spent in zip(
        waiting.finding[told].tolist(), weights.baseline[told].tolist(),
        weights.expected[told].tolist(), weights.spent[told].tolist(), strict=True,
    ):  # fmt: skip
        yield Exposure.objects.filter(finding=finding, baseline=None).update(
            baseline=baseline, expected=expected, spent=spent
        )
