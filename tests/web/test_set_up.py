"""A new fleet at the pages: the first sign-in, people with their links, steps, an empty yard."""

import re
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from fleet.operations.actor import server_actor
from fleet.operations.reference import load_reference
from fleet.operations.sign_in import LASTS, token_for
from fleet.records.models import Design, Person, Posting, TrailEntry, Yard
from tests import build, people
from tests.operations.conftest import House
from tests.web.conftest import Get, Send

WORDS = "another quiet road"


@pytest.fixture
def reference(db: None) -> None:
    load_reference(server_actor("command"), at=build.NOW)


def person(**said: Any) -> dict[str, Any]:
    return {"name": "A hand", "username": "hand", "role": "technician", "all_yards": "on", **said}


def test_with_nobody_on_file_the_sign_in_page_names_the_command(
    client: Client, reference: None
) -> None:
    assert "manage.py first_manager" in client.get("/accounts/login/").content.decode()
    people.manager()
    assert "manage.py first_manager" not in client.get("/accounts/login/").content.decode()


@pytest.mark.parametrize("path", ["/set-up/", "/people/", "/people/new/", "/set-up/yards/new/"])
def test_a_stranger_makes_no_manager_on_an_empty_site(
    client: Client, reference: None, path: str
) -> None:
    for answer in (client.get(path), client.post(path, person(role="manager"))):
        assert answer["Location"].startswith("/accounts/login/")
    assert not Person.objects.exclude(role="server").exists()


def test_a_new_person_is_handed_a_link_that_is_shown_once(
    send: Send, get: Get, client: Client, manager: Person
) -> None:
    where = send(manager, "/people/new/", **person())["Location"]
    hand = Person.objects.get(username="hand")
    shown = get(manager, where)
    [link] = set(re.findall(r"http://testserver(/welcome/[^<\"]+)", shown.text))
    assert shown["Cache-Control"].startswith("max-age=0")
    assert "/welcome/" not in get(manager, where).text
    client.logout()
    unlike = client.post(link, {"password": WORDS, "again": "something else"})
    assert (unlike.status_code, hand.has_usable_password()) == (400, False)
    assert "The two are not alike" in unlike.content.decode()
    kept = client.post(link, {"password": WORDS, "again": WORDS})
    assert kept["Location"] == "/accounts/login/"
    assert client.login(username="hand", password=WORDS)
    assert client.get(link).status_code == 410


def test_one_form_sent_twice_takes_one_person_on(send: Send, get: Get, manager: Person) -> None:
    first = send(manager, "/people/new/", **person(request_key="one"))["Location"]
    assert send(manager, "/people/new/", **person(request_key="one"))["Location"] == first
    assert "/welcome/" in get(manager, first).text
    assert Person.objects.filter(username="hand").count() == 1


def test_a_sign_in_name_that_is_taken_loses_nothing_typed(send: Send, manager: Person) -> None:
    page = send(manager, "/people/new/", 400, **person(username="Manager", phone="555-0123"))
    assert page.context["form"].errors["username"] == ["This sign-in name is taken."]
    assert 'value="555-0123"' in page.text
    page = send(manager, "/people/new/", 400)
    assert set(page.context["form"].errors) == {"name", "username", "role"}
    page = send(manager, "/people/new/", 400, **person(all_yards=""))
    assert page.context["form"].errors["yard_ids"] == ["Choose the yards, or all yards."]


def test_a_change_that_somebody_else_was_faster_with_is_told(
    send: Send, get: Get, manager: Person, alder: Yard
) -> None:
    hand = people.technician(alder)
    path = f"/people/{hand.pk}/change/"
    typed = {"name": "New name", "role": "driver", "yard_ids": [alder.pk]}
    send(manager, path, **typed, version=0)
    page = send(manager, path, 409, **{**typed, "name": "Other name"}, version=0)
    assert "changed by somebody else" in page.text
    assert 'value="Other name"' in page.text
    hand.refresh_from_db()
    assert (hand.name, hand.role) == ("New name", "driver")


def test_people_are_listed_with_yards_training_and_last_sign_in(
    get: Get, manager: Person, alder: Yard, mesa: Yard
) -> None:
    people.technician(alder, mesa)
    people.person("Waiting", "driver", alder)
    Person.objects.filter(username="waiting").update(password="!none")
    text = get(manager, "/people/").text
    assert "Alder, Mesa Tank" in text
    assert "no password chosen yet" in text
    assert "1 of them trained" in text
    people.person("Gone", "driver", alder, is_active=False)
    assert "Gone" not in get(manager, "/people/").text
    assert "Gone" in get(manager, "/people/?left=1").text


def test_the_last_manager_is_told_who_must_come_first(send: Send, manager: Person) -> None:
    page = send(manager, f"/people/{manager.pk}/leave/", 400, reason="enough")
    assert "is the last manager who can sign in" in page.text


def test_who_leaves_is_signed_out_at_once(
    send: Send, client: Client, manager: Person, alder: Yard
) -> None:
    hand, tablet = people.technician(alder), Client()
    tablet.force_login(hand)
    assert tablet.get("/").status_code == 200
    send(manager, f"/people/{hand.pk}/leave/", reason="moved away")
    assert tablet.get("/").status_code == 302
    assert Posting.objects.filter(person=hand).exists()
    where = send(manager, f"/people/{hand.pk}/take-back/")["Location"]
    assert "/welcome/" in client.get(where).content.decode()


