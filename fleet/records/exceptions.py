"""Exceptions from the fleet's rules, of one vehicle each, with a reason and an end."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from fleet.records.base import Record
from fleet.records.vehicles import Vehicle


class RuleException(Record):
    """One vehicle keeps other figures than a rule, through the last day it was given for.

    It lapses by itself at the yard's midnight. A legal date and a rule that holds have none.
    """

    yard_path = "vehicle__yard"

    vehicle = models.ForeignKey(Vehicle, on_delete=models.PROTECT, related_name="exceptions")
    # As its rechecks name it: a ladder, or `routine` for the look by duty.
    ladder = models.CharField(max_length=60)
    # As many as the rule has, each with its miles, days and hours.
    rungs = models.JSONField()
    reason = models.CharField(_("reason"), max_length=200)
    ends_on = models.DateField(_("last day"))
    since = models.DateTimeField()
    set_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    ended_at = models.DateTimeField(null=True)
    # Empty where it lapsed by itself.
    ended_by = models.ForeignKey(
        "records.Person", null=True, on_delete=models.PROTECT, related_name="+"
    )
    end_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["ended_at", "ends_on", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["vehicle", "ladder"],
                condition=Q(ended_at__isnull=True),
                name="exception_one_standing",
            ),
            models.CheckConstraint(condition=~Q(reason=""), name="exception_has_reason"),
            models.CheckConstraint(
                condition=Q(ended_by__isnull=True) | Q(ended_at__isnull=False),
                name="exception_ended_has_moment",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.vehicle}: {self.ladder} until {self.ends_on}"
