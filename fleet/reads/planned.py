"""Planned visits, as a calendar wants them: one takes the place of the rechecks it pays.

The seam to the plan: where nothing is planned, every recheck stands for itself.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from fleet.records.models import Vehicle


@dataclass(frozen=True)
class Planned:
    """One visit: its identity stays when its day moves, and `sequence` then grows."""

    uid: UUID
    day: date
    sequence: int
    vehicle: Vehicle
    # Ids of the rechecks that it is planned to pay.
    rechecks: frozenset[int]
    # Names of who makes it.
    people: tuple[str, ...] = ()


def planned_visits(recheck_ids: Collection[int]) -> list[Planned]:
    """The visits that any of these rechecks are planned into, each whole.

    A fixed number of queries; the vehicles come with their yards.
    """
    return []
