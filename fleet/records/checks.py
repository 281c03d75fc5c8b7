"""Second check, release for a road test, road test: between work and close; leave for a self
re-check."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from fleet.records.base import Fact
from fleet.records.tickets import Ticket
from fleet.records.vehicles import Vehicle


class SelfCheckLeave(Fact):
    """A manager's leave, beforehand: this person may check this ticket's work again themselves."""

    yard_path = "ticket__vehicle__yard"

    ticket = models.ForeignKey(Ticket, on_delete=models.PROTECT, related_name="self_check_leaves")
    technician = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    reason = models.CharField(_("why nobody else can check"), max_length=300)
    until = models.DateTimeField(_("until"))

    class Meta:
        ordering = ["-occurred_at", "-id"]
        constraints = [
            models.CheckConstraint(condition=~Q(by=F("technician")), name="leave_not_to_oneself"),
            models.CheckConstraint(condition=~Q(reason=""), name="leave_has_a_reason"),
            models.CheckConstraint(
                condition=Q(until__gt=F("occurred_at")), name="leave_ends_after_it_begins"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.ticket}: {self.technician}"


class LeaveTakenBack(Fact):
    """A leave that no longer stands; nothing more is checked by it."""

    yard_path = "leave__ticket__vehicle__yard"

    leave = models.OneToOneField(
        SelfCheckLeave, on_delete=models.PROTECT, related_name="taken_back"
    )
    reason = models.CharField(max_length=300)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(reason=""), name="leave_taken_back_says_why"),
        ]

    def __str__(self) -> str:
        return f"{self.leave}: {self.reason}"


class SecondCheck(Fact):
    """Somebody who did no line of the repair confirms it, dry steer on the floor."""

    yard_path = "vehicle__yard"

    class How(models.TextChoices):
        IN_PERSON = "in_person", _("in person")
        WITNESS = "witness", _("a trained person as witness")
        DISTANCE = "distance", _("a trained person at a distance, by live video or photos")
        SELF = "self", _("self re-check after a pause, allowed beforehand")

    ticket = models.ForeignKey(
        Ticket, null=True, on_delete=models.PROTECT, related_name="second_checks"
    )
    vehicle = models.ForeignKey(Vehicle, on_delete=models.PROTECT, related_name="second_checks")
    how = models.CharField(max_length=10, choices=How.choices, default=How.IN_PERSON)
    passed = models.BooleanField()
    dry_steer = models.BooleanField(_("dry steer on the floor, wheels chocked"))
    note = models.TextField(blank=True)
    # The leave that a self re-check was made by.
    leave = models.ForeignKey(
        SelfCheckLeave, null=True, on_delete=models.PROTECT, related_name="checks"
    )

    class Meta:
        ordering = ["-occurred_at", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(how="self", leave__isnull=False)
                | (~Q(how="self") & Q(leave__isnull=True)),
                name="self_check_has_leave",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.vehicle}: {self.get_how_display()}"


class RoadRelease(Fact):
    """Out for one road test only: a named driver, a place, a time limit. The hold stays."""

    yard_path = "ticket__vehicle__yard"

    ticket = models.ForeignKey(Ticket, on_delete=models.PROTECT, related_name="releases")
    driver = models.CharField(max_length=120)
    place = models.CharField(max_length=160)
    until = models.DateTimeField()

    class Meta:
        ordering = ["-occurred_at", "-id"]

    def __str__(self) -> str:
        return f"{self.ticket}: {self.driver}"


class RoadTest(Fact):
    """Speed goes up in steps; oscillation is never provoked; stop at the first sign."""

    yard_path = "ticket__vehicle__yard"

    ticket = models.ForeignKey(Ticket, on_delete=models.PROTECT, related_name="road_tests")
    release = models.OneToOneField(RoadRelease, on_delete=models.PROTECT, related_name="test")
    passed = models.BooleanField()
    top_speed_typed = models.CharField(max_length=30, blank=True)
    top_speed_m_s = models.FloatField(null=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["-occurred_at", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(passed=True) | ~Q(note=""), name="failed_road_test_says_what"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.ticket}: {self.passed}"
