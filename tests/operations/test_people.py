"""People: taken on, changed, let go; one-time links; and a manager who can sign in remains."""

from datetime import timedelta

import pytest
from rest_framework.authtoken.models import Token

from fleet.operations import people as verbs
from fleet.operations.actor import Actor
from fleet.operations.errors import Conflict, NotThere
from fleet.operations.fleet_facts import FleetFacts, set_fleet
from fleet.operations.people import NewPerson
from fleet.operations.person_rules import PersonFacts, facts_of
from fleet.operations.sign_in import LASTS, choose_password, person_behind, token_for
from fleet.records.models import Person, Posting, TrailEntry, Yard
from tests import build, people
from tests.build import NOW
from tests.operations.tables import refusal

WORDS = "a quiet gravel road"


@pytest.fixture
def alder(db: None) -> Yard:
    return build.yard("Alder")


@pytest.fixture
def boss(alder: Yard) -> Actor:
    return Actor(people.manager())


def take_on(boss: Actor, username: str = "hand", **said: object) -> Person:
    new = {"name": "A hand", "role": "technician", "all_yards": True, **said}
    return verbs.add_person(boss, NewPerson(username, **new), at=NOW).row  # type: ignore[arg-type]


def test_a_new_person_begins_without_a_password_and_chooses_one_by_a_link(boss: Actor) -> None:
    hand = take_on(boss)
    assert not hand.has_usable_password()
    token = token_for(hand, NOW + LASTS)
    assert person_behind(token, NOW + LASTS - timedelta(seconds=1)) == hand
    choose_password(token, WORDS, at=NOW)
    hand.refresh_from_db()
    assert hand.check_password(WORDS)
    assert TrailEntry.objects.latest("id").verb == "choose_password"


def test_a_link_works_once_and_only_in_its_time(boss: Actor) -> None:
    hand = take_on(boss)
    token = token_for(hand, NOW + LASTS)
    assert person_behind(token, NOW + LASTS) is None
    assert person_behind(token + "x", NOW) is None
    assert person_behind("", NOW) is None
    choose_password(token, WORDS, at=NOW)
    assert refusal(choose_password, token, "another gravel road", at=NOW) == {("link_dead", "")}
    hand.refresh_from_db()
    assert token_for(hand, NOW + LASTS) == ""


def test_a_password_that_is_easily_guessed_leaves_the_link_alive(boss: Actor) -> None:
    token = token_for(take_on(boss), NOW + LASTS)
    assert refusal(choose_password, token, "12345678", at=NOW) == {("password_weak", "password")}
    assert person_behind(token, NOW) is not None


def test_a_reset_ends_password_tokens_and_the_links_before(boss: Actor, alder: Yard) -> None:
    hand = people.technician(alder)
    Token.objects.create(user=hand)
    first = token_for(verbs.reset_sign_in(boss, hand.pk, at=NOW).row, NOW + LASTS)
    second = token_for(verbs.reset_sign_in(boss, hand.pk, at=NOW).row, NOW + LASTS)
    hand.refresh_from_db()
    assert not hand.check_password(people.PASSWORD)
    assert not Token.objects.exists()
    assert person_behind(first, NOW) is None
    assert person_behind(second, NOW) == hand


def test_nobody_resets_their_own_password(boss: Actor) -> None:
    told = refusal(verbs.reset_sign_in, boss, boss.person.pk, at=NOW)
    assert told == {("own_password", "")}


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({"username": "MANAGER"}, ("username_taken", "username")),
        ({"username": "server"}, ("username_taken", "username")),
        ({"username": "a hand"}, ("username_wrong", "username")),
        ({"username": "  "}, ("username_missing", "username")),
        ({"username": "x" * 61}, ("too_long", "username")),
        ({"name": " "}, ("name_missing", "name")),
        ({"role": "server"}, ("role_unknown", "role")),
        ({"role": "owner"}, ("role_unknown", "role")),
        ({"all_yards": False}, ("yards_missing", "yards")),
        ({"password": "12345678"}, ("password_weak", "password")),
    ],
)
def test_what_can_not_be_put_on_file_is_told_beside_its_field(
    boss: Actor, said: dict[str, str], told: tuple[str, str]
) -> None:
    people.person("Server", "server")
    new = {"username": "hand", "name": "A hand", "role": "driver", "all_yards": True, **said}
    assert refusal(verbs.add_person, boss, NewPerson(**new), at=NOW) == {told}  # type: ignore[arg-type]


