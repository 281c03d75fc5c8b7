"""People: taken on with a role and yards, changed, let go and taken back; never deleted.

A first password is never made by somebody else: a one-time link lets the person choose it
(sign_in.py). What the trail keeps of a person is role and yards; names stay with people.
"""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.apps import apps
from django.contrib.auth.hashers import make_password
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from fleet.operations import person_rules as rules
from fleet.operations.actor import Actor
from fleet.operations.errors import Problem, Refused, refuse
from fleet.operations.once import Request
from fleet.operations.person_rules import PersonFacts
from fleet.operations.unique import or_taken
from fleet.operations.work import Done, Work, not_there, run, same_version
from fleet.reads.rules import settings_now
from fleet.records.models import Person, Posting, Role, Yard


@dataclass(frozen=True)
class NewPerson:
    """Somebody to take on. Without a password the person chooses one by a one-time link."""

    username: str
    name: str
    role: str
    password: str = ""
    yard_ids: tuple[int, ...] = ()
    all_yards: bool = False
    trained: bool = False
    phone: str = ""

    @property
    def facts(self) -> PersonFacts:
        return PersonFacts(
            self.name, self.role, self.yard_ids, self.all_yards, self.trained, self.phone
        )


def add_person(
    actor: Actor, new: NewPerson, *, at: datetime, request: Request | None = None
) -> Done[Person]:
    """Give somebody a sign-in name, a role and their yards."""
    actor.need("edit_people")
    return run("add_person", actor, at, lambda work: _apply(work, new), request)


def add_first_manager(actor: Actor, new: NewPerson, *, at: datetime) -> Done[Person]:
    """The one person that no manager adds: only where no manager can sign in, and by a command."""
    actor.need("edit_people")

    def apply(work: Work) -> Person:
        # Two commands at once queue here.
        Person.objects.select_for_update().get(pk=actor.person.pk)
        there = Person.objects.filter(role=Role.MANAGER, is_active=True).order_by("pk").first()
        if there is not None:
            message = _("There is a manager already, %(name)s: managers add people under People.")
            raise refuse("manager_there", message % {"name": there.username})
        return _apply(work, new)

    return run("add_first_manager", actor, at, apply)


def _apply(work: Work, new: NewPerson) -> Person:
    username = new.username.strip().lower()
    found = rules.username_problems(username)
    found += rules.fact_problems(new.facts) + rules.yard_problems(work.actor, new.facts)
    found += _password_problems(new)
    if found:
        raise Refused(tuple(found))
    said = settings_now()
    with or_taken(rules.username_taken()):
        person = Person.objects.create(
            username=username, password=make_password(new.password or None),
            language=said.get("language", "en"), units=said.get("units", "us"),
            **_columns(new.facts),
        )  # fmt: skip
    _post(person, new.facts.yards)
    work.trail("add_person", person, after=_told(new.facts))
    return person


def _password_problems(new: NewPerson) -> list[Problem]:
    if not new.password:
        return []
    try:
        validate_password(new.password, Person(username=new.username, name=new.name))
    except ValidationError as error:
        return [Problem("password_weak", " ".join(error.messages), field="password")]
    return []


def change_person(
    actor: Actor, person_id: int, facts: PersonFacts, *, at: datetime,
    expected_version: int | None = None, request: Request | None = None,
) -> Done[Person]:  # fmt: skip
    """Change name, role, yards, training or telephone; a yard left out ends that posting."""
    actor.need("edit_people")

    def apply(work: Work) -> Person:
        person = _for_change(actor, person_id, expected_version)
        found = rules.fact_problems(facts) + rules.yard_problems(actor, facts)
        if not person.is_active:
            message = _("This person has left: take them back first.")
            found.append(Problem("has_left", message))
        stays = facts.role == Role.MANAGER and facts.all_yards >= person.all_yards
        found += [] if stays else rules.last_manager_problems(person)
        if found:
            raise Refused(tuple(found))
        before = _told(rules.facts_of(person))
        for name, value in _columns(facts).items():
            setattr(person, name, value)
        _save(person, *_columns(facts))
        Posting.objects.filter(person=person).exclude(yard__in=facts.yards).delete()
        _post(person, facts.yards)
        work.trail("change_person", person, before=before, after=_told(facts))
        return person

    return run("change_person", actor, at, apply, request)


