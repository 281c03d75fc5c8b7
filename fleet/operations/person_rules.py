"""What a person must be to be put on file, who may change whom, and that a manager remains."""

from dataclasses import dataclass

from django.contrib.auth.hashers import UNUSABLE_PASSWORD_PREFIX
from django.utils.translation import gettext as _

from fleet.operations.actor import Actor
from fleet.operations.errors import Problem
from fleet.operations.words import too_long
from fleet.records.models import Person, Role, Yard

SIGNS = frozenset("._-@")


@dataclass(frozen=True)
class PersonFacts:
    """What may be changed of a person; the sign-in name stays."""

    name: str
    role: str
    yard_ids: tuple[int, ...] = ()
    all_yards: bool = False
    trained: bool = False
    phone: str = ""

    @property
    def yards(self) -> tuple[int, ...]:
        """The yards posted to by name; none where it is all of them."""
        return () if self.all_yards else self.yard_ids


def facts_of(person: Person) -> PersonFacts:
    """As it stands on file."""
    yards = tuple(person.postings.order_by("pk").values_list("yard_id", flat=True))
    return PersonFacts(
        person.name, person.role, yards, person.all_yards, person.trained, person.phone
    )


def username_taken() -> Problem:
    return Problem("username_taken", _("This sign-in name is taken."), field="username")


def username_problems(username: str) -> list[Problem]:
    """It is typed on every tablet: no spaces, and no two alike in any case of letters."""
    if not username:
        return [Problem("username_missing", _("Give a sign-in name."), field="username")]
    if not all(sign.isalnum() or sign in SIGNS for sign in username):
        message = _("Letters, figures, dots and dashes only, like dov or a.ruiz2.")
        return [Problem("username_wrong", message, field="username")]
    if Person.objects.filter(username=username).exists():
        return [username_taken()]
    return too_long(Person, {"username": username})


def fact_problems(facts: PersonFacts) -> list[Problem]:
    found = too_long(Person, {"name": facts.name, "phone": facts.phone})
    if not facts.name.strip():
        found.append(Problem("name_missing", _("Give the name."), field="name"))
    if facts.role not in Role.values or facts.role == Role.SERVER:
        found.append(Problem("role_unknown", _("Choose a role from the list."), field="role"))
    if not facts.all_yards and not facts.yard_ids:
        message = _("Choose the yards, or all yards.")
        found.append(Problem("yards_missing", message, field="yards"))
    return found


def yard_problems(actor: Actor, facts: PersonFacts) -> list[Problem]:
    """Nobody hands out more than they have themselves."""
    mine = set(Yard.visible_to(actor.person).values_list("pk", flat=True))
    if set(facts.yards) <= mine and (actor.person.all_yards or not facts.all_yards):
        return []
    return [Problem("yard_wrong", _("Choose among your own yards."), field="yards")]


def reach_problems(actor: Actor, person: Person) -> list[Problem]:
    """A manager of some yards changes nobody who also works elsewhere."""
    if actor.person.all_yards:
        return []
    mine = Yard.visible_to(actor.person)
    if not person.all_yards and not person.postings.exclude(yard__in=mine).exists():
        return []
    message = _("%(name)s works in other yards too: a manager of all yards changes this.")
    return [Problem("beyond_your_yards", message % {"name": person.name})]


def last_manager_problems(person: Person) -> list[Problem]:
    """Somebody who may sign in must remain to manage: this person, or another like them."""
    if person.role != Role.MANAGER or not person.is_active:
        return []
    others = Person.objects.filter(role=Role.MANAGER, is_active=True).exclude(pk=person.pk)
    others = others.exclude(password__startswith=UNUSABLE_PASSWORD_PREFIX)
    if person.all_yards:
        others = others.filter(all_yards=True)
    if others.exists():
        return []
    message = _(
        "%(name)s is the last manager who can sign in. Make another manager of all yards first, "
        "who has chosen a password."
    )
    return [Problem("last_manager", message % {"name": person.name}, field="role")]
