"""What is said of a yard, and by what a reader knows that it has been changed since."""

import json
from zlib import crc32

from django.db.models import QuerySet

from fleet.records.models import Person, Yard

FACTS = ("name", "time_zone", "on_call_number", "far", "bays", "units", "working_days")


def yards(person: Person) -> QuerySet[Yard]:
    return Yard.visible_to(person)


def version_of(yard: Yard) -> int:
    """A yard keeps no count of its changes: what was read of it is its version."""
    said = [getattr(yard, name) for name in FACTS]
    return crc32(json.dumps(said).encode())
