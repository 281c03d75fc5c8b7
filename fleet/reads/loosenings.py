"""Loosenings of joints, each with what had tightened the joint before it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import OuterRef, Q, Subquery

from fleet.records.inspections import LOOSE
from fleet.records.models import Finding, TicketLine, TorqueReading


@dataclass(frozen=True)
class Loosening:
    finding_id: int
    joint_id: int
    occurred_at: datetime
    # The last turning of the fastener before it; None where none is on record.
    torque_id: int | None

    @property
    def tightened_before(self) -> bool:
        return self.torque_id is not None


def loosenings(
    vehicle_ids: Iterable[int] | None = None, until: datetime | None = None
) -> dict[int, list[Loosening]]:
    """By joint, in order of time; one query. Vehicles None means the whole fleet.

    `until` leaves out what happened later, for a scan of the record as it stood then.

    A repeat counts where a wrench was put to the joint since the loosening before: two looks at
    the same looseness are one.
    """
    turned = (
        TorqueReading.objects.filter(
            Q(turned=True) | Q(assembled=True),
            joint=OuterRef("joint"), occurred_at__lt=OuterRef("occurred_at"),
            line_entry__replaced_by=None,
        )
        # What a dropped line recorded stays on file and tells of no wrench.
        .exclude(line_entry__line__state=TicketLine.State.DROPPED)
        .exclude(finding=OuterRef("pk")).order_by("-occurred_at", "-id").values("pk")[:1]
    )  # fmt: skip
    rows = Finding.objects.filter(code__in=LOOSE).annotate(torque_before=Subquery(turned))
    if vehicle_ids is not None:
        rows = rows.filter(joint__vehicle__in=list(vehicle_ids))
    if until is not None:
        rows = rows.filter(occurred_at__lte=until)
    by_joint: dict[int, list[Loosening]] = {}
    values = rows.order_by("joint", "occurred_at", "id").values_list(
        "pk", "joint_id", "occurred_at", "torque_before"
    )
    for pk, joint_id, occurred_at, torque in values:
        events = by_joint.setdefault(joint_id, [])
        if torque is None or not events or events[-1].torque_id != torque:
            events.append(Loosening(pk, joint_id, occurred_at, torque))
    return by_joint
