"""The joints of one vehicle: each with its mark, its last figures and what it owes."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from fleet.calc.calendar import local_date, share_used
from fleet.reads.days import today_at, zone_of
from fleet.reads.due import last_use_si
from fleet.reads.joint_mark import mark_now, state_of, word_now
from fleet.records.models import (
    Joint,
    JointState,
    PartChange,
    Person,
    TorqueReading,
    Vehicle,
)

GROUPS: dict[str, Any] = {
    "steering": _("Steering"),
    "drag_link": _("Drag link"),
    "tie_rod": _("Tie rod"),
    "track_bar": _("Track bar"),
    "links": _("Links or arms"),
    "leaf_springs": _("Leaf springs"),
    "knuckles": _("Knuckles"),
    "hubs": _("Hubs and wheels"),
    "damper": _("Damper and sway bar"),
}


@dataclass(frozen=True)
class JointRow:
    """One line of the joint table."""

    joint: Joint
    mark: str
    share: float | None
    state: JointState | None
    due_on: date | None

    @property
    def word(self) -> str:
        """What stands in place of the mark's own words where it was taken apart, or off."""
        return word_now(self.joint)

    @property
    def last_torque(self) -> TorqueReading | None:
        return self.state.last_torque if self.state else None

    @property
    def part(self) -> PartChange | None:
        return self.state.part if self.state else None


@dataclass(frozen=True)
class JointGroup:
    name: Any
    rows: list[JointRow]


def joints(person: Person) -> QuerySet[Joint]:
    """Every joint in scope with its kind and the state kept of it."""
    return Joint.visible_to(person).select_related("kind", "vehicle__yard", "vehicle__use")


def with_state(rows: QuerySet[Joint]) -> QuerySet[Joint]:
    """All that a line of the joint table shows, in the same query."""
    return rows.select_related(
        "kind",
        "state__last_finding",
        "state__last_torque__tool",
        "state__part",
        "state__due_recheck",
    )


def joint_rows(rows: Iterable[Joint], vehicle: Vehicle, now: datetime) -> list[JointRow]:
    """Shares are of this vehicle's meter and its yard's date."""
    today, use_now = today_at(vehicle.yard, now), last_use_si(vehicle)
    return [_row(joint, vehicle, today, use_now) for joint in rows]


def joints_of(vehicle: Vehicle, now: datetime) -> list[JointRow]:
    """Every joint of one vehicle, in walking order; one query where its yard and use are read."""
    return joint_rows(with_state(Joint.objects.filter(vehicle=vehicle)), vehicle, now)


def in_groups(rows: list[JointRow]) -> list[JointGroup]:
    """In the order of the walk; a group keeps together what stands together."""
    groups: dict[str, list[JointRow]] = {}
    for row in rows:
        groups.setdefault(row.joint.kind.group, []).append(row)
    return [JointGroup(GROUPS.get(code, code), found) for code, found in groups.items()]


def _row(joint: Joint, vehicle: Vehicle, today: date, use_now: int | None) -> JointRow:
    state = state_of(joint)
    if state is None:
        return JointRow(joint, mark_now(joint), None, None, None)
    owed = state.due_recheck
    return JointRow(
        joint=joint,
        mark=state.mark,
        share=_share(state, vehicle, today, use_now),
        state=state,
        due_on=owed.falls_on if owed else None,
    )


def _share(state: JointState, vehicle: Vehicle, today: date, use_now: int | None) -> float | None:
    """How far through its recheck interval; None where nothing is owed."""
    if state.interval_from is None:
        return None
    return share_used(
        local_date(state.interval_from, zone_of(vehicle.yard)),
        state.interval_to_on,
        today,
        state.interval_from_use_si,
        state.interval_to_use_si,
        use_now,
    )
