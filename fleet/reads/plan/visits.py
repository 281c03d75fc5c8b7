"""Visits as the day sheet shows them: what each does, by whom, when it begins, what is amiss."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import Exists, OuterRef, Prefetch, QuerySet
from django.utils import timezone
from django.utils.functional import cached_property
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from fleet.reads.due import ladder_name
from fleet.reads.joint_mark import mark_now
from fleet.reads.plan.hours import Day
from fleet.reads.rules import RuleNow, rules
from fleet.records.holds import keeping_in
from fleet.records.models import (
    Hold,
    Person,
    Recheck,
    Vehicle,
    Visit,
    VisitPerson,
    VisitWork,
)

PLANNED = Visit.State.PLANNED


def visits(person: Person) -> QuerySet[Visit]:
    """Every visit in scope with its vehicle, people and what it still does."""
    return with_all_told(Visit.visible_to(person))


def with_all_told(rows: QuerySet[Visit]) -> QuerySet[Visit]:
    """What a line of the day sheet shows: two queries beside the visits' own."""
    works = VisitWork.objects.filter(live=True).select_related(
        "recheck__joint__kind", "recheck__joint__state", "recheck__vehicle", "ticket"
    )
    held = Hold.objects.filter(keeping_in(timezone.now()), vehicle=OuterRef("vehicle"))
    return (
        rows.select_related("vehicle__yard", "yard")
        .annotate(is_held=Exists(held))
        .prefetch_related(
            Prefetch("works", works, to_attr="to_do"),
            Prefetch("named", _by_minutes(), to_attr="crew"),
        )
    )


def _by_minutes() -> QuerySet[VisitPerson]:
    """Whoever does most of it first."""
    return VisitPerson.objects.select_related("person").order_by("-minutes", "person__name")


def warrants_hold(recheck: Recheck) -> bool:
    """Whether what is looked at may hold the vehicle: such work comes before all other."""
    joint = recheck.joint
    return recheck.hold_at_twice or bool(joint and joint.kind.holds)


def crew_of(visit: Visit) -> list[VisitPerson]:
    """Those named for a visit that was read by `with_all_told`."""
    return list(getattr(visit, "crew", ()))


@dataclass(frozen=True)
class Task:
    """One thing that a visit does, in words."""

    name: str
    joint: str = ""
    mark: str = ""
    holds: bool = False
    falls_on: date | None = None
    late: bool = False
    ticket_id: int | None = None


@dataclass(frozen=True)
class VisitLine:
    """One line of the day sheet. `starts` is None where the yard is shut that day."""

    visit: Visit
    tasks: Sequence[Task]
    starts: datetime | None = None
    ends: datetime | None = None
    over: bool = False

    @property
    def names(self) -> str:
        return ", ".join(named.person.name for named in self.crew)

    @property
    def crew(self) -> list[VisitPerson]:
        return crew_of(self.visit)

    @property
    def holds(self) -> bool:
        return any(task.holds for task in self.tasks)

    @property
    def late(self) -> list[Task]:
        """What is planned for after the day on which it falls due."""
        return [task for task in self.tasks if task.late]

    @cached_property
    def amiss(self) -> list[str]:
        """What has changed under the plan, in words."""
        visit, found = self.visit, []
        if visit.vehicle.yard_id != visit.yard_id:
            found.append(_("now lives at %(yard)s") % {"yard": visit.vehicle.yard.name})
        if visit.vehicle.status == Vehicle.Status.OUT:
            found.append(_("has left the fleet"))
        if visit.vehicle.status == Vehicle.Status.LAID_UP:
            found.append(_("laid up"))
        if not self.crew:
            found.append(_("nobody is named for it"))
        if self.over:
            found.append(_("ends after the yard closes"))
        return found

    @property
    def held(self) -> bool:
        return bool(getattr(self.visit, "is_held", False))

    @property
    def can_undo(self) -> bool:
        return bool(self.visit.moved_from)


@dataclass(frozen=True)
class Names:
    """The rules by which work is named; two queries."""

    ladders: dict[str, RuleNow]
    routine: dict[str, RuleNow]

    @classmethod
    def now(cls) -> "Names":
        return cls(rules("ladder"), rules("routine"))

    def of(self, recheck: Recheck) -> str:
        return ladder_name(recheck, self.ladders, self.routine)


def task_of(recheck: Recheck, names: Names, on: date | None = None) -> Task:
    joint = recheck.joint
    return Task(
        name=names.of(recheck),
        joint=joint.name if joint else "",
        mark=mark_now(joint) if joint else "",
        holds=warrants_hold(recheck),
        falls_on=recheck.falls_on,
        late=on is not None and recheck.falls_on < on,
    )


def tasks_of(visit: Visit, names: Names) -> list[Task]:
    """What it does, what may hold the vehicle first."""
    works: list[Any] = getattr(visit, "to_do", [])
    found = [task_of(one.recheck, names, visit.day) for one in works if one.recheck]
    found += [
        Task(capfirst(_("ticket %(number)s") % {"number": one.ticket.pk}), one.ticket.title,
             ticket_id=one.ticket.pk)
        for one in works if one.ticket
    ]  # fmt: skip
    return sorted(found, key=lambda task: (not task.holds, task.falls_on or date.max))


def lines_of_day(day: Day, rows: Iterable[Visit], names: Names) -> dict[int, list[VisitLine]]:
    """The lines of a day by bay, each after the one before it, and not before it may begin."""
    by_bay: dict[int, list[VisitLine]] = defaultdict(list)
    for visit in sorted(rows, key=lambda row: (row.bay, row.place, row.pk)):
        before = by_bay[visit.bay]
        free = day.opens + timedelta(minutes=visit.begins) if day.opens else None
        last = before[-1].ends if before else None
        starts = max(free, last) if free and last else free
        ends = starts + timedelta(minutes=visit.minutes) if starts else None
        over = ends is not None and day.closes is not None and ends > day.closes
        by_bay[visit.bay].append(VisitLine(visit, tasks_of(visit, names), starts, ends, over))
    return dict(by_bay)
