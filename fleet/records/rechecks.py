"""Rechecks: dated or metered obligations to look again."""

from datetime import date

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from fleet.records.base import Fact, Record, new_uid
from fleet.records.joints import Joint
from fleet.records.vehicles import Vehicle


class Recheck(Record):
    """Owed until done. What the rule said when it was made stays with it."""

    yard_path = "vehicle__yard"

    class State(models.TextChoices):
        OWED = "owed", _("owed")
        MISSED = "missed", _("missed, still owed")
        DONE = "done", _("done")
        DROPPED = "dropped", _("no longer owed")

    class Kind(models.TextChoices):
        RETORQUE = "retorque", _("retorque")
        LOOK = "look", _("look")
        RACK = "rack", _("alignment on a rack")
        WHEEL_NUTS = "wheel_nuts", _("wheel nuts")
        CRACKS = "cracks", _("cracks")
        DRY_STEER = "dry_steer", _("dry steer")
        ROUTINE = "routine", _("routine")
        ANNUAL = "annual", _("annual")
        SWEEP = "sweep", _("sweep")

    uid = models.UUIDField(unique=True, default=new_uid)
    vehicle = models.ForeignKey(Vehicle, on_delete=models.PROTECT, related_name="rechecks")
    # Empty for what is owed by the whole front end.
    joint = models.ForeignKey(Joint, null=True, on_delete=models.PROTECT, related_name="rechecks")
    kind = models.CharField(max_length=12, choices=Kind.choices)
    state = models.CharField(max_length=8, choices=State.choices, default=State.OWED)
    methods = models.JSONField(_("methods that suffice"), default=list)
    # The rule: which ladder, which rung of it, which version.
    ladder = models.CharField(max_length=60)
    rung = models.PositiveSmallIntegerField(default=0)
    rule_version = models.PositiveIntegerField(default=1)
    # The accepted interval whose figures took the place of the ladder's.
    interval = models.ForeignKey(
        "records.Rule", null=True, on_delete=models.PROTECT, related_name="rechecks"
    )
    # What made it: {"line": id} or {"finding": id} or {"complaint": id} or {"recheck": id}.
    made_by_line = models.ForeignKey("records.TicketLine", null=True, on_delete=models.PROTECT)
    made_by_finding = models.ForeignKey(
        "records.Finding", null=True, on_delete=models.PROTECT, related_name="made_rechecks"
    )
    follows = models.ForeignKey("self", null=True, on_delete=models.PROTECT)
    started_at = models.DateTimeField()
    start_use_si = models.BigIntegerField(null=True)
    not_before = models.DateTimeField(null=True)
    not_before_use_si = models.BigIntegerField(null=True)
    due_on = models.DateField(null=True)
    due_use_si = models.BigIntegerField(null=True)
    # State kept with each meter reading: when the meter is likely to get there, and the first
    # of that and the date.
    use_on_low = models.DateField(null=True)
    use_on = models.DateField(null=True)
    use_on_high = models.DateField(null=True)
    falls_on = models.DateField()
    # It asks for a road test beside the look: done only with both, in either order.
    road_test = models.BooleanField(_("asks for a road test"), default=False)
    looked_by_finding = models.ForeignKey(
        "records.Finding", null=True, on_delete=models.PROTECT, related_name="looked_rechecks"
    )
    driven_by = models.ForeignKey(
        "records.RecheckDrive", null=True, on_delete=models.PROTECT, related_name="+"
    )
    hold_at_twice = models.BooleanField(default=False)
    assigned_to = models.ForeignKey(
        "records.Person", null=True, on_delete=models.PROTECT, related_name="rechecks"
    )
    # The vehicle's own exception from its rule, whose figures it was made by.
    exception = models.ForeignKey(
        "records.RuleException", null=True, on_delete=models.PROTECT, related_name="rechecks"
    )
    # Put off: by whom and why, and the limits that its rule had set. Half, twice and holds go by
    # those, so that nobody puts off a hold.
    put_off_by = models.ForeignKey(
        "records.Person", null=True, on_delete=models.PROTECT, related_name="+"
    )
    put_off_reason = models.CharField(max_length=200, blank=True)
    ruled_on = models.DateField(null=True)
    ruled_use_si = models.BigIntegerField(null=True)
    fell_due_at = models.DateTimeField(_("the moment it fell due, once missed"), null=True)
    done_at = models.DateTimeField(null=True)
    done_by_finding = models.ForeignKey(
        "records.Finding", null=True, on_delete=models.PROTECT, related_name="did_rechecks"
    )
    done_by_line = models.ForeignKey(
        "records.TicketLine", null=True, on_delete=models.PROTECT, related_name="did_rechecks"
    )
    drop_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["falls_on", "id"]
        indexes = [
            # The due list in its order, and that of a few vehicles or joints: each holds all that a
            # page needs to find its lines, so that none is looked at that is not shown.
            models.Index(fields=["state", "falls_on", "id", "vehicle"]),
            models.Index(fields=["vehicle", "state", "falls_on", "id"]),
            models.Index(fields=["joint", "state", "falls_on", "id"]),
            models.Index(fields=["ladder", "state"]),
            # The due list of one kind of work: most kinds are rare.
            models.Index(fields=["kind", "state", "falls_on", "id"]),
            models.Index(
                fields=["state", "falls_on", "id"],
                condition=Q(put_off_by__isnull=False),
                name="recheck_put_off",
            ),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(state__in=["owed", "missed", "done", "dropped"]),
                name="recheck_state_is_known",
            ),
            models.CheckConstraint(
                condition=~Q(state="done") | Q(done_at__isnull=False),
                name="recheck_done_has_moment",
            ),
            models.CheckConstraint(
                condition=Q(due_on__isnull=False) | Q(due_use_si__isnull=False),
                name="recheck_has_a_limit",
            ),
            models.CheckConstraint(
                condition=Q(put_off_by__isnull=True, put_off_reason="", ruled_on__isnull=True)
                | (Q(put_off_by__isnull=False, due_on__isnull=False) & ~Q(put_off_reason="")),
                name="recheck_put_off_has_reason",
            ),
            # One live obligation of a kind at a joint: repeats and races make no second one.
            models.UniqueConstraint(
                fields=["joint", "ladder"],
                condition=Q(state__in=["owed", "missed"], joint__isnull=False),
                name="recheck_one_live_at_joint",
            ),
            models.UniqueConstraint(
                fields=["vehicle", "ladder"],
                condition=Q(state__in=["owed", "missed"], joint__isnull=True),
                name="recheck_one_live_on_vehicle",
            ),
        ]

    LIVE = (State.OWED, State.MISSED)

    def __str__(self) -> str:
        return f"{self.vehicle}: {self.kind} {self.falls_on}"

    @property
    def by_rule(self) -> tuple[date | None, int | None]:
        """The date and the use that its rule had set, whether or not it was put off since."""
        if self.put_off_by_id is None:
            return self.due_on, self.due_use_si
        return self.ruled_on, self.ruled_use_si


class RecheckDrive(Fact):
    """The road test of a recheck. Oscillation is never provoked: speed goes up in steps, and the
    first sign ends it."""

    yard_path = "recheck__vehicle__yard"

    recheck = models.ForeignKey(Recheck, on_delete=models.PROTECT, related_name="drives")
    driver = models.CharField(_("driver"), max_length=120)
    place = models.CharField(_("where it was driven"), max_length=160)
    speeds_typed = models.CharField(_("speeds, in steps"), max_length=120)
    # In metres a second, in the order driven.
    speeds_m_s = models.JSONField(default=list)
    passed = models.BooleanField()
    note = models.TextField(blank=True)
    use_si = models.BigIntegerField(null=True)

    class Meta:
        ordering = ["-occurred_at", "-id"]

    def __str__(self) -> str:
        return f"{self.recheck}: {self.driver}"
