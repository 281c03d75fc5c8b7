"""Meter readings as they were taken, with what was withdrawn."""

from django.db.models import QuerySet

from fleet.records.models import MeterReading, Person, Vehicle


def readings(person: Person, vehicle: Vehicle) -> QuerySet[MeterReading]:
    """Newest first; a withdrawal stands with the reading that it withdraws."""
    rows = MeterReading.visible_to(person).filter(vehicle=vehicle)
    shown = rows.exclude(kind=MeterReading.Kind.WITHDRAWS)
    return shown.select_related("by", "withdrawn_by__by")
