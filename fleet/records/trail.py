"""The trail of who changed what, the outbox beside it, and the seals over it."""

from django.db import models
from django.db.models import Q
from django.utils import timezone

from fleet.records.base import Record, new_uid


class TrailEntry(Record):
    """One step. It holds people's ids only; names stay with people."""

    yard_path = "yard_id"

    uid = models.UUIDField(unique=True, default=new_uid)
    # What came from one gesture of one person shares this.
    gesture = models.UUIDField()
    at = models.DateTimeField()
    received_at = models.DateTimeField(default=timezone.now)
    actor_id = models.BigIntegerField()
    tablet_id = models.BigIntegerField(null=True)
    door = models.CharField(max_length=10)
    verb = models.CharField(max_length=40)
    subject = models.CharField(max_length=30)
    subject_id = models.BigIntegerField()
    vehicle_id = models.BigIntegerField(null=True)
    yard_id = models.BigIntegerField(null=True)
    before = models.JSONField(default=dict)
    after = models.JSONField(default=dict)
    reason = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-id"]
        indexes = [
            models.Index(fields=["vehicle_id", "-id"]),
            models.Index(fields=["subject", "subject_id"]),
            models.Index(fields=["yard_id", "-id"]),
        ]

    def __str__(self) -> str:
        return f"{self.verb} {self.subject} {self.subject_id}"


class Outbox(Record):
    """A notice owed to a consumer: written with the change, deleted on delivery.

    Leased, so that a worker killed in the middle loses nothing: its lease runs out and another
    takes the row. There is no cursor by id, because ids commit out of order.
    """

    trail = models.ForeignKey(TrailEntry, on_delete=models.PROTECT, related_name="notices")
    consumer = models.CharField(max_length=20)
    vehicle_id = models.BigIntegerField(null=True)
    leased_until = models.DateTimeField(null=True)
    tries = models.PositiveSmallIntegerField(default=0)
    last_error = models.TextField(blank=True)

    class Meta:
        indexes = [models.Index(fields=["consumer", "leased_until", "id"])]
        constraints = [
            models.UniqueConstraint(fields=["trail", "consumer"], name="notice_once"),
        ]

    def __str__(self) -> str:
        return f"{self.consumer}: {self.trail_id}"


class Seal(Record):
    """A hash over a range of the trail, chained to the seal before it."""

    first_id = models.BigIntegerField(unique=True)
    last_id = models.BigIntegerField(unique=True)
    entries = models.PositiveIntegerField()
    digest = models.CharField(max_length=64)
    previous = models.OneToOneField("self", null=True, on_delete=models.PROTECT)
    sealed_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(last_id__gte=models.F("first_id")), name="seal_range_in_order"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.first_id}-{self.last_id}"
