"""Torque figures with their source, and the fleet's rules with their versions."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from fleet.records.base import Record
from fleet.records.layouts import Design, JointKind


class ThreadCondition(models.TextChoices):
    DRY = "dry", _("dry")
    OILED = "oiled", _("oiled")
    ANTI_SEIZE = "anti_seize", _("anti-seize")
    THREADLOCKER = "threadlocker", _("threadlocker")


class TorqueSpec(Record):
    """One figure for one joint kind on one design. A change is a new row with a new version."""

    class Origin(models.TextChoices):
        FACTORY = "factory", _("factory")
        SHOP = "shop", _("shop")

    design = models.ForeignKey(Design, on_delete=models.PROTECT, related_name="specs")
    kind = models.ForeignKey(JointKind, on_delete=models.PROTECT, related_name="specs")
    origin = models.CharField(max_length=8, choices=Origin.choices)
    # The figure a wrench is set to on this joint; one a joint kind and design.
    is_target = models.BooleanField(_("target"), default=False)
    typed = models.CharField(_("as written"), max_length=60)
    low_nm = models.FloatField(_("low side, N·m"))
    high_nm = models.FloatField(_("high side, N·m"))
    angle_degrees = models.FloatField(_("then turned on by, degrees"), null=True)
    sequence = models.CharField(_("order"), max_length=120, blank=True)
    thread_condition = models.CharField(max_length=14, choices=ThreadCondition.choices)
    new_fastener = models.BooleanField(_("new fastener each time"), default=False)
    thread = models.CharField(_("thread"), max_length=30, blank=True)
    strength_class = models.CharField(_("class or grade"), max_length=20, blank=True)
    source = models.CharField(_("where the figure stands"), max_length=160)
    reason = models.CharField(_("reason"), max_length=200, blank=True)
    version = models.PositiveIntegerField(default=1)
    is_current = models.BooleanField(default=True)
    since = models.DateTimeField()
    set_by = models.ForeignKey("records.Person", on_delete=models.PROTECT)

    class Meta:
        ordering = ["design", "kind", "origin", "-version"]
        constraints = [
            models.UniqueConstraint(
                fields=["design", "kind", "origin", "version"], name="spec_version_once"
            ),
            models.UniqueConstraint(
                fields=["design", "kind", "origin"],
                condition=Q(is_current=True),
                name="spec_one_current",
            ),
            models.UniqueConstraint(
                fields=["design", "kind"],
                condition=Q(is_current=True, is_target=True),
                name="spec_one_target",
            ),
            models.CheckConstraint(condition=Q(low_nm__gt=0), name="spec_low_positive"),
            models.CheckConstraint(
                condition=Q(high_nm__gte=F("low_nm")), name="spec_high_not_below_low"
            ),
            models.CheckConstraint(
                condition=Q(is_target=False) | Q(is_current=True), name="spec_target_is_current"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.design}, {self.kind}: {self.typed}"


class Rule(Record):
    """A rule that the fleet may change: one row a version, the newest one current.

    Kinds: action, ladder, routine, response, complaint, finding, method, setting, limit, minutes;
    and interval, which a manager accepts for a cell of joints (`IntervalProposal`).
    Loaded at first from fixtures/rules and fixtures/reference. What a rule started with stays
    with it: facts and rechecks name the version they were made under.
    """

    kind = models.CharField(max_length=20)
    key = models.CharField(max_length=160)
    version = models.PositiveIntegerField(default=1)
    data = models.JSONField()
    is_current = models.BooleanField(default=True)
    since = models.DateTimeField()
    set_by = models.ForeignKey("records.Person", on_delete=models.PROTECT)
    reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["kind", "key", "-version"]
        constraints = [
            models.UniqueConstraint(fields=["kind", "key", "version"], name="rule_version_once"),
            models.UniqueConstraint(
                fields=["kind", "key"], condition=Q(is_current=True), name="rule_one_current"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.key} v{self.version}"
