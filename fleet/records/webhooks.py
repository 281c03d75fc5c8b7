"""Events told to other programs: whom to tell, what there was to tell, and how it went."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from fleet.records.base import Record, new_uid
from fleet.records.trail import TrailEntry
from fleet.records.yards import Yard


class EventKind(models.TextChoices):
    """Names as they stand in `type`; they never change their meaning."""

    HELD = "vehicle.held", _("vehicle held")
    LIFTED = "hold.lifted", _("hold lifted")
    MISSED = "recheck.missed", _("recheck missed")
    PATTERN = "pattern.opened", _("pattern opened")
    TEST = "webhook.test", _("test")


class Why(models.TextChoices):
    """Why a try came to nothing."""

    STATUS = "status", _("it answered with an error")
    LATE = "late", _("no answer in time")
    NO_NAME = "no_name", _("its name has no address")
    UNTRUSTED = "untrusted", _("its certificate is not trusted")
    NO_WAY = "no_way", _("no connection")
    BARRED = "barred", _("its name leads into a private network; nothing is sent there")
    TOO_LONG = "too_long", _("too long to send")


class Webhook(Record):
    """An address that is told of events of one yard, or of all yards (no yard)."""

    yard_path = "yard"

    uid = models.UUIDField(unique=True, default=new_uid)
    name = models.CharField(_("name"), max_length=60)
    address = models.CharField(_("address"), max_length=500)
    yard = models.ForeignKey(Yard, null=True, on_delete=models.PROTECT, related_name="+")
    events = models.JSONField(_("events"), default=list)
    # Signing needs the secret itself. The one before it signs too, for a while after a change.
    secret = models.BinaryField()
    secret_before = models.BinaryField(default=b"")
    before_until = models.DateTimeField(null=True)
    is_on = models.BooleanField(_("switched on"), default=True)
    # Switched off by itself: the other side said that it wants no more.
    is_gone = models.BooleanField(default=False)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["name", "id"]

    def __str__(self) -> str:
        return self.name


class Event(Record):
    """Something that happened, in the words in which it is told: the same each time."""

    yard_path = "yard"

    uid = models.UUIDField(unique=True, default=new_uid)
    kind = models.CharField(max_length=20, choices=EventKind.choices)
    at = models.DateTimeField()
    # None for what is about no one yard.
    yard = models.ForeignKey(Yard, null=True, on_delete=models.PROTECT, related_name="+")
    # What there is of it in the trail; nothing for a test.
    trail = models.OneToOneField(TrailEntry, null=True, on_delete=models.PROTECT)
    body = models.TextField()

    class Meta:
        ordering = ["-at", "-id"]
        indexes = [models.Index(fields=["at", "id"])]

    def __str__(self) -> str:
        return f"{self.kind} {self.uid}"

    @property
    def message_id(self) -> str:
        """The id by which a receiver knows a repeat."""
        return f"msg_{self.uid.hex}"


class Delivery(Record):
    """One event for one address: sent until it is taken, or given up with the reason."""

    yard_path = "webhook__yard"

    class State(models.TextChoices):
        WAITING = "waiting", _("waits to be sent")
        TAKEN = "taken", _("taken")
        DEAD = "dead", _("given up")

    webhook = models.ForeignKey(Webhook, on_delete=models.PROTECT, related_name="deliveries")
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="deliveries")
    state = models.CharField(max_length=8, choices=State.choices, default=State.WAITING)
    tries = models.PositiveSmallIntegerField(default=0)
    # Not before this moment; pushed on while somebody has it in hand.
    next_at = models.DateTimeField()
    last_at = models.DateTimeField(null=True)
    # What was answered: an HTTP status, or none where nothing was.
    status = models.PositiveSmallIntegerField(null=True)
    # Why it was not taken, as a code (see Why), and what the other side or the network said.
    reason = models.CharField(max_length=12, choices=Why.choices, blank=True)
    detail = models.CharField(max_length=200, blank=True)
    took_ms = models.PositiveIntegerField(null=True)

    class Meta:
        ordering = ["-event__at", "-id"]
        indexes = [
            models.Index(fields=["next_at"], condition=Q(state="waiting"), name="delivery_waiting"),
            models.Index(fields=["webhook", "state"]),
        ]
        constraints = [
            models.UniqueConstraint(fields=["webhook", "event"], name="delivery_once"),
            models.CheckConstraint(
                condition=Q(state__in=["waiting", "taken", "dead"]), name="delivery_state_is_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.webhook}: {self.event}"
