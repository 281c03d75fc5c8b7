"""Yards: places where vehicles live and are worked on."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from fleet.records.base import Record


class Yard(Record):
    """A yard has its own time zone, working days and bays, and a number to call at night."""

    yard_path = "pk"

    name = models.CharField(_("name"), max_length=80, unique=True)
    slug = models.SlugField(max_length=40, unique=True)
    time_zone = models.CharField(_("time zone"), max_length=64, default="UTC")
    on_call_number = models.CharField(_("on-call number"), max_length=40, blank=True)
    far = models.BooleanField(_("far yard, poor network"), default=False)
    bays = models.PositiveSmallIntegerField(_("bays"), default=1)
    # Monday is 0, as in datetime.date.weekday().
    working_days = models.JSONField(_("working days"), default=list)
    units = models.CharField(
        _("units"), max_length=6, choices=[("us", _("US")), ("metric", _("metric"))], default="us"
    )
    # The last local day whose states were rolled; the night's work catches up from here.
    rolled_to = models.DateField(null=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name
