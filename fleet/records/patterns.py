"""Patterns: findings over the history, with their evidence and their lifecycle."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from fleet.records.base import Record, new_uid
from fleet.records.joints import Joint
from fleet.records.vehicles import Vehicle
from fleet.records.yards import Yard


class Pattern(Record):
    yard_path = "yard"

    class State(models.TextChoices):
        OPEN = "open", _("open")
        LOOKED_AT = "looked_at", _("looked at")
        ACTED_ON = "acted_on", _("acted on")
        HELPED = "helped", _("helped")
        DID_NOT_HELP = "did_not_help", _("did not help")
        TOO_EARLY = "too_early", _("too early to say")
        SET_ASIDE = "set_aside", _("set aside")

    uid = models.UUIDField(unique=True, default=new_uid)
    # "repeat_loosening" is the working rule; the others are found by statistics: "joint", "tool",
    # "lot", "part", "practice", "yard", "yard_duty", "worsening", "toe_drift", "missed".
    kind = models.CharField(max_length=30)
    # What it is about, so that a scan run twice finds the same row: "joint:123",
    # "tightness:tool:12".
    key = models.CharField(max_length=160)
    state = models.CharField(max_length=12, choices=State.choices, default=State.OPEN)
    yard = models.ForeignKey(Yard, null=True, on_delete=models.PROTECT)
    vehicle = models.ForeignKey(
        Vehicle, null=True, on_delete=models.PROTECT, related_name="patterns"
    )
    joint = models.ForeignKey(Joint, null=True, on_delete=models.PROTECT, related_name="patterns")
    # {"findings": [ids], "torques": [ids]}
    evidence = models.JSONField(default=dict)
    # By the working rule {"method": "count in window", "count": 2, "window_days": 365, ...}; by
    # statistics {"method": "evidence", "clock", "label", "member", "observed", "expected", "ratio",
    # "low", "high", "p_above", "log_e", "level", "family", "vehicles", "explains",
    # "not_told_apart", "explained_by", "until"}.
    statistic = models.JSONField(default=dict)
    # Did it help: {"verdict", "predicted", "seen", "expected", "p", "until"}.
    verdict = models.JSONField(default=dict)
    next_look = models.JSONField(default=list)
    opened_at = models.DateTimeField()
    last_evidence_at = models.DateTimeField()
    cause = models.TextField(_("cause found"), blank=True)
    action = models.TextField(_("what was done"), blank=True)
    acted_at = models.DateTimeField(null=True)
    set_aside_reason = models.TextField(blank=True)
    set_aside_at = models.DateTimeField(null=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["-last_evidence_at", "-id"]
        indexes = [models.Index(fields=["state", "-last_evidence_at"])]
        constraints = [
            models.UniqueConstraint(fields=["kind", "key"], name="pattern_once"),
            models.CheckConstraint(
                condition=~Q(state="set_aside") | ~Q(set_aside_reason=""),
                name="pattern_set_aside_has_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.key}"
