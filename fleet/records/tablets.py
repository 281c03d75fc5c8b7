"""Tablets shared in a shop, the keys that people sign with on them, and what the tablets send."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from fleet.records.base import Record, new_uid
from fleet.records.yards import Yard


class Tablet(Record):
    """A tablet shared in a shop; enrolled by a manager, revoked when lost."""

    yard_path = "yard"

    uid = models.UUIDField(unique=True, default=new_uid)
    name = models.CharField(max_length=60, unique=True)
    yard = models.ForeignKey(Yard, on_delete=models.PROTECT)
    enrolled_at = models.DateTimeField(auto_now_add=True)
    enrolled_by = models.ForeignKey(
        "records.Person", null=True, on_delete=models.PROTECT, related_name="+"
    )
    # SHA-256 of the token that it speaks to the server with; the token itself is nowhere here.
    token_hash = models.CharField(max_length=64, blank=True, db_index=True)
    # Seals what the tablet keeps; handed out with each person's key, of no use to the server.
    data_key = models.BinaryField(default=b"")
    revoked_at = models.DateTimeField(null=True)
    revoked_by = models.ForeignKey(
        "records.Person", null=True, on_delete=models.PROTECT, related_name="+"
    )
    # Told by the tablet at each exchange.
    heard_at = models.DateTimeField(null=True)
    skew_ms = models.BigIntegerField(null=True)
    waiting = models.PositiveIntegerField(default=0)
    # One exchange at a time: a repeat that overtakes its first is told to come again.
    busy_until = models.DateTimeField(null=True)
    busy_with = models.UUIDField(null=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class EnrolmentCode(Record):
    """A code that makes one tablet one of ours: used once, within half an hour."""

    yard_path = "yard"

    code_hash = models.CharField(max_length=64, unique=True)
    yard = models.ForeignKey(Yard, on_delete=models.PROTECT)
    name = models.CharField(_("name of the tablet"), max_length=60)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    good_until = models.DateTimeField()
    tablet = models.OneToOneField(Tablet, null=True, on_delete=models.PROTECT)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(good_until__gt=models.F("made_at")),
                name="enrolment_ends_after_it_begins",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class TabletKey(Record):
    """What one person signs their operations with on one tablet (HMAC-SHA-256)."""

    yard_path = "tablet__yard"

    uid = models.UUIDField(unique=True, default=new_uid)
    tablet = models.ForeignKey(Tablet, on_delete=models.PROTECT, related_name="keys")
    person = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, related_name="tablet_keys"
    )
    secret = models.BinaryField()
    handed_at = models.DateTimeField()
    # A later key of the same person on the same tablet does not end this one: what waits on the
    # tablet was signed with it.

    class Meta:
        indexes = [models.Index(fields=["tablet", "person"])]

    def __str__(self) -> str:
        return f"{self.person} @ {self.tablet}"


class TabletOperation(Record):
    """One operation as a tablet sent it, and what became of it. Kept whole, whatever became of it.

    Accepted, answered and set aside are ends. A refused one waits for its person; a parked one
    for another that was refused; what a revoked tablet sent, or what bears a wrong signature,
    waits for a manager.
    """

    yard_path = "tablet__yard"

    class State(models.TextChoices):
        ACCEPTED = "accepted", _("accepted")
        REFUSED = "refused", _("refused, with its person")
        PARKED = "parked", _("waits for another one")
        QUARANTINED = "quarantined", _("waits for a manager")
        ANSWERED = "answered", _("refused, then sent corrected")
        SET_ASIDE = "set_aside", _("set aside")

    uid = models.UUIDField(unique=True)
    tablet = models.ForeignKey(Tablet, on_delete=models.PROTECT, related_name="operations")
    # The tablet's own count, from one.
    n = models.PositiveBigIntegerField()
    person = models.ForeignKey(
        "records.Person", null=True, on_delete=models.PROTECT, related_name="tablet_operations"
    )
    key = models.ForeignKey(TabletKey, null=True, on_delete=models.PROTECT, related_name="+")
    verb = models.CharField(max_length=40)
    # The text that was signed, untouched.
    body = models.TextField()
    mac = models.CharField(max_length=64, blank=True)
    instead_of = models.UUIDField(null=True)
    # By the tablet's clock, and as corrected by what the server knew of that clock.
    made_at = models.DateTimeField()
    occurred_at = models.DateTimeField()
    received_at = models.DateTimeField()
    skew_ms = models.BigIntegerField(null=True)
    app = models.CharField(max_length=40, blank=True)
    schema = models.PositiveIntegerField(default=1)
    state = models.CharField(max_length=12, choices=State.choices)
    # Which ticket it is about, by id or by the uid of what opens it: a refusal parks only these.
    about = models.CharField(max_length=40, blank=True)
    because = models.UUIDField(null=True)
    problems = models.JSONField(default=list)
    theirs = models.JSONField(null=True)
    model = models.CharField(max_length=40, blank=True)
    row_id = models.BigIntegerField(null=True)
    ticket = models.ForeignKey(
        "records.Ticket", null=True, on_delete=models.PROTECT, related_name="+"
    )
    ended_by = models.ForeignKey(
        "records.Person", null=True, on_delete=models.PROTECT, related_name="+"
    )
    ended_at = models.DateTimeField(null=True)
    reason = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["tablet", "n"]
        constraints = [
            models.CheckConstraint(
                condition=Q(state__in=[
                    "accepted", "refused", "parked", "quarantined", "answered", "set_aside"
                ]),
                name="operation_state_is_known",
            ),
            models.CheckConstraint(
                condition=~Q(state="set_aside") | ~Q(reason=""),
                name="operation_set_aside_says_why",
            ),
        ]  # fmt: skip
        indexes = [
            models.Index(fields=["tablet", "state"]),
            models.Index(fields=["person", "state"]),
        ]

    def __str__(self) -> str:
        return f"{self.verb} {self.uid}"
