"""People, where they are posted, and what they were trained in."""

from typing import Any

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from fleet.records.base import Fact, Record
from fleet.records.roles import Role, allowed
from fleet.records.scoping import yards_of
from fleet.records.yards import Yard


class PersonManager(BaseUserManager["Person"]):
    def create_user(self, username: str, password: str | None = None, **extra: Any) -> "Person":
        person = self.model(username=username.lower(), **extra)
        person.set_password(password)
        person.save(using=self._db)
        return person

    def get_by_natural_key(self, username: str | None) -> "Person":
        return self.get(username=(username or "").lower())


class Person(AbstractBaseUser):
    """Somebody who signs in. One role; posted to some yards or to all."""

    username = models.CharField(_("sign-in name"), max_length=60, unique=True)
    name = models.CharField(_("name"), max_length=120)
    email = models.EmailField(_("e-mail"), blank=True)
    phone = models.CharField(_("telephone"), max_length=40, blank=True)
    role = models.CharField(_("role"), max_length=12, choices=Role.choices)
    all_yards = models.BooleanField(_("all yards"), default=False)
    # May witness a second check and decide on a move to the yard.
    trained = models.BooleanField(_("trained to check"), default=False)
    language = models.CharField(max_length=5, default="en")
    units = models.CharField(max_length=6, default="us")
    is_active = models.BooleanField(_("active"), default=True)
    version = models.PositiveIntegerField(default=0)

    objects = PersonManager()

    USERNAME_FIELD = "username"
    REQUIRED_FIELDS = ["name", "role"]

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(condition=Q(role__in=Role.values), name="person_role_is_known"),
        ]

    def __str__(self) -> str:
        return self.name

    def may(self, ability: str) -> bool:
        return allowed(self.role, ability)

    @classmethod
    def visible_to(cls, person: "Person") -> "models.QuerySet[Person]":
        """Colleagues of one's own yards, and those who are posted to all."""
        rows = cls._default_manager.exclude(role=Role.SERVER)
        if person.all_yards:
            return rows
        return rows.filter(
            Q(all_yards=True) | Q(postings__yard__in=yards_of(person)) | Q(pk=person.pk)
        ).distinct()


class Posting(Record):
    yard_path = "yard"

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="postings")
    yard = models.ForeignKey(Yard, on_delete=models.PROTECT, related_name="postings")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["person", "yard"], name="posting_once"),
        ]

    def __str__(self) -> str:
        return f"{self.person} @ {self.yard}"


class Training(Fact):
    """What a checker or an inspector was trained in, kept on file (49 CFR 396.19 asks for it)."""

    yard_path = None

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="trainings")
    subject = models.CharField(max_length=120)
    valid_until = models.DateField(null=True)
    reference = models.CharField(max_length=120, blank=True)

    def __str__(self) -> str:
        return f"{self.person}: {self.subject}"
