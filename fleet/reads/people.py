"""People as a manager sees them, and whether each yard has the people that a second check needs."""

from collections import Counter
from dataclasses import dataclass

from django.db.models import Prefetch, QuerySet

from fleet.records.models import Person, Posting, Role, Yard

# Who may make a second check; of these the trained also witness one and decide on a move.
CHECKERS = (Role.MANAGER, Role.TECHNICIAN)
PAIR = 2


@dataclass(frozen=True)
class Crew:
    """Who may check at one yard, those of all yards among them."""

    yard: Yard
    checkers: int
    trained: int

    @property
    def short(self) -> bool:
        return self.checkers < PAIR or self.trained < PAIR


def people(person: Person) -> QuerySet[Person]:
    """Everybody in scope, those who have left too, with the yards that the reader sees."""
    seen = Posting.visible_to(person).select_related("yard").order_by("yard__name")
    rows = Person.visible_to(person).prefetch_related(Prefetch("postings", seen))
    return rows.order_by("name", "pk")


def colleagues(person: Person) -> QuerySet[Person]:
    """Those in scope who work here now, by name."""
    return Person.visible_to(person).filter(is_active=True).order_by("name", "pk")


def nobody_may_sign_in() -> bool:
    """A new installation, before its first manager; one query."""
    return not Person.objects.exclude(role=Role.SERVER).exists()


def crews(yards: list[Yard]) -> list[Crew]:
    """Two queries, however many yards and people."""
    able = Person.objects.filter(is_active=True, role__in=CHECKERS)
    everywhere = list(able.filter(all_yards=True).values_list("trained", flat=True))
    here = Posting.objects.filter(person__in=able.filter(all_yards=False), yard__in=yards)
    pairs = list(here.values_list("yard_id", "person__trained"))
    checkers = Counter(yard_id for yard_id, _trained in pairs)
    trained = Counter(yard_id for yard_id, trained in pairs if trained)
    return [
        Crew(yard, checkers[yard.pk] + len(everywhere), trained[yard.pk] + sum(everywhere))
        for yard in yards
    ]
