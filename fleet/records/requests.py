"""Requests already answered, so that a repeat is answered again and not done again."""

from django.db import models

from fleet.records.base import Record


class StoredRequest(Record):
    """A client's key, the hash of its body, and the ids that came of it.

    Written inside the operation's own transaction, so a cut request leaves either both or
    neither.
    """

    person = models.ForeignKey("records.Person", on_delete=models.PROTECT)
    key = models.CharField(max_length=128)
    verb = models.CharField(max_length=40)
    body_hash = models.CharField(max_length=64)
    result = models.JSONField(default=dict)
    stored_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["person", "key"], name="request_once"),
        ]
        indexes = [models.Index(fields=["stored_at"])]

    def __str__(self) -> str:
        return f"{self.verb} {self.key}"
