"""What the record says of how long joints of one kind hold: one row a reckoning of a cell.

A cell is a joint kind on an axle layout, a duty and a practice; first tightenings and later ones
apart, and meters that count hours apart from those that count distance. The scan writes these
rows; screens only read them. What a manager accepts becomes a version of a `Rule`.
"""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from fleet.records.base import Record, new_uid
from fleet.records.layouts import JointKind, Layout
from fleet.records.specs import Rule


class IntervalProposal(Record):
    """One reckoning. Use is in metres, or in seconds where the meter counts hours."""

    class State(models.TextChoices):
        OPEN = "open", _("open")
        ACCEPTED = "accepted", _("accepted")
        DECLINED = "declined", _("declined")
        SUPERSEDED = "superseded", _("superseded")

    class Meter(models.TextChoices):
        DISTANCE = "distance", _("distance")
        HOURS = "hours", _("hours")

    uid = models.UUIDField(unique=True, default=new_uid)
    # Names the cell, and the rule that an acceptance becomes a version of.
    key = models.CharField(max_length=160)
    state = models.CharField(max_length=10, choices=State.choices, default=State.OPEN)
    # The newest of its cell, whatever became of it.
    is_current = models.BooleanField(default=True)
    kind = models.ForeignKey(JointKind, on_delete=models.PROTECT, related_name="+")
    axle = models.ForeignKey(Layout, on_delete=models.PROTECT, related_name="+")
    duty = models.CharField(max_length=10)
    practice = models.CharField(max_length=40, blank=True)
    first = models.BooleanField()
    meter = models.CharField(max_length=8, choices=Meter.choices)
    # What it rests on.
    spells = models.PositiveIntegerField()
    finds = models.PositiveIntegerField()
    vehicles = models.PositiveIntegerField(_("vehicles with finds"))
    longest_tight_si = models.BigIntegerField()
    # Today's interval, the rule it stands in, and the use since turning at which it begins.
    now_si = models.BigIntegerField()
    now_from = models.JSONField(default=dict)
    age_si = models.BigIntegerField(default=0)
    target = models.FloatField(_("share still tight at the recheck"))
    confidence = models.FloatField()
    # What the record allows and by what it is limited, or what is missing (`LifeError.code`).
    allowed_si = models.BigIntegerField(null=True)
    limited_by = models.CharField(max_length=14, blank=True)
    missing = models.CharField(max_length=20, blank=True)
    have = models.FloatField(null=True)
    need = models.FloatField(null=True)
    # What one acceptance may change today's interval to; none where it is as good as that.
    offered_si = models.BigIntegerField(null=True)
    held_back_by = models.CharField(max_length=6, blank=True)
    shape = models.FloatField(null=True)
    scale_si = models.FloatField(null=True)
    # {"since": [[use, best, low, high], ...] from the turning on, "on": the same from `age_si` on,
    #  "steps": [[use, share], ...] without any formula}
    curve = models.JSONField(default=dict)
    made_at = models.DateTimeField()
    # Reckoned again since with nothing new to say.
    as_of = models.DateTimeField()
    decided_at = models.DateTimeField(null=True)
    decided_by = models.ForeignKey("records.Person", null=True, on_delete=models.PROTECT)
    reason = models.CharField(max_length=200, blank=True)
    rule = models.ForeignKey(Rule, null=True, on_delete=models.PROTECT, related_name="+")
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["-is_current", "kind__group", "kind__code", "key", "-id"]
        indexes = [models.Index(fields=["is_current", "state"])]
        constraints = [
            models.UniqueConstraint(
                fields=["key"], condition=Q(is_current=True), name="interval_one_current"
            ),
            models.CheckConstraint(
                condition=Q(state__in=["open", "accepted", "declined", "superseded"]),
                name="interval_state_is_known",
            ),
            models.CheckConstraint(
                condition=~Q(state="declined") | ~Q(reason=""), name="interval_declined_has_reason"
            ),
            models.CheckConstraint(
                condition=~Q(state="accepted") | Q(rule__isnull=False),
                name="interval_accepted_has_rule",
            ),
            models.CheckConstraint(
                condition=Q(allowed_si__isnull=False) | Q(offered_si__isnull=True),
                name="interval_offer_is_allowed",
            ),
        ]

    @property
    def offers(self) -> bool:
        """Whether it waits for a manager."""
        return self.is_current and self.state == self.State.OPEN and self.offered_si is not None

    def __str__(self) -> str:
        return self.key
