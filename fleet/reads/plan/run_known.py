"""What a proposal names by its ids, read at once, and each of its lists in words."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.translation import gettext_lazy as _

from fleet.reads.plan.visits import PLANNED, Names, Task, crew_of, task_of, visits
from fleet.reads.plan.why import in_words, limits_in_words
from fleet.records.models import Person, PlanRun, Recheck, Ticket, Vehicle, Visit

STALE: dict[str, Any] = {
    "paid": _("its work was done meanwhile"),
    "held": _("it was held meanwhile: look at what holds it first"),
    "moved": _("somebody changed it meanwhile: it stays as they left it"),
    "gone": _("the vehicle is no longer in service at this yard"),
    "day": _("the day was shut meanwhile"),
    "people": _("its people were named at another yard meanwhile"),
}


@dataclass(frozen=True)
class Proposed:
    """One visit of the proposal, and the day from which it moves; None where it is new."""

    yard_id: int
    vehicle: Vehicle
    day: date
    bay: int
    names: str
    tasks: Sequence[Task]
    was: Visit | None
    # Same day, same bay, same people.
    same: bool

    @property
    def moves(self) -> bool:
        return self.was is not None and self.was.day != self.day


@dataclass(frozen=True)
class NotPlaced:
    yard_id: int
    vehicle: Vehicle
    tasks: Sequence[Task]
    reasons: Sequence[str]

    @property
    def holds(self) -> bool:
        return any(task.holds for task in self.tasks)


@dataclass(frozen=True)
class Clashing:
    """Pins and locked days that can't all stand, with the limits they run into."""

    yard_id: int
    day: date
    units: Sequence[str]
    limits: str


@dataclass(frozen=True)
class Left:
    yard_id: int
    unit: str
    day: date
    why: str


def _days(said: dict[str, Any], yard_id: int) -> dict[tuple[int, int], set[date]]:
    found: dict[tuple[int, int], set[date]] = defaultdict(set)
    for one in said.get("visits", []):
        found[one.get("yard", yard_id), one["vehicle"]].add(date.fromisoformat(one["day"]))
    return found


@dataclass(frozen=True)
class Known:
    """Everything that a proposal names by its id."""

    vehicles: dict[int, Vehicle]
    people: dict[int, str]
    rechecks: dict[int, Recheck]
    tickets: dict[int, Ticket]
    standing: list[Visit]
    # By yard and vehicle: the days that are proposed for it.
    days: dict[tuple[int, int], set[date]]
    names: Names
    # The yard of what does not say one: a run of before was of one yard.
    yard_id: int

    @classmethod
    def of(cls, said: dict[str, Any], run: PlanRun, person: Person) -> "Known":
        keys = [one["work"] for one in said.get("unplaced", [])]
        keys += [key for one in said.get("clashes", []) for key in one["work"]]
        works = [one for visit in said.get("visits", []) for one in visit["works"]]
        rechecks = {one["recheck"] for one in works if one.get("recheck")}
        rechecks |= {int(key[1:]) for key in keys if key[0] == "r"}
        tickets = {one["ticket"] for one in works if one.get("ticket")}
        tickets |= {int(key[1:]) for key in keys if key[0] == "t"}
        owed = Recheck.objects.filter(pk__in=rechecks)
        owed_rows = owed.select_related("vehicle", "joint__kind", "joint__state").in_bulk()
        jobs = Ticket.objects.filter(pk__in=tickets).select_related("vehicle").in_bulk()
        units = {visit["vehicle"] for visit in said.get("visits", [])}
        units |= {one["vehicle"] for one in run.taken.get("stale", [])}
        crew = {who for visit in said.get("visits", []) for who, _minutes in visit["people"]}
        rows = visits(person).filter(state=PLANNED)
        return cls(
            Vehicle.objects.in_bulk(units),
            dict(Person.objects.filter(pk__in=crew).values_list("pk", "name")),
            owed_rows, jobs, list(rows.filter(pk__in=[int(pk) for pk in said.get("read", {})])),
            _days(said, run.yard_id), Names.now(), run.yard_id,
        )  # fmt: skip

    def proposed(self, one: dict[str, Any]) -> Proposed:
        day, vehicle = date.fromisoformat(one["day"]), self.vehicles[one["vehicle"]]
        yard = one.get("yard", self.yard_id)
        was = self._was(yard, vehicle.pk, day)
        people = [who for who, _minutes in one["people"]]
        same = (
            was is not None
            and (was.day, was.bay, was.place) == (day, one["bay"], one["place"])
            and {named.person_id for named in crew_of(was)} == set(people)
        )
        names = ", ".join(self.people.get(who, "") for who in people)
        tasks = [self.task(work) for work in one["works"]]
        tasks.sort(key=lambda task: (not task.holds, task.falls_on or date.max))
        return Proposed(yard, vehicle, day, one["bay"], names, tasks, was, same)

    def _was(self, yard: int, vehicle: int, day: date) -> Visit | None:
        """The standing visit that it continues, as taking it in matches them: that of its day,
        else one whose day is proposed no more."""
        place = (yard, vehicle)
        mine = [visit for visit in self.standing if (visit.yard_id, visit.vehicle_id) == place]
        same = next((visit for visit in mine if visit.day == day), None)
        if same is not None:
            return same
        kept = self.days[place]
        free = [visit for visit in mine if not visit.pinned and visit.day not in kept]
        late = sorted(other for other in kept if other not in {visit.day for visit in mine})
        number = late.index(day)
        return free[number] if number < len(free) else None

    def task(self, work: dict[str, Any]) -> Task:
        if work.get("ticket"):
            return self._ticket(work["ticket"])
        return task_of(self.rechecks[work["recheck"]], self.names)

    def _ticket(self, pk: int) -> Task:
        ticket = self.tickets[pk]
        return Task(str(_("Ticket %(number)s") % {"number": pk}), ticket.title, ticket_id=pk)

    def unplaced(self, rows: list[dict[str, Any]]) -> list[NotPlaced]:
        """By vehicle and reasons: what has the same reasons stands together."""
        found: dict[tuple[int, Vehicle, tuple[str, ...]], list[Task]] = defaultdict(list)
        for row in rows:
            vehicle, task = self.of_key(row["work"])
            reasons = tuple(in_words(reason) for reason in row["reasons"])
            found[row.get("yard", self.yard_id), vehicle, reasons].append(task)
        made = [NotPlaced(yard, vehicle, tasks, reasons)
                for (yard, vehicle, reasons), tasks in found.items()]  # fmt: skip
        return sorted(made, key=lambda one: (not one.holds, one.vehicle.unit_number))

    def of_key(self, key: str) -> tuple[Vehicle, Task]:
        pk = int(key[1:])
        if key[0] == "t":
            return self.tickets[pk].vehicle, self._ticket(pk)
        row = self.rechecks[pk]
        return row.vehicle, task_of(row, self.names)

    def clash(self, one: dict[str, Any]) -> Clashing:
        units = sorted({self.of_key(key)[0].unit_number for key in one["work"]})
        yard, day = one.get("yard", self.yard_id), date.fromisoformat(one["day"])
        return Clashing(yard, day, units, limits_in_words(one["limits"]))

    def left(self, one: dict[str, Any]) -> Left:
        vehicle = self.vehicles.get(one["vehicle"])
        unit = vehicle.unit_number if vehicle else ""
        why = str(STALE.get(one["why"], one["why"]))
        return Left(one.get("yard", self.yard_id), unit, date.fromisoformat(one["day"]), why)
