"""File requests: somebody asks for one vehicle's file, and what they were given."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from fleet.records.base import Fact
from fleet.records.vehicles import Vehicle


class FileRequest(Fact):
    """Asked by whoever entered it, or by `asker` where a manager wrote it down for them.

    Its days: both empty is the whole file; only `until` is the file as it stood on that day.
    """

    yard_path = "vehicle__yard"

    vehicle = models.ForeignKey(Vehicle, on_delete=models.PROTECT, related_name="file_requests")
    asker = models.CharField(_("who asks, if not who enters it"), max_length=120, blank=True)
    why = models.CharField(_("what for"), max_length=300)
    since = models.DateField(_("from"), null=True)
    until = models.DateField(_("to"), null=True)
    wanted_by = models.DateField(_("wanted by"))

    class Meta:
        ordering = ["-occurred_at", "-id"]
        indexes = [models.Index(fields=["vehicle", "-occurred_at"])]
        constraints = [
            models.CheckConstraint(
                condition=Q(since=None) | Q(until=None) | Q(until__gte=F("since")),
                name="file_request_days_in_order",
            ),
            models.CheckConstraint(condition=~Q(why=""), name="file_request_says_why"),
        ]

    def __str__(self) -> str:
        return f"{self.vehicle}: {self.who}"

    @property
    def who(self) -> str:
        """The person that wants the file."""
        return self.asker or self.by.name

    @property
    def end(self) -> "FileAnswer | None":
        """How it ended; None while it is open. A list selects it with the request."""
        return getattr(self, "answer", None)


class FileAnswer(Fact):
    """How a request ended: answered with something, or withdrawn. There is one to a request."""

    yard_path = "request__vehicle__yard"

    class Kind(models.TextChoices):
        ANSWERED = "answered", _("answered")
        WITHDRAWN = "withdrawn", _("withdrawn")

    request = models.OneToOneField(FileRequest, on_delete=models.PROTECT, related_name="answer")
    kind = models.CharField(max_length=10, choices=Kind.choices)
    text = models.TextField(_("with what, or why"))

    class Meta:
        ordering = ["-occurred_at", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=["answered", "withdrawn"]), name="file_answer_kind_is_known"
            ),
            models.CheckConstraint(condition=~Q(text=""), name="file_answer_says_what"),
        ]

    def __str__(self) -> str:
        return f"{self.request}: {self.get_kind_display()}"
