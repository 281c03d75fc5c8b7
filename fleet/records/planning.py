"""The plan: visits of vehicles to a bay on a day, locked days, and runs of the planner."""

from django.db import models
from django.db.models import Exists, OuterRef, Q
from django.utils.translation import gettext_lazy as _

from fleet.records.base import Record, new_uid
from fleet.records.people import Person
from fleet.records.rechecks import Recheck
from fleet.records.roles import Role
from fleet.records.scoping import yards_of
from fleet.records.tickets import Ticket
from fleet.records.vehicles import Vehicle
from fleet.records.yards import Yard


class Visit(Record):
    """One vehicle in one bay on one local day of the yard, with the people who do its work.

    `sequence` goes up with each change that a diary must hear of; `uid` stays.
    """

    yard_path = "yard"

    class State(models.TextChoices):
        PLANNED = "planned", _("planned")
        DONE = "done", _("done")
        CANCELLED = "cancelled", _("taken out")

    uid = models.UUIDField(unique=True, default=new_uid)
    vehicle = models.ForeignKey(Vehicle, on_delete=models.PROTECT, related_name="visits")
    yard = models.ForeignKey(Yard, on_delete=models.PROTECT, related_name="visits")
    day = models.DateField(_("day"))
    bay = models.PositiveSmallIntegerField(_("bay"))
    # Its place in the bay's day: the first comes in when the yard opens.
    place = models.PositiveSmallIntegerField(_("order in the bay"), default=1)
    # Minutes after the yard opens before which it does not begin: its people come from another
    # yard, or are at another bay until then.
    begins = models.PositiveSmallIntegerField(default=0)
    minutes = models.PositiveSmallIntegerField(_("minutes"))
    people = models.ManyToManyField(Person, through="VisitPerson", related_name="visits")
    state = models.CharField(max_length=9, choices=State.choices, default=State.PLANNED)
    pinned = models.BooleanField(_("pinned"), default=False)
    # Where it was before the last move by hand, while that can be undone.
    moved_from = models.JSONField(null=True)
    sequence = models.PositiveIntegerField(default=0)
    changed_at = models.DateTimeField()
    version = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["day", "bay", "place", "id"]
        indexes = [
            models.Index(fields=["yard", "state", "day"]),
            models.Index(fields=["vehicle", "state"]),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(state__in=["planned", "done", "cancelled"]),
                name="visit_state_is_known",
            ),
            models.CheckConstraint(condition=Q(bay__gte=1), name="visit_bay_is_one"),
            models.CheckConstraint(condition=Q(minutes__gte=1), name="visit_takes_time"),
            # One vehicle stands in one place: its work of a day is one visit.
            models.UniqueConstraint(
                fields=["vehicle", "day"], condition=Q(state="planned"), name="visit_once_a_day"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.vehicle}, {self.day}"

    @classmethod
    def visible_to(cls, person: Person) -> "models.QuerySet[Visit]":
        """Those of one's yards; a technician reads their own days."""
        rows = super().visible_to(person)
        return rows.filter(people=person) if person.role == Role.TECHNICIAN else rows


class VisitPerson(Record):
    """Somebody named for a visit, and the minutes it takes of them: the second of two is there
    only for what takes two."""

    yard_path = "visit__yard"

    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="named")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="named_for")
    minutes = models.PositiveSmallIntegerField(_("minutes"))

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["visit", "person"], name="visit_person_once"),
        ]

    def __str__(self) -> str:
        return f"{self.visit}: {self.person}"