def test_a_manager_of_some_yards_is_not_offered_all_of_them(
    get: Get, send: Send, alder: Yard, mesa: Yard
) -> None:
    foreman = people.person("Foreman", "manager", alder)
    form = get(foreman, "/people/new/").context["form"]
    assert "all_yards" not in form.fields
    assert form.fields["yard_ids"].choices == [(alder.pk, "Alder")]
    send(foreman, "/people/new/", 400, **person(yard_ids=[mesa.pk]))
    elsewhere = people.stranger(mesa)
    get(foreman, f"/people/{elsewhere.pk}/", 404)


def test_a_link_is_for_its_person_as_long_as_it_stands(client: Client, manager: Person) -> None:
    hand = Person.objects.create(username="hand", name="A hand", role="driver", password="!1")
    token = token_for(hand, timezone.now() + LASTS)
    assert "<strong>hand</strong>" in client.get(f"/welcome/{token}/").content.decode()
    Person.objects.filter(pk=hand.pk).update(is_active=False)
    assert client.get(f"/welcome/{token}/").status_code == 410
    assert client.get("/welcome/x/").status_code == 410


def test_an_empty_yard_says_what_comes_next(get: Get, reference: None) -> None:
    boss = people.manager()
    assert "Next: The fleet." in get(boss, "/").text
    yard = build.yard("Alder")
    assert "Nothing is at Alder yet" in get(boss, "/yards/alder/").text
    hand = get(people.technician(yard), "/")
    assert "No vehicle is in service here yet. A manager brings them in." in hand.text
    assert "/set-up/" not in hand.text


def test_a_form_with_nothing_to_choose_from_says_what_comes_first(
    get: Get, reference: None
) -> None:
    boss = people.manager()
    page = get(boss, "/vehicles/new/").text
    assert "No design is on file yet" in page
    assert "/set-up/yards/new/" in page
    looker = people.scheduler()
    page = get(looker, "/set-up/first-looks/").text
    assert "No yard is on file yet" in page
    assert "/set-up/yards/new/" not in page
    build.yard("Alder")
    assert "No yard is on file yet" not in get(boss, "/tools/new/").text


def test_a_yard_with_vehicles_is_as_ever(get: Get, house: House) -> None:
    text = get(house.manager.person, "/").text
    assert "No vehicle is held." in text
    assert "Nothing is here yet" not in text


def test_set_up_says_of_each_step_how_it_stands(get: Get, house: House) -> None:
    text = get(house.manager.person, "/set-up/").text
    assert "4 of 8 steps are done." in text
    assert "No torque figure comes with the program" in text
    assert "2 of " in text
    assert "joints that can hold a vehicle have no figure yet" in text


def test_a_zone_that_is_none_is_told_and_the_rest_is_kept(send: Send, manager: Person) -> None:
    typed = {"name": "Birch", "time_zone": "Denver", "on_call_number": "555-0101", "bays": "2",
             "working_days": ["0", "5"], "units": "us"}  # fmt: skip
    page = send(manager, "/set-up/yards/new/", 400, **typed)
    assert list(page.context["form"].errors) == ["time_zone"]
    assert 'value="555-0101"' in page.text
    send(manager, "/set-up/yards/new/", **{**typed, "time_zone": "America/Boise"})
    yard = Yard.objects.get(name="Birch")
    assert (yard.time_zone, yard.bays, yard.working_days) == ("America/Boise", 2, [0, 5])


def test_a_yard_changed_by_two_is_told(get: Get, send: Send, manager: Person, alder: Yard) -> None:
    path = f"/set-up/yards/{alder.pk}/"
    form = get(manager, path).context["form"]
    typed = {"name": "Alder", "time_zone": "America/Boise", "on_call_number": "555-0100",
             "bays": "1", "working_days": ["0"], "units": "us",
             "version": form["version"].value()}  # fmt: skip
    send(manager, path, **typed)
    send(manager, path, 409, **{**typed, "bays": "3"})
    alder.refresh_from_db()
    assert (alder.time_zone, alder.bays) == ("America/Boise", 1)


def test_a_design_is_chosen_from_the_layouts(send: Send, get: Get, reference: None) -> None:
    boss = people.manager()
    chosen = {"axle": "leaf", "linkage": "fore_aft", "knuckle": "kingpin", "hub": "unit_hub"}
    page = send(boss, "/specs/designs/new/", 400, name="Ridge", **chosen, toe_low="0")
    assert set(page.context["form"].errors) == {"make"}
    page = send(boss, "/specs/designs/new/", 400, name="Ridge", make="R", **chosen, toe_low="0")
    assert set(page.context["form"].errors) == {"toe_high"}
    where = send(boss, "/specs/designs/new/", name="Ridge", make="R", **chosen)["Location"]
    text = get(boss, where).text
    assert "No figure comes with the program" in text
    assert "Leaf spring, front eye" in text
    assert "rack bar" not in text
    assert Design.objects.get().axle.code == "leaf"
    assert "Designs with no torque figure yet" in get(boss, "/specs/").text


def test_a_yes_to_the_rules_stands_in_the_trail(get: Get, send: Send, reference: None) -> None:
    boss = people.manager()
    form = get(boss, "/set-up/rules/").context["form"]
    send(boss, "/set-up/rules/", version=form["version"].value())
    assert TrailEntry.objects.get().verb == "look_over_rules"
    assert "looked the rules over" in get(boss, "/trail/").text
    assert "Looked over by Manager." in get(boss, "/set-up/").text
