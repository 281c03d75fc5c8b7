"""Holds: the vehicle must not go out."""

from datetime import datetime

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from fleet.records.base import Record, in_language, new_uid
from fleet.records.joints import Joint
from fleet.records.vehicles import Vehicle


def keeping_in(at: datetime, path: str = "") -> Q:
    """Holds that keep a vehicle in at a moment: not lifted, and not let out until later.

    `path` leads to the hold from whatever is asked, with its underscores.
    """
    here = Q(**{f"{path}out_until": None}) | Q(**{f"{path}out_until__lte": at})
    return Q(**{f"{path}lifted_at": None}) & here


class Hold(Record):
    """Placed in one tap, lifted only after a passed second check."""

    yard_path = "vehicle__yard"

    class Reason(models.TextChoices):
        COMPLAINT = "complaint", _("complaint")
        FINDING = "finding", _("finding")
        MISSED = "missed", _("recheck missed by twice its interval")
        APART = "apart", _("joint taken apart")
        USED = "used_while_held", _("used while held")
        PERSON = "person", _("placed by a person")
        LAPSED = "lapsed", _("release lapsed")

    uid = models.UUIDField(unique=True, default=new_uid)
    vehicle = models.ForeignKey(Vehicle, on_delete=models.PROTECT, related_name="holds")
    reason = models.CharField(max_length=16, choices=Reason.choices)
    text = models.CharField(_("why"), max_length=300)
    # Where the program found the words: the same in each language.
    said = models.JSONField(default=dict, blank=True)
    joint = models.ForeignKey(Joint, null=True, on_delete=models.PROTECT)
    finding = models.ForeignKey("records.Finding", null=True, on_delete=models.PROTECT)
    complaint = models.ForeignKey("records.Complaint", null=True, on_delete=models.PROTECT)
    recheck = models.ForeignKey("records.Recheck", null=True, on_delete=models.PROTECT)
    # The ticket whose close lifts it.
    ticket = models.ForeignKey(
        "records.Ticket", null=True, on_delete=models.PROTECT, related_name="holds"
    )
    placed_at = models.DateTimeField()
    placed_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    # Read over and let out: it keeps the vehicle in again from this moment on.
    out_until = models.DateTimeField(null=True)
    lifted_at = models.DateTimeField(null=True)
    lifted_by = models.ForeignKey(
        "records.Person", null=True, on_delete=models.PROTECT, related_name="+"
    )
    lifted_by_check = models.ForeignKey(
        "records.SecondCheck", null=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["-placed_at", "-id"]
        indexes = [models.Index(fields=["vehicle"], condition=Q(lifted_at=None), name="hold_open")]
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    lifted_at__isnull=True, lifted_by__isnull=True, lifted_by_check__isnull=True
                )
                | Q(
                    lifted_at__isnull=False,
                    lifted_by__isnull=False,
                    lifted_by_check__isnull=False,
                ),
                name="hold_lifted_by_a_check",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.vehicle}: {self.text}"

    @property
    def words(self) -> str:
        """Why, in the reader's language; what a person typed stays as it was typed."""
        return in_language(self.said) or self.text