class VisitWork(Record):
    """One thing that a visit does. `live` until it is done, dropped or taken out of the visit."""

    yard_path = "visit__yard"

    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="works")
    recheck = models.ForeignKey(
        Recheck, null=True, on_delete=models.PROTECT, related_name="planned"
    )
    ticket = models.ForeignKey(Ticket, null=True, on_delete=models.PROTECT, related_name="planned")
    minutes = models.PositiveSmallIntegerField(_("minutes"))
    # At the same time: 1, or 2.
    hands = models.PositiveSmallIntegerField(_("people"), default=1)
    live = models.BooleanField(default=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(recheck__isnull=True, ticket__isnull=False)
                | Q(recheck__isnull=False, ticket__isnull=True),
                name="visit_work_is_one_thing",
            ),
            # Planned once: two schedulers, or a run and a hand, can't both place it.
            models.UniqueConstraint(
                fields=["recheck"], condition=Q(live=True), name="recheck_planned_once"
            ),
            models.UniqueConstraint(
                fields=["ticket"], condition=Q(live=True), name="ticket_planned_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.visit}: {self.recheck or self.ticket}"


class LockedDay(Record):
    """A day of a yard's plan that no run changes."""

    yard_path = "yard"

    yard = models.ForeignKey(Yard, on_delete=models.PROTECT, related_name="locked_days")
    day = models.DateField(_("day"))
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["day"]
        constraints = [
            models.UniqueConstraint(fields=["yard", "day"], name="locked_day_once"),
        ]

    def __str__(self) -> str:
        return f"{self.yard}: {self.day}"


class PlanRun(Record):
    """One time the planner is asked, for one yard or for several that share people.

    What it proposes changes nothing until it is taken in.
    """

    yard_path = "yard"

    class State(models.TextChoices):
        WAITING = "waiting", _("waits its turn")
        RUNNING = "running", _("at work")
        PROPOSED = "proposed", _("proposed")
        TAKEN = "taken", _("put in place")
        LEFT = "left", _("left")
        FAILED = "failed", _("failed")

    uid = models.UUIDField(unique=True, default=new_uid)
    # The yard it was asked from; it is one of `yards`.
    yard = models.ForeignKey(Yard, on_delete=models.PROTECT, related_name="plan_runs")
    yards = models.ManyToManyField(Yard, through="PlanRunYard", related_name="planned_by")
    first = models.DateField(_("first day"))
    last = models.DateField(_("last day"))
    asked_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    asked_at = models.DateTimeField()
    state = models.CharField(max_length=8, choices=State.choices, default=State.WAITING)
    stop_wanted = models.BooleanField(default=False)
    # Weighted lateness and unplaced work: the best found, and what no plan can go below.
    best = models.FloatField(null=True)
    bound = models.FloatField(null=True)
    seconds = models.FloatField(null=True)
    leased_until = models.DateTimeField(null=True)
    tries = models.PositiveSmallIntegerField(default=0)
    # The visits proposed, what could not be placed and why, and what was read to make it.
    proposal = models.JSONField(default=dict)
    # What came of taking it in: how many visits, and what fell away meanwhile.
    taken = models.JSONField(default=dict)
    ended_at = models.DateTimeField(null=True)
    version = models.PositiveIntegerField(default=0)

    ASKED = (State.WAITING, State.RUNNING)

    class Meta:
        ordering = ["-id"]
        indexes = [models.Index(fields=["state", "leased_until", "id"])]
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    state__in=["waiting", "running", "proposed", "taken", "left", "failed"]
                ),
                name="plan_run_state_is_known",
            ),
            models.CheckConstraint(
                condition=Q(last__gte=models.F("first")), name="plan_run_in_order"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.yard}: {self.first} - {self.last}"

    @classmethod
    def visible_to(cls, person: Person) -> "models.QuerySet[PlanRun]":
        """Those of whose yards one sees every one: a proposal names vehicles and people of all of
        them, and is put in place or left as a whole."""
        rows = super().visible_to(person)
        if person.all_yards:
            return rows
        other = PlanRunYard.objects.filter(run=OuterRef("pk")).exclude(yard__in=yards_of(person))
        return rows.filter(~Exists(other))


class PlanRunYard(Record):
    """A yard that a run plans, from its own first day on; `at_work` until the run has ended.

    Yards of one run lie in several time zones: one may still begin today, another not.
    """

    yard_path = "yard"

    run = models.ForeignKey(PlanRun, on_delete=models.PROTECT, related_name="over")
    yard = models.ForeignKey(Yard, on_delete=models.PROTECT, related_name="+")
    first = models.DateField(_("first day"))
    at_work = models.BooleanField(default=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["run", "yard"], name="plan_run_yard_once"),
            # One at a time for a yard: a second asking is shown the first.
            models.UniqueConstraint(
                fields=["yard"], condition=Q(at_work=True), name="plan_run_one_at_work"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.yard}: {self.first}"
