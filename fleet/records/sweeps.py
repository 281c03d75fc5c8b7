"""Sweeps: every joint that a doubted tool, lot or way of tightening has touched."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from fleet.records.base import Record, new_uid
from fleet.records.joints import Joint
from fleet.records.rechecks import Recheck
from fleet.records.tools import TorqueTool


class Sweep(Record):
    """One doubt, from its last good day to the moment it was opened.

    Fleet-wide, as a tool is lent between yards; its joints are seen in their own yards.
    """

    class Of(models.TextChoices):
        TOOL = "tool", _("a torque tool")
        LOT = "lot", _("a lot of parts")
        PRACTICE = "practice", _("a way of tightening")

    class State(models.TextChoices):
        OPEN = "open", _("open")
        CLOSED = "closed", _("closed")
        TAKEN_BACK = "taken_back", _("taken back")

    uid = models.UUIDField(unique=True, default=new_uid)
    of = models.CharField(_("what is doubted"), max_length=8, choices=Of.choices)
    tool = models.ForeignKey(TorqueTool, null=True, on_delete=models.PROTECT, related_name="sweeps")
    number = models.CharField(_("part number"), max_length=60, blank=True)
    lot = models.CharField(_("lot"), max_length=60, blank=True)
    # "factory, dry": whose figure, and the threads as they were.
    practice = models.CharField(_("way of tightening"), max_length=60, blank=True)
    since = models.DateTimeField(_("from its last good day"))
    # Up to its next good day, or to when the sweep was opened.
    until = models.DateTimeField(_("until"))
    reason = models.CharField(_("why"), max_length=200)
    state = models.CharField(max_length=10, choices=State.choices, default=State.OPEN)
    opened_at = models.DateTimeField()
    opened_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    ended_at = models.DateTimeField(null=True)
    ended_by = models.ForeignKey(
        "records.Person", null=True, on_delete=models.PROTECT, related_name="+"
    )
    said = models.CharField(_("what came of it"), max_length=300, blank=True)
    # What it came to, as counted when it was closed: {"listed", "looked", "loose", "left", ...}.
    figure = models.JSONField(default=dict)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["-opened_at", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(state__in=["open", "closed", "taken_back"]),
                name="sweep_state_is_known",
            ),
            models.CheckConstraint(
                condition=Q(of="tool", tool__isnull=False)
                | (Q(of="lot") & ~Q(lot=""))
                | (Q(of="practice") & ~Q(practice="")),
                name="sweep_says_what_is_doubted",
            ),
            models.CheckConstraint(
                condition=Q(until__gt=models.F("since")), name="sweep_ends_after_it_begins"
            ),
            models.CheckConstraint(
                condition=Q(state="open") | Q(ended_at__isnull=False, ended_by__isnull=False),
                name="sweep_ended_by_somebody",
            ),
            # Two people who sweep the same tool at once make one sweep.
            models.UniqueConstraint(
                fields=["tool"], condition=Q(state="open", of="tool"), name="sweep_one_open_of_tool"
            ),
            models.UniqueConstraint(
                fields=["number", "lot"], condition=Q(state="open", of="lot"),
                name="sweep_one_open_of_lot",
            ),
            models.UniqueConstraint(
                fields=["practice"], condition=Q(state="open", of="practice"),
                name="sweep_one_open_of_practice",
            ),
        ]  # fmt: skip

    def __str__(self) -> str:
        return self.tool.code if self.tool else self.lot or self.practice


class SweepJoint(Record):
    """A joint on a sweep's list, with what put it there and the recheck that was made."""

    yard_path = "joint__vehicle__yard"

    class Stands(models.TextChoices):
        """How it stood when the sweep was opened."""

        LOOK = "look", _("to be looked at")
        DONE_SINCE = "done_since", _("tightened since by a tool that is believed")
        GONE = "gone", _("not there any more")

    sweep = models.ForeignKey(Sweep, on_delete=models.PROTECT, related_name="joints")
    joint = models.ForeignKey(Joint, on_delete=models.PROTECT, related_name="sweeps")
    stands = models.CharField(max_length=10, choices=Stands.choices)
    touched_at = models.DateTimeField(_("touched last"))
    torque = models.ForeignKey("records.TorqueReading", null=True, on_delete=models.PROTECT)
    part = models.ForeignKey("records.PartChange", null=True, on_delete=models.PROTECT)
    # Two sweeps over one joint share the recheck that is owed there.
    recheck = models.ForeignKey(
        Recheck, null=True, on_delete=models.PROTECT, related_name="swept_by"
    )

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["sweep", "joint"], name="sweep_joint_once"),
            models.CheckConstraint(
                condition=~Q(stands="look") | Q(recheck__isnull=False),
                name="sweep_joint_to_look_at_is_owed",
            ),
            models.CheckConstraint(
                condition=Q(torque__isnull=False) | Q(part__isnull=False),
                name="sweep_joint_was_touched",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.sweep}: {self.joint}"
