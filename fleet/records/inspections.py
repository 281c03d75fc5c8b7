"""Inspections and their findings."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from fleet.records.base import Fact
from fleet.records.joints import Joint, Mark
from fleet.records.vehicles import Vehicle


class InspectionKind(models.TextChoices):
    ROUTINE = "routine", _("routine")
    RETORQUE = "retorque", _("retorque")
    RECHECK = "recheck", _("recheck after repair")
    COMPLAINT = "complaint", _("complaint")
    DAMAGE = "damage", _("after damage")
    ANNUAL = "annual", _("annual")
    SWEEP = "sweep", _("sweep")
    BRING_BACK = "bring_back", _("bring-back")


class FindingCode(models.TextChoices):
    NO_PLAY = "no_play", _("no play")
    TIGHT = "tight", _("tight")
    MOVED = "moved", _("moved")
    PLAY = "play", _("play")
    WORN_OUT = "worn_out", _("worn out")
    CRACKED = "cracked", _("cracked")
    BENT = "bent", _("bent")
    BROKEN = "broken_or_missing", _("broken or missing")
    BOOT_TORN = "boot_torn", _("boot torn")
    NOT_FITTED = "not_fitted", _("not fitted")
    NOT_REACHED = "not_reached", _("not reached")


BAD = (FindingCode.WORN_OUT, FindingCode.CRACKED, FindingCode.BENT, FindingCode.BROKEN)
# A loosening: what counts against a joint that was tight before.
LOOSE = (FindingCode.MOVED, FindingCode.PLAY)
# The mark that a finding gives its joint; what is not listed and is a finding is bad.
MARKS = {
    FindingCode.TIGHT: Mark.TIGHT,
    FindingCode.NO_PLAY: Mark.NO_PLAY,
    FindingCode.BOOT_TORN: Mark.NO_PLAY,
    FindingCode.MOVED: Mark.MOVED,
    FindingCode.PLAY: Mark.PLAY,
}
SOUND = (FindingCode.NO_PLAY, FindingCode.TIGHT, FindingCode.BOOT_TORN)


def mark_of(code: str) -> str:
    """The mark of a finding: of what was not reached or not fitted, that of no look at all."""
    known = FindingCode(code)
    return str(Mark.BAD if known in BAD else MARKS.get(known, Mark.UNKNOWN))


class Inspection(Fact):
    """One look over some or all joints, by named people, under stated conditions."""

    yard_path = "vehicle__yard"

    vehicle = models.ForeignKey(Vehicle, on_delete=models.PROTECT, related_name="inspections")
    kind = models.CharField(max_length=12, choices=InspectionKind.choices)
    complaint = models.ForeignKey(
        "records.Complaint", null=True, on_delete=models.PROTECT, related_name="inspections"
    )
    second_person = models.ForeignKey(
        "records.Person", null=True, on_delete=models.PROTECT, related_name="+"
    )
    # Who held the wheel needs no account.
    at_wheel = models.CharField(_("at the wheel"), max_length=80, blank=True)
    on_wheels = models.BooleanField(_("on its wheels"), null=True)
    engine_on = models.BooleanField(_("engine on"), null=True)
    ride_height = models.BooleanField(_("at ride height"), null=True)
    plough_on = models.BooleanField(_("plow on"), null=True)
    reading = models.ForeignKey("records.MeterReading", null=True, on_delete=models.PROTECT)
    use_si = models.BigIntegerField(null=True)
    note = models.TextField(_("note"), blank=True)

    class Meta:
        ordering = ["-occurred_at", "-id"]
        indexes = [models.Index(fields=["vehicle", "-occurred_at"])]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=InspectionKind.values), name="inspection_kind_is_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.vehicle}: {self.get_kind_display()}"


class Finding(Fact):
    """What a check said of one joint, with all that statistics later need of it."""

    yard_path = "joint__vehicle__yard"

    class Answer(models.TextChoices):
        """What measured play was judged to be. Nothing is ever called good."""

        NONE = "", _("not judged")
        PAST = "past", _("past the line")
        INSIDE = "inside", _("inside the line, but play: plan the part")
        NO_LIMIT = "no_limit", _("no general figure: the maker's limit, or a person decides")
        UNMEASURED = "unmeasured", _("play, not measured")

    class Response(models.TextChoices):
        NOTE = "note", _("noted")
        LINE = "line", _("ticket line")
        HOLD = "hold", _("hold")

    inspection = models.ForeignKey(Inspection, on_delete=models.PROTECT, related_name="findings")
    joint = models.ForeignKey(Joint, on_delete=models.PROTECT, related_name="findings")
    code = models.CharField(max_length=20, choices=FindingCode.choices)
    method = models.CharField(max_length=20, blank=True)
    # The fastener: was it turned, and how far.
    turned = models.BooleanField(null=True)
    degrees = models.FloatField(null=True)
    play_typed = models.CharField(max_length=40, blank=True)
    play_m = models.FloatField(null=True)
    limit_m = models.FloatField(null=True)
    limit_citation = models.CharField(max_length=200, blank=True)
    answer = models.CharField(max_length=12, choices=Answer.choices, blank=True)
    response = models.CharField(max_length=5, choices=Response.choices)
    reason = models.CharField(_("reason not reached"), max_length=200, blank=True)
    note = models.CharField(max_length=400, blank=True)
    # Why it was looked at, the use at the time, what was due next, and by which rules.
    why = models.CharField(max_length=12, choices=InspectionKind.choices)
    use_si = models.BigIntegerField(null=True)
    due_recheck = models.ForeignKey(
        "records.Recheck", null=True, on_delete=models.PROTECT, related_name="+"
    )
    due_on = models.DateField(null=True)
    due_use_si = models.BigIntegerField(null=True)
    rule_version = models.PositiveIntegerField(default=1)
    spec = models.ForeignKey("records.TorqueSpec", null=True, on_delete=models.PROTECT)

    class Meta:
        ordering = ["-occurred_at", "-id"]
        indexes = [
            models.Index(fields=["joint", "-occurred_at", "-id"]),
            models.Index(fields=["code", "occurred_at"]),
        ]
        constraints = [
            models.UniqueConstraint(fields=["inspection", "joint"], name="finding_once"),
            models.CheckConstraint(
                condition=Q(code__in=FindingCode.values), name="finding_code_is_known"
            ),
            models.CheckConstraint(
                condition=~Q(code="not_reached") | ~Q(reason=""),
                name="finding_not_reached_has_reason",
            ),
            models.CheckConstraint(
                condition=~Q(code="tight") | Q(method="wrench"),
                name="finding_tight_is_by_wrench",
            ),
            models.CheckConstraint(
                condition=Q(play_m__isnull=True) | Q(play_m__gte=0), name="finding_play_positive"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.joint}: {self.get_code_display()}"
