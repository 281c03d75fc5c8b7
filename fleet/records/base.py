"""What every record shares: scope, identity, and for facts the moments they carry."""

from collections.abc import Callable
from typing import Any, Self

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import get_language, override
from django.utils.translation import gettext_lazy as _
from uuid6 import uuid7

from fleet.records.scoping import yards_of


def new_uid() -> Any:
    """A time-ordered identity that a client may also make for itself (RFC 9562, UUIDv7)."""
    return uuid7()


class Record(models.Model):
    """Anything stored. `yard_path` says how its yard is reached; None means fleet-wide."""

    yard_path: str | None = None

    class Meta:
        abstract = True

    @classmethod
    def visible_to(cls, person: Any) -> models.QuerySet[Self]:
        """Every list and look-up at a door starts here."""
        rows: models.QuerySet[Self] = cls._default_manager.all()
        if cls.yard_path is None or person.all_yards:
            return rows
        return rows.filter(**{f"{cls.yard_path}__in": yards_of(person)})


class Fact(Record):
    """A row that never changes: the database refuses UPDATE and DELETE (guards.py).

    A correction is a new row that names the old one. `occurred_at` is when it happened in the
    yard, `received_at` when the server heard of it; the two differ for a tablet with no network.
    """

    uid = models.UUIDField(unique=True, default=new_uid, editable=False)
    occurred_at = models.DateTimeField(_("when it happened"))
    received_at = models.DateTimeField(_("when the server heard"), default=timezone.now)
    tablet = models.ForeignKey("records.Tablet", null=True, on_delete=models.PROTECT)
    by = models.ForeignKey("records.Person", on_delete=models.PROTECT)

    class Meta:
        abstract = True


class Named(Record):
    """Reference data that a fleet may add to: a code, and a name in each language."""

    code = models.SlugField(max_length=60, unique=True)
    names = models.JSONField(default=dict)

    class Meta:
        abstract = True

    def __str__(self) -> str:
        return self.name

    @property
    def name(self) -> str:
        """The name in the reader's language, else English, else the code."""
        return in_language(self.names) or self.code


def in_language(names: dict[str, str]) -> str:
    """Pick the reader's language out of a names object of the reference data."""
    language = (get_language() or "en").split("-")[0]
    return names.get(language) or names.get("en", "")


def in_every_language(say: Callable[[], str]) -> dict[str, str]:
    """What the program says of a fact, in each language: the one who reads it is not the writer."""
    said = {}
    for language, _name in settings.LANGUAGES:
        with override(language):
            said[language] = say()
    return said
