"""A fleet of any size for tests that count queries: written in bulk, 300 in about a second."""

from datetime import timedelta

from fleet.records.base import new_uid
from fleet.records.models import (
    Hold,
    Joint,
    JointState,
    LayoutJoint,
    Pattern,
    Person,
    Recheck,
    Ticket,
    TicketLine,
    TrailEntry,
    Vehicle,
    Yard,
)
from tests.build import NOW, design


def many(at: Yard, by: Person, size: int) -> list[Vehicle]:
    """So many vehicles, each held, owing two rechecks, one late, with a repair and a pattern."""
    places = list(LayoutJoint.objects.filter(layout=design().axle).select_related("kind"))
    trucks = Vehicle.objects.bulk_create(
        Vehicle(unit_number=f"N-{n:04d}", design=design(), yard=at, duty="gravel", meter_unit="mi")
        for n in range(size)
    )
    joints = Joint.objects.bulk_create(
        Joint(vehicle=truck, place=p, kind=p.kind, side=p.side, order=p.order)
        for truck in trucks
        for p in places[:1]
    )
    JointState.objects.bulk_create(JointState(joint=row) for row in joints)
    dates = {"started_at": NOW - timedelta(days=9), "kind": "retorque"}
    late, soon = NOW.date() - timedelta(days=1), NOW.date() + timedelta(days=3)
    Recheck.objects.bulk_create(
        Recheck(vehicle=row.vehicle, joint=row, ladder=ladder, due_on=on, falls_on=on, **dates)
        for row in joints
        for ladder, on in (("track_bar", late), ("link_bolts", soon))
    )
    values = {"placed_at": NOW, "placed_by": by, "reason": "person", "text": "Looked unsafe"}
    Hold.objects.bulk_create(Hold(vehicle=truck, **values) for truck in trucks)
    tickets = Ticket.objects.bulk_create(
        Ticket(vehicle=truck, opened_by=by, opened_at=NOW) for truck in trucks
    )
    TicketLine.objects.bulk_create(
        TicketLine(ticket=row, action="retorque", position=1, state="complete") for row in tickets
    )
    Pattern.objects.bulk_create(
        Pattern(kind="repeat_loosening", key=f"joint:{row.pk}", yard=at, vehicle=row.vehicle,
                joint=row, statistic={"count": 2, "window_days": 365}, opened_at=NOW,
                last_evidence_at=NOW)
        for row in joints
    )  # fmt: skip
    TrailEntry.objects.bulk_create(
        TrailEntry(gesture=new_uid(), at=NOW, actor_id=by.pk, door="web", verb="place_hold",
                   subject="hold", subject_id=1, vehicle_id=truck.pk, yard_id=at.pk)
        for truck in trucks
    )  # fmt: skip
    return trucks
