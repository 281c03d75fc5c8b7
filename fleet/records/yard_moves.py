"""Leave to move a held vehicle to the yard, and how it ended. The hold stays."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from fleet.records.base import Fact, in_language
from fleet.records.vehicles import Vehicle


class YardMove(Fact):
    """A trained person's decision: to the yard only, by this route, so fast at most, until then.

    Each names the one before it on its vehicle, so that the database itself keeps them in one
    line: two decided at once can't both follow the same one.
    """

    yard_path = "vehicle__yard"

    vehicle = models.ForeignKey(Vehicle, on_delete=models.PROTECT, related_name="yard_moves")
    follows = models.OneToOneField(
        "self", null=True, on_delete=models.PROTECT, related_name="followed_by"
    )
    route = models.CharField(_("by which route"), max_length=200)
    speed_typed = models.CharField(_("at most how fast"), max_length=30)
    speed_m_s = models.FloatField()
    until = models.DateTimeField(_("until"))
    # A hold from an oscillation complaint was open: towing was the default, and ruled out in words.
    after_oscillation = models.BooleanField()
    why_not_towed = models.CharField(_("why it can't be towed"), max_length=500, blank=True)
    tow_ruled_out = models.BooleanField(default=False)

    class Meta:
        ordering = ["-occurred_at", "-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["vehicle"], condition=Q(follows=None), name="move_first_once"
            ),
            models.CheckConstraint(condition=Q(speed_m_s__gt=0), name="move_speed_positive"),
            models.CheckConstraint(
                condition=Q(until__gt=F("occurred_at")), name="move_ends_after_it_begins"
            ),
            models.CheckConstraint(
                condition=Q(after_oscillation=False)
                | (Q(tow_ruled_out=True) & ~Q(why_not_towed="")),
                name="move_after_oscillation_says_why",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.vehicle}: {self.route}"


class YardMoveEnd(Fact):
    """The leave is over before its time: the vehicle has arrived, or the leave is taken back."""

    yard_path = "move__vehicle__yard"

    class How(models.TextChoices):
        ARRIVED = "arrived", _("arrived in the yard")
        TAKEN_BACK = "taken_back", _("taken back")

    move = models.OneToOneField(YardMove, on_delete=models.PROTECT, related_name="end")
    how = models.CharField(max_length=10, choices=How.choices)
    note = models.CharField(max_length=300, blank=True)
    # Where the program found the words: the same in each language.
    said = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ["-occurred_at", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(how="arrived") | (Q(how="taken_back") & ~Q(note="")),
                name="move_taken_back_says_why",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.move}: {self.get_how_display()}"

    @property
    def words(self) -> str:
        """The note, in the reader's language where the program wrote it."""
        return in_language(self.said) or self.note
