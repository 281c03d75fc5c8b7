"""Photos of a ticket, an inspection or a joint, found by what each was said to be about."""

from typing import BinaryIO, cast

from django.core.files.storage import default_storage
from django.db.models import Q, QuerySet

from fleet.records.models import (
    Finding,
    Inspection,
    Joint,
    LineEntry,
    Person,
    Photo,
    TabletOperation,
    Ticket,
    Vehicle,
)

# The newest of so many are shown on a page (own).
MOST_SHOWN = 48


def photos(person: Person) -> QuerySet[Photo]:
    """Those in scope."""
    return Photo.visible_to(person).select_related("by", "vehicle__yard", "joint__kind")


def photos_of_ticket(person: Person, ticket: Ticket) -> list[Photo]:
    """Of the ticket, of the operations that opened it or changed it, and of its lines' entries."""
    entries = LineEntry.objects.filter(line__ticket=ticket).values("uid")
    operations = TabletOperation.objects.filter(ticket=ticket).values("uid")
    about = Q(about=ticket.uid) | Q(about__in=entries) | Q(about__in=operations)
    return _newest(person, ticket.vehicle_id, Q(ticket=ticket) | about)


def photos_of_inspection(person: Person, inspection: Inspection) -> list[Photo]:
    """Of the sheet and of each of its findings."""
    findings = Finding.objects.filter(inspection=inspection).values("uid")
    about = Q(about=inspection.uid) | Q(about__in=findings)
    return _newest(person, inspection.vehicle_id, about)


def photos_of_joint(person: Person, joint: Joint) -> list[Photo]:
    """Taken at the joint, or of what was found or done there."""
    findings = Finding.objects.filter(joint=joint).values("uid")
    entries = LineEntry.objects.filter(line__joint=joint).values("uid")
    about = Q(about__in=findings) | Q(about__in=entries)
    return _newest(person, joint.vehicle_id, Q(joint=joint) | about)


def photos_of_vehicle(person: Person, vehicle: Vehicle) -> list[Photo]:
    """Said to be of no joint and of no work: such as those beside a hold of the whole vehicle."""
    return _newest(person, vehicle.pk, Q(joint=None, ticket=None, about=None))


def _newest(person: Person, vehicle_id: int, which: Q) -> list[Photo]:
    return list(photos(person).filter(which, vehicle=vehicle_id)[:MOST_SHOWN])


def open_photo(photo: Photo) -> BinaryIO:
    """Its file, open for reading. Raises FileNotFoundError where the folder was not kept."""
    return cast(BinaryIO, default_storage.open(photo.file_name))
