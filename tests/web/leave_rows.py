"""Leave given in a fleet: to move held vehicles to the yard, to check one's own work again."""

from datetime import timedelta
from typing import Any

from fleet.records.models import (
    LeaveTakenBack,
    Person,
    SelfCheckLeave,
    Ticket,
    Vehicle,
    YardMove,
    YardMoveEnd,
)
from tests.build import NOW


def moves(by: Person, vehicle: Vehicle, others: list[Vehicle], size: int) -> None:
    """One after the other on the vehicle, the last one standing; one on each of the others."""
    before: YardMove | None = None
    for number in reversed(range(size)):
        before = _move(by, vehicle, number, before)
        if number:
            YardMoveEnd.objects.create(
                move=before, how="arrived", by=by, occurred_at=before.occurred_at
            )
    for number, other in enumerate(others):
        _move(by, other, number, None)


def _move(by: Person, vehicle: Vehicle, number: int, before: YardMove | None) -> YardMove:
    return YardMove.objects.create(
        vehicle=vehicle, by=by, follows=before, route="County road 7", speed_typed="20 mph",
        speed_m_s=8.9, occurred_at=NOW - timedelta(hours=number + 1), after_oscillation=False,
        until=NOW + timedelta(hours=2),
    )  # fmt: skip


def self_checks(by: Person, ticket: Ticket, facts: list[dict[str, Any]]) -> list[SelfCheckLeave]:
    """One leave a fact, the oldest last; all but the newest are taken back."""
    who = Person.objects.filter(role="technician")[0]
    leaves = SelfCheckLeave.objects.bulk_create(
        SelfCheckLeave(ticket=ticket, technician=who, reason="Alone at the yard",
                       until=NOW + timedelta(hours=2), **fact)
        for fact in facts
    )  # fmt: skip
    # As on file the newest comes last.
    LeaveTakenBack.objects.bulk_create(
        LeaveTakenBack(leave=leave, reason="Somebody is here", by=by, occurred_at=NOW)
        for leave in leaves[:-1]
    )
    return leaves