def let_person_go(
    actor: Actor, person_id: int, reason: str, *, at: datetime,
    expected_version: int | None = None, request: Request | None = None,
) -> Done[Person]:  # fmt: skip
    """End somebody's sign-in. All they ever recorded stays under their name."""
    actor.need("edit_people")

    def apply(work: Work) -> Person:
        person = _for_change(actor, person_id, expected_version)
        if not person.is_active:
            raise refuse("has_left", _("This person has left already."))
        found = rules.last_manager_problems(person)
        if found:
            raise Refused(tuple(found))
        person.is_active = False
        _save(person, "is_active")
        take_tokens(person)
        work.trail("let_person_go", person, reason=reason)
        return person

    return run("let_person_go", actor, at, apply, request)


def take_person_back(
    actor: Actor, person_id: int, *, at: datetime, request: Request | None = None
) -> Done[Person]:
    """Somebody who had left works here again, and chooses a new password."""
    actor.need("edit_people")

    def apply(work: Work) -> Person:
        person = _for_change(actor, person_id, None)
        if person.is_active:
            raise refuse("is_here", _("This person has not left."))
        person.is_active, person.password = True, make_password(None)
        _save(person, "is_active", "password")
        work.trail("take_person_back", person)
        return person

    return run("take_person_back", actor, at, apply, request)


def reset_sign_in(
    actor: Actor, person_id: int, *, at: datetime, request: Request | None = None
) -> Done[Person]:
    """End the password, sessions and tokens of somebody, who then chooses a new password."""
    actor.need("edit_people")

    def apply(work: Work) -> Person:
        person = _for_change(actor, person_id, None)
        if not person.is_active:
            raise refuse("has_left", _("This person has left: take them back first."))
        if person.pk == actor.person.pk:
            message = _("Change your own password under your name.")
            raise refuse("own_password", message)
        person.password = make_password(None)
        _save(person, "password")
        take_tokens(person)
        work.trail("reset_sign_in", person)
        return person

    return run("reset_sign_in", actor, at, apply, request)


def take_tokens(person: Person) -> None:
    """What programs signed in with in their name ends too."""
    apps.get_model("authtoken", "Token").objects.filter(user=person).delete()


def _for_change(actor: Actor, person_id: int, expected_version: int | None) -> Person:
    """The person, locked after the managers, so that two can't take each other's role away."""
    managers = Person.objects.select_for_update().filter(role=Role.MANAGER).order_by("pk")
    list(managers.values_list("pk", flat=True))
    if not Person.visible_to(actor.person).filter(pk=person_id).exists():
        raise not_there(_("person"))
    person = Person.objects.select_for_update().get(pk=person_id)
    same_version(person, expected_version)
    found = rules.reach_problems(actor, person)
    if found:
        raise Refused(tuple(found))
    return person


def _save(person: Person, *columns: str) -> None:
    person.version += 1
    person.save(update_fields=[*columns, "version"])


def _columns(facts: PersonFacts) -> dict[str, Any]:
    return {
        "name": facts.name.strip(), "role": facts.role, "all_yards": facts.all_yards,
        "trained": facts.trained, "phone": facts.phone.strip(),
    }  # fmt: skip


def _post(person: Person, yard_ids: tuple[int, ...]) -> None:
    rows = [Posting(person=person, yard_id=pk) for pk in yard_ids]
    Posting.objects.bulk_create(rows, ignore_conflicts=True)


def _told(facts: PersonFacts) -> dict[str, Any]:
    yards = Yard.objects.filter(pk__in=facts.yards).order_by("slug")
    return {
        "role": facts.role, "trained": facts.trained,
        "yards": "all" if facts.all_yards else ", ".join(yards.values_list("slug", flat=True)),
    }  # fmt: skip
