"""Photos of the work: taken on a tablet, kept as files named by what is in them."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from fleet.records.base import Fact
from fleet.records.joints import Joint
from fleet.records.tickets import Ticket
from fleet.records.vehicles import Vehicle


class Photo(Fact):
    """One photo. Its file stands under its own SHA-256, so that the same photo is kept once.

    `about` is the uid that the tablet named: of a ticket or of what opens it, of a line's entry,
    of an inspection or of one of its findings. What it names may come after the photo, so it is
    looked up on reading.
    """

    yard_path = "vehicle__yard"

    class Kind(models.TextChoices):
        JPEG = "image/jpeg", "JPEG"
        PNG = "image/png", "PNG"
        WEBP = "image/webp", "WebP"

    vehicle = models.ForeignKey(Vehicle, on_delete=models.PROTECT, related_name="photos")
    joint = models.ForeignKey(Joint, null=True, on_delete=models.PROTECT, related_name="photos")
    ticket = models.ForeignKey(Ticket, null=True, on_delete=models.PROTECT, related_name="photos")
    about = models.UUIDField(null=True, db_index=True)
    # Of the file as it is kept, and of the bytes that were signed on the tablet.
    sha256 = models.CharField(max_length=64)
    sent_sha256 = models.CharField(max_length=64)
    kind = models.CharField(max_length=10, choices=Kind.choices)
    size = models.PositiveIntegerField(_("size in bytes"))
    width = models.PositiveIntegerField(_("width in pixels"))
    height = models.PositiveIntegerField(_("height in pixels"))
    place_removed = models.BooleanField(_("place and camera data removed"))

    class Meta:
        ordering = ["-occurred_at", "-id"]
        indexes = [models.Index(fields=["vehicle", "-occurred_at"])]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=["image/jpeg", "image/png", "image/webp"]),
                name="photo_kind_is_known",
            ),
            models.CheckConstraint(
                condition=Q(size__gt=0, width__gt=0, height__gt=0), name="photo_has_a_size"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.vehicle}: {self.uid}"

    @property
    def file_name(self) -> str:
        """Where its file stands in the storage."""
        return name_of(self.sha256)


def name_of(sha256: str) -> str:
    """Two letters a folder, so that no folder grows without end."""
    return f"{sha256[:2]}/{sha256}"
