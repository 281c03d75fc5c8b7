"""Whose a feed is, and its address: secret, renewed, taken back, asked again and again."""

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from fleet.operations.actor import Actor
from fleet.operations.feeds import NewFeed, renew_feed, revoke_feed
from fleet.records.models import Feed, Person, Posting, Recheck, Vehicle
from tests import build, people
from tests.build import NOW
from tests.feeds.conftest import fetched, later, move, only, subscribe


class TestWhoseItIs:
    def test_a_vehicles_feed_tells_that_vehicle_alone(
        self, lena: Person, truck: Vehicle, owed: Recheck
    ) -> None:
        build.recheck(build.vehicle(truck.yard))
        event = only(fetched(subscribe(lena, NewFeed("vehicle", vehicle_id=truck.pk))))
        assert event.values["UID"] == str(owed.uid)

    def test_a_persons_feed_tells_what_is_assigned_to_them(
        self, lena: Person, owed: Recheck, truck: Vehicle
    ) -> None:
        path = subscribe(lena, NewFeed("person", person_id=lena.pk))
        assert fetched(path).inside == []
        Recheck.objects.update(assigned_to=lena)
        assert only(fetched(path)).values["UID"] == str(owed.uid)

    def test_a_vehicle_that_moved_away_is_cancelled_without_a_word_of_it(
        self, path: str, lena: Person, truck: Vehicle, owed: Recheck
    ) -> None:
        fetched(path)
        Vehicle.objects.update(yard=build.yard("Mesa"))
        event = only(fetched(path))
        assert (event.values["STATUS"], event.values["SEQUENCE"]) == ("CANCELLED", "1")
        assert event.text("SUMMARY") == "No longer owed"
        assert not {"DESCRIPTION", "LOCATION", "URL"} & set(event.values)

    def test_an_owner_who_is_posted_elsewhere_sees_no_more_of_it(
        self, path: str, lena: Person, owed: Recheck
    ) -> None:
        fetched(path)
        Posting.objects.filter(person=lena).delete()
        assert only(fetched(path)).text("SUMMARY") == "No longer owed"

    @pytest.mark.parametrize("change", [{"is_active": False}, {"role": "driver"}])
    def test_the_feed_of_whoever_left_is_gone(
        self, path: str, lena: Person, change: dict[str, Any]
    ) -> None:
        Person.objects.filter(pk=lena.pk).update(**change)
        assert Client().get(path).status_code == 404


class TestAddress:
    def test_only_a_hash_of_it_is_kept(self, path: str) -> None:
        token = path.removeprefix("/feeds/").removesuffix(".ics")
        assert len(token) == 43
        assert token not in str(list(Feed.objects.values()))

    def test_a_wrong_one_is_nowhere(self, path: str) -> None:
        assert Client().get("/feeds/nobody-knows.ics").status_code == 404

    def test_renewed_the_old_one_is_dead_and_the_sequence_goes_on(
        self, path: str, lena: Person, owed: Recheck
    ) -> None:
        fetched(path)
        move(owed, owed.falls_on + timedelta(days=1))
        made = renew_feed(Actor(lena), Feed.objects.get().pk, at=NOW)
        assert Client().get(path).status_code == 404
        event = only(fetched(reverse("feed", args=[made.token])))
        assert event.values["SEQUENCE"] == "1"

    def test_taken_back_it_is_dead(self, path: str, lena: Person) -> None:
        revoke_feed(Actor(lena), Feed.objects.get().pk, at=NOW)
        assert Client().get(path).status_code == 404

    def test_nothing_is_left_in_the_asking_program(self, path: str, owed: Recheck) -> None:
        answer = Client().get(path)
        assert not answer.cookies
        assert answer["Cache-Control"] == "private, no-cache"
        assert answer["X-Robots-Tag"] == "noindex"

    def test_it_is_only_read(self, path: str) -> None:
        assert Client().post(path).status_code == 405


class TestConditional:
    """RFC 9110, 13.1: a calendar that did not change is not sent again."""

    def test_the_same_is_answered_without_a_body(self, path: str, owed: Recheck) -> None:
        first = Client().get(path)
        again = Client().get(path, headers={"If-None-Match": first["ETag"]})
        assert (again.status_code, again.content) == (304, b"")
        assert again["ETag"] == first["ETag"]
        since = Client().get(path, headers={"If-Modified-Since": first["Last-Modified"]})
        assert since.status_code == 304

    def test_a_change_is_sent(self, path: str, owed: Recheck) -> None:
        first = Client().get(path)
        move(owed, owed.falls_on + timedelta(days=1))
        with later(minutes=5):
            for name, value in (("If-None-Match", "ETag"), ("If-Modified-Since", "Last-Modified")):
                assert Client().get(path, headers={name: first[value]}).status_code == 200

    def test_the_last_fetch_is_told_to_its_owner(
        self, path: str, lena: Person, client: Client
    ) -> None:
        assert "never" in page_of(lena, client)
        with later(hours=3):
            Client().get(path)
        assert "never" not in page_of(lena, client)


def page_of(who: Person, client: Client, path: str = "/settings/", **typed: Any) -> str:
    """A page, or what a form that is sent leads to."""
    client.force_login(who)
    answer = client.post(path, typed, follow=True) if typed else client.get(path)
    assert answer.status_code == 200
    return answer.content.decode()


class TestSettings:
    def test_an_address_is_made_shown_once_and_works(
        self, lena: Person, truck: Vehicle, owed: Recheck, client: Client
    ) -> None:
        said = page_of(lena, client, "/settings/feeds/new/", of="vehicle", unit_number="a-101")
        address = said.split("http://testserver")[1].split("<")[0]
        assert only(fetched(address)).values["UID"] == str(owed.uid)
        assert address not in page_of(lena, client)

    def test_a_wrong_unit_number_is_told_and_stays(self, lena: Person, client: Client) -> None:
        client.force_login(lena)
        answer = client.post("/settings/feeds/new/", {"of": "vehicle", "unit_number": "Z-9"})
        assert answer.status_code == 400
        assert "Type the unit number" in answer.content.decode()
        assert "Z-9" in answer.content.decode()

    def test_it_is_renewed_and_taken_back(self, path: str, lena: Person, client: Client) -> None:
        feed = Feed.objects.get()
        said = page_of(lena, client, f"/settings/feeds/{feed.pk}/renew/", go="1")
        assert "It is shown this once" in said
        assert Client().get(path).status_code == 404
        said = page_of(lena, client, f"/settings/feeds/{feed.pk}/take-back/", go="1")
        assert "You have none" in said

    def test_anothers_is_nowhere(self, path: str, truck: Vehicle, client: Client) -> None:
        client.force_login(people.person("Ines", "manager", truck.yard))
        feed = Feed.objects.get()
        assert client.get(f"/settings/feeds/{feed.pk}/renew/").status_code == 404

    def test_a_driver_is_offered_none(self, truck: Vehicle, client: Client) -> None:
        assert "Calendar feeds" not in page_of(people.driver(truck.yard), client)
