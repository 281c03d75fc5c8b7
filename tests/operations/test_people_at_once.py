"""Two managers at once: a manager who can sign in remains, and one name is given once."""

from typing import Any

import pytest

from fleet.operations import people as verbs
from fleet.operations import yards
from fleet.operations.actor import Actor
from fleet.operations.people import NewPerson
from fleet.records.models import Person, Yard
from tests import people
from tests.build import NOW
from tests.operations.test_at_once import race_past, split

pytestmark = [pytest.mark.postgresql, pytest.mark.django_db(transaction=True)]


def test_two_managers_who_let_each_other_go_leave_one(db: None) -> None:
    one = Actor(people.manager())
    other = Actor(people.person("Other", "manager", all_yards=True))

    def lets_go(by: Actor, whom: Actor) -> Any:
        return lambda: verbs.let_person_go(by, whom.person.pk, "a quarrel", at=NOW)

    outcomes = race_past(
        lambda: list(Person.objects.select_for_update()), lets_go(one, other), lets_go(other, one)
    )
    won, told = split(outcomes)
    assert (len(won), len(told)) == (1, 1)
    assert told[0].problems[0].code == "last_manager"
    assert Person.objects.filter(is_active=True).count() == 1


def test_one_sign_in_name_is_given_once(db: None) -> None:
    boss = Actor(people.manager())

    def takes_on(name: str) -> Any:
        new = NewPerson("hand", name, "driver", all_yards=True)
        return lambda: verbs.add_person(boss, new, at=NOW)

    outcomes = race_past(
        lambda: Person.objects.create(username="hand", name="Nobody", role="driver"),
        takes_on("One hand"), takes_on("Other hand"), undone=True,
    )  # fmt: skip
    won, told = split(outcomes)
    assert (len(won), [one.problems[0].code for one in told]) == (1, ["username_taken"])


def test_one_yard_is_put_on_file_once(db: None) -> None:
    boss = Actor(people.manager())
    new = yards.NewYard("Alder", "America/Denver", "555-0100")
    outcomes = race_past(
        lambda: Yard.objects.create(name="Alder", slug="alder"),
        lambda: yards.add_yard(boss, new, at=NOW), lambda: yards.add_yard(boss, new, at=NOW),
        undone=True,
    )  # fmt: skip
    won, told = split(outcomes)
    assert (len(won), [one.problems[0].code for one in told]) == (1, ["name_taken"])
