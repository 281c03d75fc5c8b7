"""Layouts and joint kinds: reference data that says which joints a vehicle has.

A manager can add a layout or a joint kind without code: they are rows, loaded at first from
fixtures/reference.
"""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from fleet.records.base import Named, Record


class HeldBy(models.TextChoices):
    """How the fastener is held decides what a retorque is."""

    BOLT = "bolt", _("plain or lock nut on a straight bolt")
    SLOTTED_BOLT = "slotted_bolt", _("slotted nut and pin on a straight bolt")
    SLOTTED_STUD = "slotted_stud", _("slotted nut and pin on a tapered stud")
    CLAMP = "clamp", _("clamp")
    U_BOLT = "u_bolt", _("U-bolt")
    STUD_NUTS = "stud_nuts", _("nuts on studs, in a sequence")
    ADJUSTING_NUT = "adjusting_nut", _("wheel-bearing adjusting nut")
    PRESSED = "pressed", _("pressed in")
    ANGLE = "angle", _("angle or to-yield bolt")
    NONE = "none", _("no fastener")


class JointKind(Named):
    group = models.CharField(max_length=30)
    sided = models.BooleanField(default=False)
    # Hold-warranting: a loose one may take the vehicle's steering or its axle away.
    holds = models.BooleanField(_("warrants a hold"), default=False)
    held_by = models.CharField(max_length=20, choices=HeldBy.choices, default=HeldBy.NONE)
    moved_methods = models.JSONField(default=list)
    play_methods = models.JSONField(default=list)
    limit = models.CharField(max_length=30, blank=True)
    limit_note = models.JSONField(default=dict)
    response = models.CharField(max_length=40)
    minutes = models.PositiveSmallIntegerField(default=2)
    ride_height = models.BooleanField(default=False)
    opens_steering = models.BooleanField(default=False)
    # Some vehicles of a layout are built without it.
    may_be_absent = models.BooleanField(_("may be absent"), default=False)
    hint = models.JSONField(default=dict)

    class Meta:
        ordering = ["group", "code"]
        constraints = [
            models.CheckConstraint(
                condition=Q(held_by__in=HeldBy.values), name="joint_kind_held_by_is_known"
            ),
        ]

    @property
    def torque_seen_by_wrench(self) -> bool:
        """Whether a wrench at its figure can say anything of this joint."""
        return self.held_by not in {
            HeldBy.ADJUSTING_NUT,
            HeldBy.ANGLE,
            HeldBy.PRESSED,
            HeldBy.NONE,
        }


class Layout(Named):
    """One part of how a front axle is located and steered; a design names one of each axis."""

    class Axis(models.TextChoices):
        AXLE = "axle", _("axle location")
        LINKAGE = "linkage", _("steering linkage")
        KNUCKLE = "knuckle", _("knuckles")
        HUB = "hub", _("hubs")
        COMMON = "common", _("on every vehicle")

    axis = models.CharField(max_length=10, choices=Axis.choices)

    class Meta:
        ordering = ["axis", "code"]
        constraints = [
            models.CheckConstraint(
                condition=Q(axis__in=["axle", "linkage", "knuckle", "hub", "common"]),
                name="layout_axis_is_known",
            ),
        ]


class LayoutJoint(Record):
    """One joint's place in a layout: its kind, its side, its turn in the walk.

    Where it is on the vehicle stands with the drawing: fixtures/reference/drawing.
    """

    layout = models.ForeignKey(Layout, on_delete=models.PROTECT, related_name="joints")
    kind = models.ForeignKey(JointKind, on_delete=models.PROTECT, related_name="places")
    side = models.CharField(max_length=5, blank=True)
    order = models.PositiveIntegerField()

    class Meta:
        ordering = ["order", "id"]
        constraints = [
            models.UniqueConstraint(fields=["layout", "kind", "side"], name="layout_joint_once"),
            models.CheckConstraint(
                condition=Q(side__in=["", "left", "right"]), name="layout_joint_side_is_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.layout}: {self.kind} {self.side}".strip()


class Design(Record):
    """Vehicles of one make and pattern: the same layout, the same fasteners, the same figures."""

    name = models.CharField(_("name"), max_length=80, unique=True)
    make = models.CharField(_("make"), max_length=60)
    axle = models.ForeignKey(Layout, on_delete=models.PROTECT, related_name="+")
    linkage = models.ForeignKey(Layout, on_delete=models.PROTECT, related_name="+")
    knuckle = models.ForeignKey(Layout, on_delete=models.PROTECT, related_name="+")
    hub = models.ForeignKey(Layout, on_delete=models.PROTECT, related_name="+")
    toe_low_m = models.FloatField(_("least toe-in"), null=True)
    toe_high_m = models.FloatField(_("most toe-in"), null=True)
    toe_typed = models.CharField(max_length=60, blank=True)
    toe_source = models.CharField(max_length=160, blank=True)
    # Both sides of the axle alike, in degrees as the rack shows them.
    caster_low_degrees = models.FloatField(_("least caster, degrees"), null=True)
    caster_high_degrees = models.FloatField(_("most caster, degrees"), null=True)
    caster_typed = models.CharField(max_length=60, blank=True)
    caster_source = models.CharField(max_length=160, blank=True)
    camber_low_degrees = models.FloatField(_("least camber, degrees"), null=True)
    camber_high_degrees = models.FloatField(_("most camber, degrees"), null=True)
    camber_typed = models.CharField(max_length=60, blank=True)
    camber_source = models.CharField(max_length=160, blank=True)
    tie_rod_ahead = models.BooleanField(_("tie rod ahead of the axle"), default=False)
    # What turns of the sleeves are worked out from. A lead is metres a turn, and the other end's
    # is negative for a second right-hand thread and zero for an end that does not turn.
    steering_arm_m = models.FloatField(_("steering arm, m"), null=True)
    steering_arm_typed = models.CharField(max_length=40, blank=True)
    tie_rod_lead_m = models.FloatField(null=True)
    tie_rod_other_lead_m = models.FloatField(null=True)
    tie_rod_thread_typed = models.CharField(max_length=40, blank=True)
    tie_rod_other_typed = models.CharField(max_length=40, blank=True)
    pitman_arm_m = models.FloatField(_("Pitman arm, m"), null=True)
    pitman_arm_typed = models.CharField(max_length=40, blank=True)
    gear_ratio = models.FloatField(_("ratio of the gear"), null=True)
    drag_link_lead_m = models.FloatField(null=True)
    drag_link_other_lead_m = models.FloatField(null=True)
    drag_link_thread_typed = models.CharField(max_length=40, blank=True)
    drag_link_other_typed = models.CharField(max_length=40, blank=True)
    # Left-hand drive, road wheels held. Null: not known, or told by gear and tie rod alone.
    longer_link_turns_right = models.BooleanField(null=True)
    linkage_source = models.CharField(max_length=160, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name
