"""The plain links to a calendar feed: from Due with a yard chosen, a vehicle's page, one's own
settings; each opens the form with what it is of chosen."""

from typing import Any

import pytest
from django.test import Client

from fleet.records.models import Person, Recheck, Vehicle
from tests import people


def read(who: Person, address: str) -> str:
    client = Client()
    client.force_login(who)
    answer = client.get(address)
    assert answer.status_code == 200
    return answer.content.decode()


def chosen(who: Person, address: str) -> dict[str, Any]:
    client = Client()
    client.force_login(who)
    form = client.get(address).context["form"]
    return {name: form[name].value() for name in ("of", "yard", "person", "unit_number")}


def test_due_leads_to_the_feed_of_the_yard_that_is_chosen(
    lena: Person, truck: Vehicle, owed: Recheck
) -> None:
    link = f"/settings/feeds/new/?yard={truck.yard.slug}"
    assert link in read(lena, f"/due/?yard={truck.yard.slug}")
    assert "/settings/feeds/new/" not in read(lena, "/due/")
    assert chosen(lena, link) == {
        "of": "yard", "yard": truck.yard_id, "person": lena.pk, "unit_number": ""
    }  # fmt: skip


def test_a_vehicles_page_leads_to_its_feed(lena: Person, truck: Vehicle, owed: Recheck) -> None:
    link = f"/settings/feeds/new/?vehicle={truck.unit_number}"
    assert link in read(lena, f"/vehicles/{truck.unit_number}/")
    told = chosen(lena, link)
    assert (told["of"], told["unit_number"]) == ("vehicle", truck.unit_number)


def test_ones_settings_lead_to_the_feed_of_ones_own_work(lena: Person) -> None:
    link = "/settings/feeds/new/?person=me"
    assert link in read(lena, "/settings/")
    told = chosen(lena, link)
    assert (told["of"], told["person"]) == ("person", lena.pk)


def test_who_may_make_none_finds_no_link(truck: Vehicle, owed: Recheck) -> None:
    driver = people.driver(truck.yard)
    assert "/settings/feeds/new/" not in read(driver, f"/vehicles/{truck.unit_number}/")
    assert "/settings/feeds/new/" not in read(driver, "/settings/")


@pytest.mark.parametrize("asked", ["yard=nowhere", "yard=%00", "person=7", "yard="])
def test_an_address_that_names_nothing_of_ones_own_chooses_nothing(
    lena: Person, asked: str
) -> None:
    told = chosen(lena, f"/settings/feeds/new/?{asked}")
    assert (told["of"], told["yard"]) == ("yard", None)
