"""Joints, whether each is fitted, the parts in place at them, and the state kept of each."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from fleet.records.base import Fact, Record
from fleet.records.layouts import JointKind, LayoutJoint
from fleet.records.vehicles import Vehicle


class Joint(Record):
    """One place on one vehicle that can come loose or wear."""

    yard_path = "vehicle__yard"

    class Fitted(models.TextChoices):
        FITTED = "fitted", _("fitted")
        APART = "apart", _("apart")
        NOT_FITTED = "not_fitted", _("not fitted")

    vehicle = models.ForeignKey(Vehicle, on_delete=models.PROTECT, related_name="joints")
    place = models.ForeignKey(LayoutJoint, on_delete=models.PROTECT, related_name="+")
    kind = models.ForeignKey(JointKind, on_delete=models.PROTECT, related_name="joints")
    side = models.CharField(max_length=5, blank=True)
    order = models.PositiveIntegerField()
    # What the last of its `fittings` says: kept with it, and rebuilt from it.
    fitted = models.CharField(max_length=10, choices=Fitted.choices, default=Fitted.FITTED)

    class Meta:
        ordering = ["order", "id"]
        constraints = [
            models.UniqueConstraint(fields=["vehicle", "kind", "side"], name="joint_once"),
            models.CheckConstraint(
                condition=Q(fitted__in=["fitted", "apart", "not_fitted"]),
                name="joint_fitted_is_known",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def name(self) -> str:
        """'ball joint, upper, left': the kind's name and the side from the driver's seat."""
        sides = {"left": _("left"), "right": _("right")}
        return f"{self.kind.name}, {sides[self.side]}" if self.side else self.kind.name


class JointFitting(Fact):
    """A joint set apart, not fitted, or fitted again, and why."""

    yard_path = "joint__vehicle__yard"

    joint = models.ForeignKey(Joint, on_delete=models.PROTECT, related_name="fittings")
    fitted = models.CharField(max_length=10, choices=Joint.Fitted.choices)
    reason = models.CharField(_("why"), max_length=200)
    use_si = models.BigIntegerField(null=True)
    # The ticket line that put it together, where it is one that warrants a hold.
    line = models.ForeignKey(
        "records.TicketLine", null=True, on_delete=models.PROTECT, related_name="fittings"
    )

    class Meta:
        ordering = ["-occurred_at", "-id"]
        indexes = [models.Index(fields=["joint", "-occurred_at"])]
        constraints = [
            models.CheckConstraint(
                condition=Q(fitted__in=["fitted", "apart", "not_fitted"]), name="fitting_is_known"
            ),
            models.CheckConstraint(condition=~Q(reason=""), name="fitting_says_why"),
        ]

    def __str__(self) -> str:
        return f"{self.joint}: {self.get_fitted_display()}"


class PartChange(Fact):
    """A part fitted or taken off, with its number, lot and the meter at the time."""

    yard_path = "joint__vehicle__yard"

    joint = models.ForeignKey(Joint, on_delete=models.PROTECT, related_name="part_changes")
    fitted = models.BooleanField(default=True)
    number = models.CharField(_("part number"), max_length=60, blank=True)
    lot = models.CharField(_("lot"), max_length=60, blank=True)
    use_si = models.BigIntegerField(null=True)
    line_entry = models.ForeignKey("records.LineEntry", null=True, on_delete=models.PROTECT)
    # A part moved from another vehicle keeps its history.
    came_from = models.ForeignKey("self", null=True, on_delete=models.PROTECT)

    class Meta:
        ordering = ["-occurred_at", "-id"]
        indexes = [models.Index(fields=["joint", "-occurred_at"]), models.Index(fields=["lot"])]

    def __str__(self) -> str:
        return f"{self.joint}: {self.number} {self.lot}".strip()


class Mark(models.TextChoices):
    """What the last look says of a joint: the shape of its mark on every screen."""

    TIGHT = "tight", _("tight by the wrench")
    NO_PLAY = "no_play", _("no play by look or feel")
    MOVED = "moved", _("moved under the wrench")
    PLAY = "play", _("play")
    BAD = "bad", _("worn out, cracked, bent, broken or missing")
    UNKNOWN = "unknown", _("never looked at")


class JointState(Record):
    """State of a joint, rebuilt from its facts by `manage.py rebuild_state`.

    It keeps starts and limits only. Shares and 'may go out' are worked out on reading, at the
    yard's date, so that they need no nightly write to be true.
    """

    yard_path = "joint__vehicle__yard"

    joint = models.OneToOneField(Joint, on_delete=models.PROTECT, related_name="state")
    mark = models.CharField(max_length=10, choices=Mark.choices, default=Mark.UNKNOWN)
    last_finding = models.ForeignKey(
        "records.Finding", null=True, on_delete=models.PROTECT, related_name="+"
    )
    last_look_at = models.DateTimeField(null=True)
    last_look_use_si = models.BigIntegerField(null=True)
    last_torque = models.ForeignKey(
        "records.TorqueReading", null=True, on_delete=models.PROTECT, related_name="+"
    )
    # The spell: since the fastener was last turned.
    last_turned_at = models.DateTimeField(null=True)
    last_turned_use_si = models.BigIntegerField(null=True)
    part = models.ForeignKey(PartChange, null=True, on_delete=models.PROTECT, related_name="+")
    loosenings = models.PositiveIntegerField(default=0)
    # The nearest recheck owed: where its interval began and where it ends.
    due_recheck = models.ForeignKey(
        "records.Recheck", null=True, on_delete=models.PROTECT, related_name="+"
    )
    interval_from = models.DateTimeField(null=True)
    interval_from_use_si = models.BigIntegerField(null=True)
    interval_to_on = models.DateField(null=True)
    interval_to_use_si = models.BigIntegerField(null=True)

    def __str__(self) -> str:
        return f"{self.joint}: {self.mark}"
