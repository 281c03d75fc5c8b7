"""Exposures reckoned from the facts, beside those kept: what is to be written.

A vehicle's version is moved by whatever happens to it (`Work.lock`). Kept with its exposures, it
tells whether they can still be what its facts say; where they must be, nothing is read again.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from hashlib import sha256

import numpy as np

from fleet.calc.history.looks import Flags, Ints
from fleet.reads.history.columns import Kinds, kinds_now
from fleet.reads.history.exposures import (
    Exposures,
    Weights,
    exposures_of,
    joined,
    kept_exposures,
)
from fleet.reads.history.usual import weights_of
from fleet.reads.rules import settings_now
from fleet.records.models import Vehicle

#: Another number has every vehicle reckoned anew: for a release that reckons otherwise.
RECKONING = 1
#: Settings that the working rule of repeats hangs on; it is scanned along with the exposures.
SETTINGS = ("repeat_window_days", "repeat_count")
#: Vehicles whose facts are in memory at one time.
AT_ONCE = 250


@dataclass(frozen=True, slots=True, eq=False)
class Changes:
    """Exposures to be written anew, findings that have none any more, and the versions of the
    vehicles that were reckoned."""

    new: Exposures
    weights: Weights
    gone: list[int]
    versions: Mapping[int, int]
    basis: str

    def __len__(self) -> int:
        return len(self.new) + len(self.gone)


@dataclass(frozen=True)
class Reckoning:
    """Exposures of some vehicles as their facts say, vehicle by vehicle.

    `versions` are those that the vehicles had before their facts were read: what happens to one of
    them meanwhile has it reckoned again.
    """

    kinds: Kinds
    basis: str
    versions: Mapping[int, int]
    made: Exposures
    weights: Weights | None = None

    def weighed(self) -> "Reckoning":
        """With the weights of all at once; else those of each part are worked out with it."""
        return replace(self, weights=weights_of(self.made, self.kinds))

    def changes(self, vehicle_ids: Sequence[int]) -> Changes:
        """What is to be written of some of them, whose ids follow on each other."""
        some = self._lie(vehicle_ids)
        made = self.made.of(some)
        kept, _weights = kept_exposures(self.kinds, vehicle_ids)
        # What is as it was keeps what it was weighed by: a baseline never changes.
        new = ~_is_kept(made, kept)
        gone = kept.finding[~np.isin(kept.finding, made.finding)]
        weights = (
            weights_of(made.of(new), self.kinds)
            if self.weights is None
            else self.weights.of(some).of(new)
        )
        versions = {one: self.versions[one] for one in vehicle_ids}
        return Changes(made.of(new), weights, gone.tolist(), versions, self.basis)

    def _lie(self, vehicle_ids: Sequence[int]) -> slice:
        if not vehicle_ids:
            return slice(0, 0)
        ends = np.searchsorted(self.made.vehicle, [vehicle_ids[0], vehicle_ids[-1] + 1])
        return slice(int(ends[0]), int(ends[1]))


def reckon(vehicle_ids: Iterable[int] | None = None) -> Reckoning:
    """Reckon these vehicles, or all on which anything has happened since they were reckoned."""
    kinds = kinds_now()
    basis = _basis(kinds)
    versions = _behind(basis) if vehicle_ids is None else _versions(vehicle_ids)
    parts = [exposures_of(kinds, some) for some in in_parts(list(versions), AT_ONCE)]
    made = joined(parts or [exposures_of(kinds, [])])
    by_vehicle = np.argsort(made.vehicle, kind="stable")
    return Reckoning(kinds, basis, versions, made.of(by_vehicle))


def in_parts(ids: Sequence[int], size: int) -> Iterator[Sequence[int]]:
    for start in range(0, len(ids), size):
        yield ids[start : start + size]


def _versions(vehicle_ids: Iterable[int]) -> dict[int, int]:
    rows = Vehicle.objects.filter(pk__in=list(vehicle_ids)).order_by("pk")
    return dict(rows.values_list("pk", "version"))


def _behind(basis: str) -> dict[int, int]:
    rows = Vehicle.objects.order_by("pk").values_list(
        "pk", "version", "reckoned__version", "reckoned__basis"
    )
    return {pk: version for pk, version, done, by in rows if (done, by) != (version, basis)}


def _basis(kinds: Kinds) -> str:
    """What reckoning hangs on besides the vehicle's own record."""
    now = settings_now()
    told = [(kind.pk, kind.code, kind.held_by, kind.play_methods) for kind in kinds.rows]
    said = repr((RECKONING, told, [now.get(key) for key in SETTINGS]))
    return sha256(said.encode()).hexdigest()[:16]


def _is_kept(made: Exposures, kept: Exposures) -> Flags:
    """Which are kept just so."""
    order: Ints = np.argsort(kept.finding)
    if not order.size:
        return np.zeros(len(made), dtype=np.bool_)
    place = np.searchsorted(kept.finding, made.finding, sorter=order)
    beside = kept.of(order[np.minimum(place, order.size - 1)])
    alike = [getattr(made, f.name) == getattr(beside, f.name) for f in fields(Exposures)]
    return np.asarray(np.logical_and.reduce(alike))
