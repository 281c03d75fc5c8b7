"""What waits to be delivered: a pattern to be found, and the notice of it."""

from datetime import timedelta

from django.db.models import QuerySet

from fleet.records.models import Joint, Outbox, Person, Vehicle
from tests import build


def notices() -> "QuerySet[Outbox]":
    """Those that patterns are looked for by. What is found leaves another, for other programs."""
    return Outbox.objects.filter(consumer="patterns")


def twice_loosened(vehicle: Vehicle, by: Person) -> Joint:
    joint, wrench = build.joint(vehicle), build.tool(vehicle.yard)
    for days in (60, 40, 20):
        at = build.NOW - timedelta(days=days)
        found = build.finding(joint, by, "moved", at=at)
        build.torque(joint, by, wrench, found, turned=True, at=at)
    return joint


def notice_of(vehicle: Vehicle, by: Person) -> Outbox:
    entry = build.trail(by, vehicle, "record_inspection")
    return Outbox.objects.create(trail=entry, consumer="patterns", vehicle_id=vehicle.pk)
