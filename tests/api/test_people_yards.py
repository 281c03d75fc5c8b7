"""Yards and people through the API: the same operations as at the pages."""

from urllib.parse import urlparse

import pytest
from django.test import Client as Browser

from fleet.records.models import Person, Yard
from tests import people
from tests.api.conftest import Client, fields

pytestmark = pytest.mark.usefixtures("rules")
BIRCH = {"name": "Birch", "time_zone": "America/Denver", "on_call_number": "555-0109"}
HAND = {"username": "hand", "name": "A hand", "role": "technician", "yards": ["alder"]}


def test_a_yard_is_put_on_file_and_changed(manager: Client) -> None:
    made = manager.post("yards/", BIRCH)
    assert (made.status_code, made.json()["slug"]) == (201, "birch")
    assert made.json()["working_days"] == [0, 1, 2, 3, 4]
    changed = manager.patch("yards/birch/", {"bays": 3})
    assert (changed.status_code, changed.json()["bays"]) == (200, 3)
    assert changed.json()["on_call_number"] == "555-0109"


def test_a_yard_that_can_not_stand_names_its_fields(manager: Client, alder: Yard) -> None:
    wrong = manager.post("yards/", {**BIRCH, "name": "ALDER", "time_zone": "Denver"})
    assert (wrong.status_code, fields(wrong)) == (422, {"name", "time_zone"})


def test_somebody_is_taken_on_and_chooses_a_password(manager: Client, alder: Yard) -> None:
    made = manager.post("people/", HAND)
    assert (made.status_code, made.json()["yards"]) == (201, ["alder"])
    path = f"people/{made.json()['id']}/"
    told = manager.post(f"{path}sign-in-link/", {})
    assert told.status_code == 201
    link = urlparse(told.json()["link"]).path
    words = {"password": people.PASSWORD, "again": people.PASSWORD}
    assert Browser().post(link, words).status_code == 302
    assert Person.objects.get(username="hand").check_password(people.PASSWORD)


def test_a_person_is_changed_by_who_read_them_last(manager: Client, alder: Yard) -> None:
    hand = manager.post("people/", HAND)
    path = f"people/{hand.json()['id']}/"
    changed = manager.patch(path, {"trained": True}, match=0)
    assert (changed.status_code, changed.json()["trained"]) == (200, True)
    assert changed.json()["yards"] == ["alder"]
    assert manager.patch(path, {"trained": False}, match=0).status_code == 412
    assert fields(manager.patch(path, {"role": "server"}, match=1)) == {"role"}


def test_who_leaves_is_listed_no_more_and_comes_back(manager: Client, alder: Yard) -> None:
    path = f"people/{manager.post('people/', HAND).json()['id']}/"
    assert manager.post(f"{path}let-go/", {"reason": "moved away"}).status_code == 200
    assert manager.get(path).status_code == 404
    assert manager.post(f"{path}take-back/", {}).status_code == 200
    assert manager.get(path).status_code == 200


def test_the_last_manager_stays(manager: Client) -> None:
    answer = manager.post(f"people/{manager.person.pk}/let-go/", {"reason": "enough"})
    assert answer.status_code == 422
    assert manager.get("me/").status_code == 200
