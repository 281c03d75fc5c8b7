"""Complaints: what a driver felt, at what speed, after what."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from fleet.records.base import Fact
from fleet.records.vehicles import Vehicle


class ComplaintKind(models.TextChoices):
    WHEEL_SHAKE = "wheel_shake", _("shake in the wheel only")
    AXLE_OSCILLATION = "axle_oscillation", _("whole axle oscillating")
    WANDER = "wander", _("wander")
    PULL = "pull", _("pull to one side")
    CLUNK = "clunk", _("clunk")
    STIFF = "stiff_or_binding", _("stiff or binding")
    OFF_CENTRE = "wheel_off_centre", _("wheel off center")
    HIT = "hit_something", _("hit something")


class Complaint(Fact):
    yard_path = "vehicle__yard"

    vehicle = models.ForeignKey(Vehicle, on_delete=models.PROTECT, related_name="complaints")
    kind = models.CharField(max_length=20, choices=ComplaintKind.choices)
    text = models.TextField(_("in the driver's words"), blank=True)
    speed_typed = models.CharField(_("at what speed"), max_length=30, blank=True)
    speed_m_s = models.FloatField(null=True)
    after_bump = models.BooleanField(_("after a bump"), null=True)
    under_braking = models.BooleanField(_("under braking"), null=True)
    stopped_only_when_slowed = models.BooleanField(_("stopped only when slowed"), null=True)
    sudden = models.BooleanField(_("came suddenly"), null=True)
    steering_changed = models.BooleanField(_("steering changed after a hit"), null=True)
    tyre_pressures = models.CharField(_("tire pressures"), max_length=80, blank=True)
    load = models.CharField(_("load"), max_length=80, blank=True)
    use_si = models.BigIntegerField(null=True)
    rule_version = models.PositiveIntegerField(default=1)
    held = models.BooleanField(_("held the vehicle"), default=False)

    class Meta:
        ordering = ["-occurred_at", "-id"]
        indexes = [
            models.Index(fields=["vehicle", "-occurred_at"]),
            # Like complaints of the whole fleet are counted for the order of looking.
            models.Index(fields=["kind"]),
        ]

    def __str__(self) -> str:
        return f"{self.vehicle}: {self.get_kind_display()}"


class ComplaintAnswer(Fact):
    """What the driver was told back."""

    yard_path = "complaint__vehicle__yard"

    complaint = models.ForeignKey(Complaint, on_delete=models.PROTECT, related_name="answers")
    text = models.TextField()

    class Meta:
        ordering = ["occurred_at", "id"]

    def __str__(self) -> str:
        return self.text[:60]
