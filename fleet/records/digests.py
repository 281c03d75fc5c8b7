"""Digests by e-mail: what a person asked for, and each one that was or was not sent."""

from typing import Any, Self

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from fleet.records.base import Record, new_uid
from fleet.records.yards import Yard


class Digest(Record):
    """One person's wish: off until they switch it on."""

    person = models.OneToOneField("records.Person", on_delete=models.PROTECT, related_name="digest")
    is_on = models.BooleanField(default=False)
    yards = models.ManyToManyField(Yard, related_name="+")
    # Monday is 0, as in datetime.date.weekday().
    days = models.JSONField(default=list)
    # From this hour on, by the person's own clock.
    hour = models.PositiveSmallIntegerField(default=6)
    time_zone = models.CharField(max_length=64, default="UTC")

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(hour__lt=24), name="digest_hour_of_a_day"),
        ]

    def __str__(self) -> str:
        return f"{self.person}"

    @classmethod
    def visible_to(cls, person: Any) -> models.QuerySet[Self]:
        """One's own."""
        return super().visible_to(person).filter(person=person)


class DigestSent(Record):
    """The digest of one person and one local day: claimed before it is sent, never made twice."""

    class State(models.TextChoices):
        CLAIMED = "claimed", _("being made")
        SENDING = "sending", _("handed over, not known whether it went out")
        SENT = "sent", _("sent")
        EMPTY = "empty", _("nothing to tell")
        REFUSED = "refused", _("not sent")

    uid = models.UUIDField(unique=True, default=new_uid)
    person = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="digests")
    day = models.DateField()
    state = models.CharField(max_length=8, choices=State.choices, default=State.CLAIMED)
    # Whoever claims it has it until then; a claim that ran out is another's.
    leased_until = models.DateTimeField()
    tries = models.PositiveSmallIntegerField(default=0)
    sent_at = models.DateTimeField(null=True)
    reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-day", "-id"]
        constraints = [
            models.UniqueConstraint(fields=["person", "day"], name="digest_once_a_day"),
            models.CheckConstraint(
                condition=Q(state__in=["claimed", "sending", "sent", "empty", "refused"]),
                name="digest_state_is_known",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person} {self.day}"

    @classmethod
    def visible_to(cls, person: Any) -> models.QuerySet[Self]:
        """One's own."""
        return super().visible_to(person).filter(person=person)