def test_new_people_begin_with_the_fleets_language_and_units(boss: Actor) -> None:
    set_fleet(boss, FleetFacts("Test Range", "es", "metric", "America/Denver"), at=NOW)
    hand = take_on(boss)
    assert (hand.language, hand.units) == ("es", "metric")


def test_a_change_stands_in_the_trail_by_role_and_yards_without_names(
    boss: Actor, alder: Yard
) -> None:
    hand, mesa = people.technician(alder), build.yard("Mesa Tank")
    facts = PersonFacts("Another name", "scheduler", (mesa.pk,), phone="555-0199")
    verbs.change_person(boss, hand.pk, facts, at=NOW, expected_version=hand.version)
    hand.refresh_from_db()
    assert facts_of(hand) == facts
    assert not Posting.objects.filter(person=hand, yard=alder).exists()
    entry = TrailEntry.objects.latest("id")
    assert entry.before == {"role": "technician", "trained": True, "yards": "alder"}
    assert entry.after == {"role": "scheduler", "trained": False, "yards": "mesa-tank"}


def test_two_who_change_one_person_are_told(boss: Actor, alder: Yard) -> None:
    hand = people.technician(alder)
    facts = PersonFacts("A name", "driver", (alder.pk,))
    verbs.change_person(boss, hand.pk, facts, at=NOW, expected_version=0)
    told = refusal(
        verbs.change_person, boss, hand.pk, facts, at=NOW, expected_version=0, raising=Conflict
    )
    assert told == {("changed", "")}


def test_who_left_signs_in_no_more_and_may_come_back(boss: Actor, alder: Yard) -> None:
    hand = people.technician(alder)
    verbs.let_person_go(boss, hand.pk, "moved away", at=NOW)
    hand.refresh_from_db()
    assert not hand.is_active
    assert refusal(verbs.let_person_go, boss, hand.pk, "again", at=NOW) == {("has_left", "")}
    assert refusal(verbs.reset_sign_in, boss, hand.pk, at=NOW) == {("has_left", "")}
    back = verbs.take_person_back(boss, hand.pk, at=NOW).row
    assert person_behind(token_for(back, NOW + LASTS), NOW) == hand


LAST = {("last_manager", "role")}


def test_the_last_manager_neither_leaves_nor_gives_the_role_up(boss: Actor, alder: Yard) -> None:
    me = boss.person.pk
    as_driver = PersonFacts("Manager", "driver", all_yards=True)
    in_one_yard = PersonFacts("Manager", "manager", (alder.pk,))
    assert refusal(verbs.let_person_go, boss, me, "enough", at=NOW) == LAST
    assert refusal(verbs.change_person, boss, me, as_driver, at=NOW) == LAST
    assert refusal(verbs.change_person, boss, me, in_one_yard, at=NOW) == LAST
    # Another who has chosen no password yet is no help, nor is one of a single yard.
    second = take_on(boss, "second", role="manager")
    people.person("Foreman", "manager", alder)
    assert refusal(verbs.let_person_go, boss, me, "enough", at=NOW) == LAST
    choose_password(token_for(second, NOW + LASTS), WORDS, at=NOW)
    verbs.let_person_go(boss, me, "enough", at=NOW)
    assert not Person.objects.get(pk=me).is_active


def test_a_manager_of_some_yards_hands_out_no_more_than_these(boss: Actor, alder: Yard) -> None:
    foreman = Actor(people.person("Foreman", "manager", alder))
    mesa = build.yard("Mesa Tank")
    both = people.technician(alder, mesa)
    elsewhere = people.stranger(mesa)
    wrong = {("yard_wrong", "yards")}
    for said in ({"yard_ids": (mesa.pk,)}, {"all_yards": True}):
        new = NewPerson("hand", "A hand", "technician", **said)
        assert refusal(verbs.add_person, foreman, new, at=NOW) == wrong
    beyond = {("beyond_your_yards", "")}
    assert refusal(verbs.reset_sign_in, foreman, both.pk, at=NOW) == beyond
    assert refusal(verbs.reset_sign_in, foreman, boss.person.pk, at=NOW) == beyond
    assert refusal(verbs.let_person_go, foreman, elsewhere.pk, "no", at=NOW, raising=NotThere)
