"""Tickets and their lines. A line's content lives in its entries, which are facts."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from fleet.records.base import Fact, Record, new_uid
from fleet.records.joints import Joint
from fleet.records.vehicles import Vehicle

# Work that mends nothing: it answers no finding, and was no cause.
MENDS_NOTHING = ("clean_protect", "grease")


class Ticket(Record):
    """A repair job on one vehicle. Its number is its id."""

    yard_path = "vehicle__yard"

    class State(models.TextChoices):
        OPEN = "open", _("open")
        CHECKED = "checked", _("second check passed")
        RELEASED = "released", _("released for road test only")
        TESTED = "tested", _("road test passed")
        CLOSED = "closed", _("closed")
        CANCELLED = "cancelled", _("cancelled")

    uid = models.UUIDField(unique=True, default=new_uid)
    vehicle = models.ForeignKey(Vehicle, on_delete=models.PROTECT, related_name="tickets")
    state = models.CharField(max_length=10, choices=State.choices, default=State.OPEN)
    complaint = models.ForeignKey(
        "records.Complaint", null=True, on_delete=models.PROTECT, related_name="tickets"
    )
    title = models.CharField(_("what for"), max_length=160, blank=True)
    opened_at = models.DateTimeField()
    opened_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    closed_at = models.DateTimeField(null=True)
    closed_by = models.ForeignKey(
        "records.Person", null=True, on_delete=models.PROTECT, related_name="+"
    )
    # Set at close: what was found when nothing was found, or the cause looked for.
    outcome = models.TextField(blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["-opened_at", "-id"]
        indexes = [models.Index(fields=["vehicle", "state"])]
        constraints = [
            models.UniqueConstraint(
                fields=["vehicle"],
                condition=~Q(state__in=["closed", "cancelled"]),
                name="ticket_one_open",
            ),
            models.CheckConstraint(
                condition=Q(state__in=[
                    "open", "checked", "released", "tested", "closed", "cancelled"
                ]),
                name="ticket_state_is_known",
            ),
            models.CheckConstraint(
                condition=~Q(state="closed") | Q(closed_at__isnull=False),
                name="ticket_closed_has_moment",
            ),
        ]  # fmt: skip

    def __str__(self) -> str:
        return f"#{self.pk}"

    @property
    def is_over(self) -> bool:
        return self.state in (self.State.CLOSED, self.State.CANCELLED)


class TicketLine(Record):
    """One action on one joint."""

    yard_path = "ticket__vehicle__yard"

    class State(models.TextChoices):
        OPEN = "open", _("open")
        COMPLETE = "complete", _("complete")
        CLOSED = "closed", _("closed")
        DROPPED = "dropped", _("dropped")

    uid = models.UUIDField(unique=True, default=new_uid)
    ticket = models.ForeignKey(Ticket, on_delete=models.PROTECT, related_name="lines")
    joint = models.ForeignKey(Joint, null=True, on_delete=models.PROTECT, related_name="lines")
    action = models.CharField(max_length=40)
    state = models.CharField(max_length=10, choices=State.choices, default=State.OPEN)
    position = models.PositiveSmallIntegerField()
    from_finding = models.ForeignKey(
        "records.Finding", null=True, on_delete=models.PROTECT, related_name="lines"
    )
    entry = models.ForeignKey(
        "records.LineEntry", null=True, on_delete=models.PROTECT, related_name="+"
    )
    rule_version = models.PositiveIntegerField(default=1)
    drop_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["position", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["ticket", "joint", "action"],
                condition=~Q(state="dropped") & Q(joint__isnull=False),
                name="line_once_at_joint",
            ),
            models.UniqueConstraint(
                fields=["ticket", "action"],
                condition=~Q(state="dropped") & Q(joint__isnull=True),
                name="line_once_on_vehicle",
            ),
            models.CheckConstraint(
                condition=Q(state__in=["open", "complete", "closed", "dropped"]),
                name="line_state_is_known",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.ticket}: {self.action}"


class LineEntry(Fact):
    """What was recorded for a line. Recording again makes a new entry that names the old."""

    yard_path = "line__ticket__vehicle__yard"

    line = models.ForeignKey(TicketLine, on_delete=models.PROTECT, related_name="entries")
    # {"torque": {"typed": "60 lbf·ft", "si": 81.3, "unit": "lbf·ft"}, "turned": {...}, ...}
    data = models.JSONField()
    replaces = models.OneToOneField(
        "self", null=True, on_delete=models.PROTECT, related_name="replaced_by"
    )
    rule_version = models.PositiveIntegerField(default=1)
    use_si = models.BigIntegerField(null=True)
    done_by = models.CharField(_("done by, if not by who enters it"), max_length=120, blank=True)

    class Meta:
        ordering = ["occurred_at", "id"]

    def __str__(self) -> str:
        return f"{self.line} @ {self.occurred_at:%Y-%m-%d}"


class TorqueReading(Fact):
    """A wrench on a fastener at its figure: the evidence of tightness."""

    yard_path = "joint__vehicle__yard"

    class Band(models.TextChoices):
        BELOW = "below", _("below the low side")
        INSIDE = "inside", _("within the figure")
        ABOVE = "above", _("above the high side")
        NO_SPEC = "no_spec", _("no figure on file")

    joint = models.ForeignKey(Joint, on_delete=models.PROTECT, related_name="torques")
    line_entry = models.ForeignKey(
        LineEntry, null=True, on_delete=models.PROTECT, related_name="torques"
    )
    finding = models.OneToOneField(
        "records.Finding", null=True, on_delete=models.PROTECT, related_name="torque"
    )
    tool = models.ForeignKey(
        "records.TorqueTool", on_delete=models.PROTECT, related_name="readings"
    )
    tool_in_date = models.BooleanField()
    spec = models.ForeignKey("records.TorqueSpec", null=True, on_delete=models.PROTECT)
    # What the wrench said, the extension in line with its handle, and what came to the fastener.
    typed = models.CharField(max_length=40)
    extension_typed = models.CharField(max_length=40, blank=True)
    extension_m = models.FloatField(null=True)
    torque_nm = models.FloatField()
    band = models.CharField(max_length=8, choices=Band.choices)
    thread_condition = models.CharField(max_length=14, blank=True)
    # Whether the fastener turned: a click without turning changes nothing.
    turned = models.BooleanField()
    degrees = models.FloatField(null=True)
    # Assembled in this entry (fitted or opened), against tightened again in place.
    assembled = models.BooleanField(default=False)
    new_fastener = models.BooleanField(null=True)
    use_si = models.BigIntegerField(null=True)

    class Meta:
        ordering = ["-occurred_at", "-id"]
        indexes = [
            models.Index(fields=["joint", "-occurred_at", "-id"]),
            models.Index(fields=["tool", "occurred_at"]),
        ]
        constraints = [
            models.CheckConstraint(condition=Q(torque_nm__gt=0), name="torque_positive"),
            models.CheckConstraint(
                condition=Q(extension_m__isnull=True) | Q(extension_m__gte=0),
                name="torque_extension_not_negative",
            ),
            models.CheckConstraint(
                condition=Q(line_entry__isnull=False) | Q(finding__isnull=False),
                name="torque_has_an_origin",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.joint}: {self.typed}"


class ToeReading(Fact):
    """Toe from two tape readings across the tyres, as found or as left."""

    yard_path = "vehicle__yard"

    vehicle = models.ForeignKey(Vehicle, on_delete=models.PROTECT, related_name="toes")
    line_entry = models.ForeignKey(
        LineEntry, null=True, on_delete=models.PROTECT, related_name="toes"
    )
    as_left = models.BooleanField()
    rear_typed = models.CharField(max_length=40)
    front_typed = models.CharField(max_length=40)
    rear_m = models.FloatField()
    front_m = models.FloatField()
    toe_m = models.FloatField()
    span_m = models.FloatField(null=True)
    height_m = models.FloatField(null=True)
    ride_height = models.BooleanField(null=True)
    use_si = models.BigIntegerField(null=True)

    class Meta:
        ordering = ["-occurred_at", "-id"]
        indexes = [models.Index(fields=["vehicle", "-occurred_at"])]

    def __str__(self) -> str:
        return f"{self.vehicle}: {self.rear_typed} / {self.front_typed}"
