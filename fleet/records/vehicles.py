"""Vehicles and their meters' state."""

from django.db import models
from django.db.models import Q
from django.db.models.functions import Upper
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from fleet.records.base import Record
from fleet.records.layouts import Design
from fleet.records.yards import Yard


class Duty(models.TextChoices):
    HIGHWAY = "highway", _("highway")
    GRAVEL = "gravel", _("gravel")
    OFF_ROAD = "off_road", _("off-road")
    PLOUGH = "plough", _("plow")


class MeterUnit(models.TextChoices):
    MILES = "mi", _("miles")
    KILOMETRES = "km", _("kilometres")
    HOURS = "h", _("hours")


class Vehicle(Record):
    yard_path = "yard"

    class Status(models.TextChoices):
        """Held is not here: a vehicle is held while any hold is open."""

        IN_SERVICE = "in_service", _("in service")
        LAID_UP = "laid_up", _("laid up")
        OUT = "out", _("out of fleet")

    class Corrosion(models.TextChoices):
        DRY = "dry", pgettext_lazy("climate", "dry")
        MIXED = "mixed", pgettext_lazy("climate", "mixed")
        SALT = "salt", pgettext_lazy("climate", "salt")

    unit_number = models.CharField(_("unit number"), max_length=20, unique=True)
    vin = models.CharField(_("VIN"), max_length=17, blank=True)
    vin_note = models.CharField(_("note on the VIN"), max_length=160, blank=True)
    design = models.ForeignKey(Design, on_delete=models.PROTECT, related_name="vehicles")
    yard = models.ForeignKey(Yard, on_delete=models.PROTECT, related_name="vehicles")
    model_year = models.PositiveSmallIntegerField(_("model year"), null=True)
    status = models.CharField(max_length=12, choices=Status.choices, default=Status.IN_SERVICE)
    duty = models.CharField(_("duty"), max_length=10, choices=Duty.choices)
    steering_side = models.CharField(
        max_length=5, choices=[("left", _("left-hand drive")), ("right", _("right-hand drive"))],
        default="left",
    )  # fmt: skip
    gross_weight_kg = models.PositiveIntegerField(_("gross vehicle weight rating, kg"), null=True)
    corrosion = models.CharField(max_length=6, choices=Corrosion.choices, default=Corrosion.DRY)
    tyre_size = models.CharField(_("tire size"), max_length=30, blank=True)
    wheel_diameter_m = models.FloatField(_("wheel diameter, m"), null=True)
    wheel_offset_m = models.FloatField(_("wheel offset, m"), null=True)
    steering_wheel_m = models.FloatField(_("steering wheel diameter, m"), null=True)
    power_steering = models.BooleanField(_("power steering"), default=True)
    meter_unit = models.CharField(max_length=2, choices=MeterUnit.choices)
    # Ride-height facts that change everything.
    lift_m = models.FloatField(_("lift, m"), default=0)
    drop_arm = models.BooleanField(_("drop Pitman arm"), default=False)
    lowered_bracket = models.BooleanField(_("lowered track-bar bracket"), default=False)
    adjustable_bar = models.BooleanField(_("adjustable track bar"), default=False)
    drag_link_degrees = models.FloatField(_("drag link angle at ride height, degrees"), null=True)
    track_bar_degrees = models.FloatField(_("track bar angle at ride height, degrees"), null=True)
    # Between the centers of its two joints, as a tape along it reads.
    drag_link_m = models.FloatField(_("drag link length, m"), null=True)
    drag_link_typed = models.CharField(max_length=40, blank=True)
    track_bar_m = models.FloatField(_("track bar length, m"), null=True)
    track_bar_typed = models.CharField(max_length=40, blank=True)
    owner_name = models.CharField(_("owner, if not the fleet"), max_length=120, blank=True)
    in_fleet_since = models.DateField(_("in the fleet since"), null=True)
    left_fleet_on = models.DateField(null=True)
    # Parked for parts or season since this day: retorque days stand still meanwhile.
    laid_up_on = models.DateField(null=True)
    # Moved first by every operation: the one lock that orders all that happens to a vehicle.
    version = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["unit_number"]
        indexes = [
            models.Index(fields=["yard", "status"]),
            # Few are laid up or out; and a unit number is asked for in any case of its letters.
            models.Index(fields=["status"]),
            models.Index(Upper("unit_number"), name="vehicle_unit_upper"),
        ]
        constraints = [
            models.UniqueConstraint(fields=["vin"], condition=~Q(vin=""), name="vin_once"),
            models.CheckConstraint(
                condition=Q(status__in=["in_service", "laid_up", "out"]),
                name="vehicle_status_is_known",
            ),
            models.CheckConstraint(
                condition=~Q(status="laid_up") | Q(laid_up_on__isnull=False),
                name="vehicle_laid_up_has_day",
            ),
            models.CheckConstraint(condition=Q(duty__in=Duty.values), name="vehicle_duty_is_known"),
            models.CheckConstraint(
                condition=Q(meter_unit__in=MeterUnit.values), name="vehicle_unit_is_known"
            ),
        ]

    def __str__(self) -> str:
        return self.unit_number

    @property
    def counts_hours(self) -> bool:
        return self.meter_unit == MeterUnit.HOURS

    @property
    def steers_over_bumps(self) -> bool:
        """A drop arm with no matching bracket (common practice, no source)."""
        return self.drop_arm and not self.lowered_bracket


class VehicleUse(Record):
    """State: what the meter last said and how fast it runs; rebuilt from the readings."""

    yard_path = "vehicle__yard"

    vehicle = models.OneToOneField(Vehicle, on_delete=models.PROTECT, related_name="use")
    last_reading = models.ForeignKey(
        "records.MeterReading", null=True, on_delete=models.PROTECT, related_name="+"
    )
    last_at = models.DateTimeField(null=True)
    # Metres, or seconds for an hour meter; continuous over replaced meters.
    last_use_si = models.BigIntegerField(null=True)
    # Days of late on which it was read: a rate needs a few of them.
    days_read = models.PositiveSmallIntegerField(default=0)
    rate_low = models.FloatField(null=True)
    rate_likely = models.FloatField(null=True)
    rate_high = models.FloatField(null=True)

    class Meta:
        # Whose meter was not read for longest.
        indexes = [models.Index(fields=["last_at"])]

    def __str__(self) -> str:
        return f"{self.vehicle}: {self.last_use_si}"
