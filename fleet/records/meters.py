"""Meter readings: what the odometer or the hour meter said on a date."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from fleet.records.base import Fact
from fleet.records.vehicles import MeterUnit, Vehicle


class MeterReading(Fact):
    yard_path = "vehicle__yard"

    class Kind(models.TextChoices):
        READ = "read", _("read")
        NEW_METER = "new_meter", _("first reading of a new meter")
        WITHDRAWS = "withdraws", _("withdraws a wrong reading")

    vehicle = models.ForeignKey(Vehicle, on_delete=models.PROTECT, related_name="readings")
    kind = models.CharField(max_length=10, choices=Kind.choices, default=Kind.READ)
    typed = models.CharField(_("as typed"), max_length=40)
    value = models.DecimalField(_("as read"), max_digits=12, decimal_places=1)
    unit = models.CharField(max_length=2, choices=MeterUnit.choices)
    # Metres or seconds since the vehicle's first meter stood at zero.
    use_si = models.BigIntegerField()
    withdraws = models.OneToOneField(
        "self", null=True, on_delete=models.PROTECT, related_name="withdrawn_by"
    )
    # Why a manager took a reading that the checks had refused.
    reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-occurred_at", "-id"]
        indexes = [models.Index(fields=["vehicle", "-occurred_at", "-id"])]
        constraints = [
            models.CheckConstraint(condition=Q(value__gte=0), name="meter_value_not_negative"),
            models.CheckConstraint(condition=Q(use_si__gte=0), name="meter_use_not_negative"),
            models.CheckConstraint(
                condition=Q(kind="withdraws", withdraws__isnull=False)
                | (~Q(kind="withdraws") & Q(withdraws__isnull=True)),
                name="meter_withdraws_names_one",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.vehicle}: {self.typed} {self.unit}"
