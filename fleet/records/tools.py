"""Torque tools, their calibrations, comparisons, mishaps and uses on other work."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from fleet.records.base import Fact, Record
from fleet.records.yards import Yard


class TorqueTool(Record):
    yard_path = "yard"

    class Kind(models.TextChoices):
        SET = "set", _("set to a figure")
        READ = "read", _("read off a scale")

    code = models.CharField(_("code"), max_length=20, unique=True)
    name = models.CharField(_("description"), max_length=80)
    kind = models.CharField(max_length=4, choices=Kind.choices)
    low_nm = models.FloatField(_("range from, N·m"))
    high_nm = models.FloatField(_("range to, N·m"))
    # From the square drive to the middle of the grip: what an extension is reckoned with.
    lever_typed = models.CharField(_("length, drive to grip"), max_length=40, blank=True)
    lever_m = models.FloatField(null=True)
    yard = models.ForeignKey(Yard, on_delete=models.PROTECT, related_name="tools")
    in_use = models.BooleanField(_("in use"), default=True)
    # State, kept with each calibration and mishap: good until this day, or not good at all.
    good_until = models.DateField(_("calibration good until"), null=True)
    doubted_since = models.DateTimeField(_("doubted since"), null=True)

    class Meta:
        ordering = ["code"]
        constraints = [
            models.CheckConstraint(condition=Q(low_nm__gt=0), name="tool_low_positive"),
            models.CheckConstraint(
                condition=Q(high_nm__gt=F("low_nm")), name="tool_high_above_low"
            ),
            models.CheckConstraint(
                condition=Q(lever_m__isnull=True) | Q(lever_m__gt=0), name="tool_lever_positive"
            ),
        ]

    def __str__(self) -> str:
        return self.code


class Calibration(Fact):
    yard_path = "tool__yard"

    tool = models.ForeignKey(TorqueTool, on_delete=models.PROTECT, related_name="calibrations")
    passed = models.BooleanField()
    worst_deviation = models.FloatField(_("worst deviation, share of the figure"), null=True)
    good_until = models.DateField(null=True)
    certificate = models.CharField(_("certificate"), max_length=120)

    class Meta:
        ordering = ["-occurred_at", "-id"]

    def __str__(self) -> str:
        return f"{self.tool}: {self.certificate}"


class ToolComparison(Fact):
    """Three pulls at the figure beside an in-date tool; lends a tool a few days of trust."""

    yard_path = "tool__yard"

    tool = models.ForeignKey(TorqueTool, on_delete=models.PROTECT, related_name="comparisons")
    beside = models.ForeignKey(TorqueTool, on_delete=models.PROTECT, related_name="+")
    figure_nm = models.FloatField()
    pulls_nm = models.JSONField()
    worst_share = models.FloatField()
    agrees = models.BooleanField()
    good_until = models.DateField(null=True)

    class Meta:
        ordering = ["-occurred_at", "-id"]

    def __str__(self) -> str:
        return f"{self.tool} beside {self.beside}"


class ToolMishap(Fact):
    """A drop or an overload: from here on the tool is doubted until calibrated again."""

    yard_path = "tool__yard"

    tool = models.ForeignKey(TorqueTool, on_delete=models.PROTECT, related_name="mishaps")
    what = models.CharField(max_length=200)

    class Meta:
        ordering = ["-occurred_at", "-id"]

    def __str__(self) -> str:
        return f"{self.tool}: {self.what}"


class ToolUse(Fact):
    """Uses on work that is not in this record: they count to the calibration's uses.

    One that was wrong is corrected by a later fact that names it; the last of such a chain counts.
    """

    yard_path = "tool__yard"

    tool = models.ForeignKey(TorqueTool, on_delete=models.PROTECT, related_name="uses_elsewhere")
    uses = models.PositiveIntegerField(_("how many times"))
    reason = models.CharField(max_length=200, blank=True)
    corrects = models.OneToOneField(
        "self", null=True, on_delete=models.PROTECT, related_name="corrected_by"
    )

    class Meta:
        ordering = ["-occurred_at", "-id"]
        constraints = [
            # Nought only where an entry was wrong altogether.
            models.CheckConstraint(
                condition=Q(uses__gt=0) | Q(corrects__isnull=False), name="tool_use_is_some"
            ),
            models.CheckConstraint(
                condition=Q(corrects__isnull=True) | ~Q(reason=""),
                name="tool_use_correction_says_why",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.tool}: {self.uses}"
