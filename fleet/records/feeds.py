"""Calendar feeds: secret addresses, and what each of them has told of so far."""

from typing import Any, Self

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from fleet.records.base import Record, new_uid
from fleet.records.vehicles import Vehicle
from fleet.records.yards import Yard


class Feed(Record):
    """What one person subscribes to: a yard, a person's work, or a vehicle.

    Of the address only a hash is kept. A feed belongs to its maker and is seen by nobody else.
    """

    class Of(models.TextChoices):
        YARD = "yard", _("a yard")
        PERSON = "person", _("a person")
        VEHICLE = "vehicle", _("a vehicle")

    uid = models.UUIDField(unique=True, default=new_uid)
    owner = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="feeds")
    of = models.CharField(_("what it is of"), max_length=8, choices=Of.choices)
    yard = models.ForeignKey(Yard, null=True, on_delete=models.PROTECT, related_name="+")
    of_person = models.ForeignKey(
        "records.Person", null=True, on_delete=models.PROTECT, related_name="+"
    )
    vehicle = models.ForeignKey(Vehicle, null=True, on_delete=models.PROTECT, related_name="+")
    # SHA-256 of the secret part of its address; the address itself is nowhere here.
    token_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    renewed_at = models.DateTimeField(null=True)
    fetched_at = models.DateTimeField(_("last fetched"), null=True)
    revoked_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(of="yard", yard__isnull=False, of_person=None, vehicle=None)
                | Q(of="person", yard=None, of_person__isnull=False, vehicle=None)
                | Q(of="vehicle", yard=None, of_person=None, vehicle__isnull=False),
                name="feed_is_of_one_thing",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def name(self) -> str:
        """What it is of, as its owner calls it."""
        return self.vehicle.unit_number if self.vehicle else str(self.yard or self.of_person)

    @classmethod
    def visible_to(cls, person: Any) -> models.QuerySet[Self]:
        """One's own."""
        return super().visible_to(person).filter(owner=person)


class FeedEvent(Record):
    """One event as a feed last told it, so that a change is told as a change.

    It says when and how often it changed (LAST-MODIFIED, SEQUENCE) and holds no word of what it
    is: that is read anew for whoever asks, as far as they may see it then.
    """

    feed = models.ForeignKey(Feed, on_delete=models.PROTECT, related_name="events")
    # Of the recheck or of the planned visit: UID is made of it.
    source = models.UUIDField()
    day = models.DateField()
    sequence = models.PositiveIntegerField(default=0)
    # What it said beside the day, as a hash: its owner's words are not kept here.
    digest = models.CharField(max_length=64)
    changed_at = models.DateTimeField()
    cancelled = models.BooleanField(default=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["feed", "source"], name="feed_event_once"),
        ]

    def __str__(self) -> str:
        return f"{self.source} {self.day}"
