"""What the statistics keep of the record: what was usual, and the use that each check covers.

Both follow from the facts. An exposure is state, made again whenever its vehicle's record grows;
what was usual when a month began is never changed, so that a check is always held against what
could be known before it.
"""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from fleet.records.base import Record
from fleet.records.inspections import Finding
from fleet.records.joints import Joint, PartChange
from fleet.records.tickets import TorqueReading
from fleet.records.tools import TorqueTool
from fleet.records.vehicles import Vehicle


class Clock(models.TextChoices):
    """Tightness runs from the last time the fastener was turned, wear from the part's fitting."""

    TIGHTNESS = "tightness", _("tightness")
    WEAR = "wear", _("wear")


class Sight(models.TextChoices):
    """The two events; a check informs only what its method can see."""

    MOVED = "moved", _("moved under the wrench")
    PLAY = "play", _("play")


class Baseline(Record):
    """What was usual by all that had been found before a month began."""

    month = models.DateField(_("first day of the month"), unique=True)
    made_at = models.DateTimeField()
    # {clock: {meter: {"kinds": [...], "duties": [...], "rate": [[[...]]], "shape": [...],
    #  "finds": n}}}
    usual = models.JSONField()
    # {clock: gamma shape of the spread between vehicles, null where none was seen}
    spread = models.JSONField()

    class Meta:
        ordering = ["month"]

    def __str__(self) -> str:
        return f"{self.month:%Y-%m}"


class Exposure(Record):
    """One check on its joint's clock, with what checks like it usually find."""

    yard_path = "vehicle__yard"

    finding = models.OneToOneField(Finding, on_delete=models.PROTECT, related_name="exposure")
    joint = models.ForeignKey(Joint, on_delete=models.PROTECT, related_name="exposures")
    vehicle = models.ForeignKey(Vehicle, on_delete=models.PROTECT, related_name="exposures")
    clock = models.CharField(max_length=10, choices=Clock.choices)
    sight = models.CharField(max_length=5, choices=Sight.choices)
    # When it counts: for a find by complaint, when the check that was due next fell due.
    at = models.DateTimeField()
    # Use since the clock began, metres or seconds: at the last check still tight, and at this one.
    lower_si = models.BigIntegerField()
    upper_si = models.BigIntegerField()
    loose = models.BooleanField()
    # First tightening after it was put together, or a later one.
    first = models.BooleanField()
    # What began the clock.
    turning = models.ForeignKey(
        TorqueReading, null=True, on_delete=models.PROTECT, related_name="exposures"
    )
    part = models.ForeignKey(PartChange, null=True, on_delete=models.PROTECT, related_name="+")
    tool = models.ForeignKey(TorqueTool, null=True, on_delete=models.PROTECT, related_name="+")
    # "factory, dry": whose figure, and the threads as they were.
    practice = models.CharField(max_length=40, blank=True)
    number = models.CharField(max_length=60, blank=True)
    lot = models.CharField(max_length=60, blank=True)
    duty = models.CharField(max_length=10)
    # Empty while the fleet is not known well enough.
    baseline = models.ForeignKey(Baseline, null=True, on_delete=models.PROTECT, related_name="+")
    expected = models.FloatField(null=True)
    spent = models.FloatField(null=True)

    class Meta:
        ordering = ["at", "finding"]
        indexes = [
            models.Index(fields=["clock", "at"]),
            models.Index(fields=["vehicle", "clock"]),
            models.Index(fields=["joint", "at"]),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(lower_si__gte=0, upper_si__gte=F("lower_si")),
                name="exposure_in_order",
            ),
            models.CheckConstraint(
                condition=Q(turning__isnull=False) | Q(part__isnull=False),
                name="exposure_has_a_start",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.joint}: {self.lower_si} to {self.upper_si}"


class Reckoned(Record):
    """State: the version of a vehicle that its exposures were reckoned at, and by what.

    A vehicle that has moved on since, or was reckoned by other rules, is reckoned again.
    """

    yard_path = "vehicle__yard"

    vehicle = models.OneToOneField(Vehicle, on_delete=models.PROTECT, related_name="reckoned")
    version = models.PositiveIntegerField()
    basis = models.CharField(max_length=16)

    def __str__(self) -> str:
        return f"{self.vehicle}: {self.version}"
