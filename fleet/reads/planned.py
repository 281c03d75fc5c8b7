"""Planned visits, as a calendar wants them: one takes the place of the rechecks it pays.

Where nothing is planned, every recheck stands for itself.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django.db.models import Prefetch, QuerySet

from fleet.records.models import Vehicle, Visit, VisitWork


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

    Three queries at most; the vehicles come with their yards.
    """
    wanted = VisitWork.objects.filter(recheck__in=recheck_ids, live=True).values("visit")
    rows = Visit.objects.filter(pk__in=wanted, state=Visit.State.PLANNED)
    live = Prefetch("works", VisitWork.objects.filter(live=True, recheck__isnull=False))
    rows = rows.select_related("vehicle__yard").prefetch_related(live, "people")
    return [
        Planned(
            visit.uid, visit.day, visit.sequence, visit.vehicle,
            frozenset(work.recheck_id for work in visit.works.all() if work.recheck_id),
            tuple(person.name for person in visit.people.all()),
        )
        for visit in rows.order_by("day", "id")
    ]  # fmt: skip


def named_for(person_id: int | None) -> QuerySet[VisitWork, Any]:
    """Ids of the rechecks of visits that name somebody."""
    works = VisitWork.objects.filter(live=True, visit__state=Visit.State.PLANNED)
    return works.filter(visit__people=person_id, recheck__isnull=False).values("recheck")
