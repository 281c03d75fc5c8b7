"""What a plan is made against: a yard's hours, closed days, people's days and skills, days away."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from fleet.records.base import Record
from fleet.records.people import Person
from fleet.records.vehicles import Vehicle
from fleet.records.yards import Yard

DAYS_A_WEEK = 7


class Skill(models.TextChoices):
    """What a role does not already say: who inspects and who may check stands with the person."""

    WHEEL = "wheel", _("holds the wheel as second person")
    RACK = "rack", _("sets alignment on a rack")


class YardPlan(Record):
    """When a yard works, and how far away it is from the crew that comes to it.

    Its version is the one lock of the yard's plan: whoever changes the plan moves it first.
    """

    yard_path = "yard"

    yard = models.OneToOneField(Yard, on_delete=models.PROTECT, related_name="plan")
    # From Monday on: ["07:30", "16:00"] on the wall clock of the yard, or null where it is shut.
    hours = models.JSONField(_("hours"), default=list)
    # A far yard without enough people of its own is visited by a crew of another yard.
    crew_from = models.ForeignKey(
        Yard, null=True, on_delete=models.PROTECT, related_name="crew_goes_to",
        verbose_name=_("crew comes from"),
    )  # fmt: skip
    travel_minutes = models.PositiveSmallIntegerField(_("travel, one way, minutes"), default=0)
    version = models.PositiveIntegerField(default=0)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(crew_from__isnull=True) | ~Q(crew_from=F("yard")),
                name="crew_comes_from_elsewhere",
            ),
        ]

    def __str__(self) -> str:
        return str(self.yard)


class ClosedDay(Record):
    """A holiday, or another day on which a yard is shut."""

    yard_path = "yard"

    yard = models.ForeignKey(Yard, on_delete=models.PROTECT, related_name="closed_days")
    day = models.DateField(_("day"))
    why = models.CharField(_("why"), max_length=80)

    class Meta:
        ordering = ["day", "yard"]
        constraints = [
            models.UniqueConstraint(fields=["yard", "day"], name="closed_day_once"),
        ]

    def __str__(self) -> str:
        return f"{self.yard}: {self.day}"


class PersonPlan(Record):
    """A person's minutes of front-end work by weekday, and what they can do beside their role."""

    person = models.OneToOneField(Person, on_delete=models.PROTECT, related_name="plan")
    # From Monday on, in minutes; 0 where they are not there for it.
    minutes = models.JSONField(_("minutes a day"), default=list)
    skills = models.JSONField(_("also"), default=list)
    version = models.PositiveIntegerField(default=0)

    def __str__(self) -> str:
        return str(self.person)

    @classmethod
    def visible_to(cls, person: Person) -> "models.QuerySet[PersonPlan]":
        """Those of colleagues."""
        rows = cls._default_manager.all()
        return rows if person.all_yards else rows.filter(person__in=Person.visible_to(person))


class DayOff(Record):
    """Days on which a person is not there."""

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="days_off")
    first = models.DateField(_("first day"))
    last = models.DateField(_("last day"))

    class Meta:
        ordering = ["first", "id"]
        constraints = [
            models.CheckConstraint(condition=Q(last__gte=F("first")), name="day_off_in_order"),
        ]

    def __str__(self) -> str:
        return f"{self.person}: {self.first} - {self.last}"

    @classmethod
    def visible_to(cls, person: Person) -> "models.QuerySet[DayOff]":
        rows = cls._default_manager.all()
        return rows if person.all_yards else rows.filter(person__in=Person.visible_to(person))


class AwayDay(Record):
    """Days on which a vehicle is not to be had: at a fire, on a long haul, lent out."""

    yard_path = "vehicle__yard"

    vehicle = models.ForeignKey(Vehicle, on_delete=models.PROTECT, related_name="away_days")
    first = models.DateField(_("first day"))
    last = models.DateField(_("last day"))
    why = models.CharField(_("why"), max_length=80, blank=True)

    class Meta:
        ordering = ["first", "id"]
        constraints = [
            models.CheckConstraint(condition=Q(last__gte=F("first")), name="away_in_order"),
        ]

    def __str__(self) -> str:
        return f"{self.vehicle}: {self.first} - {self.last}"
