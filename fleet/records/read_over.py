"""A ticket's work read over radio or telephone: out until the record comes, and no longer."""

from django.db import models
from django.db.models import F, Q

from fleet.records.base import Fact
from fleet.records.tickets import Ticket
from fleet.records.vehicles import Vehicle


class ReadOver(Fact):
    """A manager entered the code of two people at a far yard; `tablet` is the one that made it.

    The ticket's holds keep the vehicle in again from `until` on, unless the ticket has been
    closed by then.
    """

    yard_path = "vehicle__yard"

    ticket = models.ForeignKey(Ticket, on_delete=models.PROTECT, related_name="read_overs")
    vehicle = models.ForeignKey(Vehicle, on_delete=models.PROTECT, related_name="read_overs")
    worker = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    checker = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    code = models.CharField(max_length=12)
    reply = models.CharField(max_length=12)
    until = models.DateTimeField()

    class Meta:
        ordering = ["-occurred_at", "-id"]
        constraints = [
            models.UniqueConstraint(fields=["ticket", "code"], name="read_over_once"),
            models.CheckConstraint(
                condition=~Q(worker=F("checker")), name="read_over_by_two_people"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.ticket}: {self.code}"
