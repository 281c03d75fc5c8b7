"""Who can work on a day, for how long, and what they can do."""

from collections.abc import Iterable, Mapping
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

    `home` is whose first posting it is; `far` comes from the yard that its crew is sent from.
    """

    person: Person
    plan: PersonPlan | None
    off: tuple[tuple[date, date], ...] = ()
    home: bool = True
    far: bool = False
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
    sent = plan.crew_from_id if plan else None
    here = Q(all_yards=True) | Q(postings__yard=yard)
    wanted = here | Q(postings__yard=sent) if sent else here
    rows = (
        Person.objects.filter(wanted, is_active=True, role__in=ABLE)
        .distinct()
        .select_related("plan")
    )
    rows = rows.prefetch_related("postings", Prefetch("days_off", to_attr="off_days"))
    found = [_hand(person, yard) for person in rows.order_by("name", "pk")]
    return [hand for hand in found if all_may or hand.helps]


def _hand(person: Person, yard: Yard) -> Hand:
    days: Iterable[DayOff] = getattr(person, "off_days", ())
    own = [posting.yard_id for posting in person.postings.all()]
    home = person.all_yards or own[:1] == [yard.pk]
    far = not person.all_yards and yard.pk not in own
    off = tuple((row.first, row.last) for row in days)
    return Hand(person, getattr(person, "plan", None), off, home, far)
