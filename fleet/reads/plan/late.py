"""What the weighed days late of a proposal are made of."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from fleet.reads.plan.run_known import Known
from fleet.reads.plan.visits import Task
from fleet.records.models import Vehicle


@dataclass(frozen=True)
class LateRow:
    """Work on one vehicle that comes late; `day` is None where it found none.

    It may fall due from `low` on, and likely does on `due`.
    """

    vehicle: Vehicle
    tasks: Sequence[Task]
    holds: bool
    low: date | None
    due: date
    day: date | None
    weighed: float

    @property
    def days(self) -> int:
        """Days after the likely one; 0 where it is only within the days on which it may be due."""
        return max((self.day - self.due).days, 0) if self.day else 0


@dataclass(frozen=True)
class LateGroup:
    """What may hold a vehicle, or all other work; the heaviest first."""

    holds: bool
    rows: Sequence[LateRow]

    @property
    def weighed(self) -> float:
        return sum(row.weighed for row in self.rows)


@dataclass(frozen=True)
class LateWork:
    """What may hold a vehicle stands first: it is made least first."""

    groups: Sequence[LateGroup]


def late_work(said: list[dict[str, Any]], known: Known) -> LateWork:
    """No query: all of it is in the proposal's visits or found no day."""
    found: dict[tuple[Any, ...], list[tuple[Task, float]]] = defaultdict(list)
    for one in said:
        vehicle, task = known.of_key(one["work"])
        place = (vehicle, bool(one["holds"]), one["low"], one["due"], one["day"])
        found[place].append((task, one["weighed"]))
    rows = [_row(place, told) for place, told in found.items()]
    rows.sort(key=lambda row: (-row.weighed, row.vehicle.unit_number))
    groups = [LateGroup(holds, [row for row in rows if row.holds == holds])
              for holds in (True, False)]  # fmt: skip
    return LateWork([group for group in groups if group.rows])


def _row(place: tuple[Any, ...], told: list[tuple[Task, float]]) -> LateRow:
    vehicle, holds, low, due, day = place
    return LateRow(
        vehicle, [task for task, _weight in told], holds, _day(low), date.fromisoformat(due),
        _day(day), sum(weight for _task, weight in told),
    )  # fmt: skip


def _day(said: str | None) -> date | None:
    return date.fromisoformat(said) if said else None
