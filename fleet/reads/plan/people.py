"""Who can work on a day, for how long, and what they can do."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from django.db.models import Prefetch, Q

from fleet.reads.plan.hours import minutes_of
from fleet.records.models import DayOff, Person, PersonPlan, Role, Skill, Yard, YardPlan

WHEEL = str(Skill.WHEEL)
# Readers, integrators and the server itself lay no hand on a vehicle.
ABLE = (Role.MANAGER, Role.SCHEDULER, Role.TECHNICIAN, Role.DRIVER)


@dataclass(frozen=True)
class Hand:
    """Somebody who may be named for work at a yard.

    `home` is whose first posting it is, and who has all yards; `far` comes from the yard that its
    crew is sent from.
    """

    person: Person
    plan: PersonPlan | None
    off: tuple[tuple[date, date], ...] = ()
    home: bool = True
    far: bool = False
    posted_first: bool = False
    # Days on which they are named at another yard.
    elsewhere: Mapping[date, str] = field(default_factory=dict)

    @property
    def skills(self) -> frozenset[str]:
        return frozenset(self.plan.skills) if self.plan else frozenset()

    @property
    def inspects(self) -> bool:
        return self.person.may("inspect")

    @property
    def helps(self) -> bool:
        """May be the second of two."""
        return self.inspects or WHEEL in self.skills

    def is_off(self, day: date) -> bool:
        return any(first <= day <= last for first, last in self.off)

    def minutes(self, day: date) -> int:
        if self.is_off(day) or day in self.elsewhere:
            return 0
        return minutes_of(self.plan, day)


def hands_of(yard: Yard, plan: YardPlan | None, *, all_may: bool = False) -> list[Hand]:
    """Those of the yard and of the yard that its crew comes from; three queries.

    Who neither inspects nor holds the wheel is left out unless `all_may` asks for everybody who
    could be given that.
    """
    [found] = hands_at([(yard, plan)])
    return [hand for hand in found if all_may or hand.helps]


def hands_at(yards: Sequence[tuple[Yard, YardPlan | None]]) -> list[list[Hand]]:
    """Everybody who could be named at each of these yards; three queries, however many yards."""
    sources = [_sources(yard, plan) for yard, plan in yards]
    here = Q(all_yards=True) | Q(postings__yard__in=set().union(*sources))
    rows = Person.objects.filter(here, is_active=True, role__in=ABLE).distinct()
    rows = rows.select_related("plan")
    rows = rows.prefetch_related("postings", Prefetch("days_off", to_attr="off_days"))
    people = list(rows.order_by("name", "pk"))
    return [
        [_hand(person, yard) for person in people if _may_come(person, sent_from)]
        for (yard, _plan), sent_from in zip(yards, sources, strict=True)
    ]


def _sources(yard: Yard, plan: YardPlan | None) -> set[int]:
    """Whose people may be named at a yard: its own, and those of the yard that sends its crew."""
    sent = plan.crew_from_id if plan else None
    return {yard.pk, sent} if sent else {yard.pk}


def _may_come(person: Person, sources: set[int]) -> bool:
    return person.all_yards or any(row.yard_id in sources for row in person.postings.all())


def _hand(person: Person, yard: Yard) -> Hand:
    days: Iterable[DayOff] = getattr(person, "off_days", ())
    own = [posting.yard_id for posting in person.postings.all()]
    first = own[:1] == [yard.pk]
    far = not person.all_yards and yard.pk not in own
    off = tuple((row.first, row.last) for row in days)
    plan = getattr(person, "plan", None)
    return Hand(person, plan, off, person.all_yards or first, far, first)
