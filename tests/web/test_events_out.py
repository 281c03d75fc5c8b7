"""Events out: a manager names a program, sees how its deliveries went, and sends them again."""

import re
from datetime import timedelta
from typing import Any

import pytest

from fleet.operations.events import forget_old
from fleet.records.models import Delivery, Webhook, Yard
from tests import outward, people
from tests.build import NOW
from tests.web.conftest import Get, Send

DESK = {"name": "Dispatch", "address": "https://dispatch.example/in",
        "events": ["vehicle.held", "hold.lifted"], "is_on": "on"}  # fmt: skip


@pytest.fixture
def boss(alder: Yard) -> Any:
    return people.person("Ines", "manager", alder)


@pytest.fixture
def desk(boss: Any, alder: Yard) -> Webhook:
    return outward.webhook(boss, alder)


def test_a_program_is_named_and_its_secret_shown_once(
    boss: Any, alder: Yard, get: Get, send: Send
) -> None:
    answer = send(boss, "/events-out/new/", **DESK, yard=alder.pk)
    first = get(boss, answer["Location"]).text
    assert re.search(r"whsec_[A-Za-z0-9+/]{43}=", first)
    assert "vehicle held, hold lifted" in first
    again = get(boss, answer["Location"]).text
    assert "whsec_" not in again
    assert "Nothing was sent yet." in again


def test_the_empty_list_says_what_it_is_for(boss: Any, get: Get) -> None:
    assert "No other program is told of anything." in get(boss, "/events-out/").text


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"address": "http://dispatch.example/"}, "begins with https://"),
        ({"address": "https://192.168.1.20/"}, "private network"),
        ({"name": ""}, "Give it a name"),
        ({"events": []}, "Choose what it is told of."),
        ({"yard": ""}, "Choose one of your yards."),
    ],
)
def test_what_is_wrong_is_told_and_what_was_typed_stays(
    wrong: dict[str, Any], told: str, boss: Any, alder: Yard, send: Send
) -> None:
    typed = {**DESK, "yard": alder.pk, **wrong}
    answer = send(boss, "/events-out/new/", 400, **typed)
    assert told in answer.text
    assert f'value="{typed["address"]}"' in answer.text
    assert not Webhook.objects.exists()


def test_whoever_has_all_yards_may_name_all(
    alder: Yard, manager: Any, get: Get, send: Send
) -> None:
    assert "all yards" in get(manager, "/events-out/new/").text
    send(manager, "/events-out/new/", **DESK, yard="")
    assert Webhook.objects.get().yard is None


def test_one_of_all_yards_is_nowhere_for_whoever_has_one(boss: Any, manager: Any, get: Get) -> None:
    row = outward.webhook(manager)
    get(boss, f"/events-out/{row.pk}/", 404)
    assert row.name not in get(boss, "/events-out/").text


def test_two_managers_at_once_are_told(boss: Any, desk: Webhook, alder: Yard, send: Send) -> None:
    typed = {**DESK, "yard": alder.pk, "version": desk.version}
    send(boss, f"/events-out/{desk.pk}/change/", **typed)
    late = send(boss, f"/events-out/{desk.pk}/change/", 409, **{**typed, "name": "Other"})
    assert "changed by somebody else" in late.text
    assert 'value="Other"' in late.text


class TestDeliveries:
    @pytest.fixture
    def dead(self, desk: Webhook) -> Delivery:
        outward.delivery(desk, state="taken", tries=1, status=204)
        return outward.delivery(
            desk, state="dead", tries=10, status=500, reason="status", last_at=NOW
        )

    def test_each_says_how_it_went(
        self, boss: Any, desk: Webhook, dead: Delivery, get: Get
    ) -> None:
        text = get(boss, f"/events-out/{desk.pk}/").text
        assert "Given up: it answered with an error" in text
        assert "HTTP 500" in text
        assert text.count("msg_") >= 2
        only = get(boss, f"/events-out/{desk.pk}/", **{"given-up": ""}).text
        assert dead.event.message_id in only
        assert "HTTP 204" not in only

    def test_one_is_sent_again(self, boss: Any, dead: Delivery, send: Send) -> None:
        send(boss, f"/events-out/deliveries/{dead.pk}/send-again/")
        dead.refresh_from_db()
        assert (dead.state, dead.tries) == ("waiting", 0)

    def test_all_are(self, boss: Any, desk: Webhook, dead: Delivery, send: Send) -> None:
        send(boss, f"/events-out/{desk.pk}/send-again/")
        assert not Delivery.objects.filter(state="dead").exists()
        assert Delivery.objects.filter(state="taken").count() == 1

    def test_the_events_of_a_time_are(
        self, boss: Any, desk: Webhook, dead: Delivery, send: Send
    ) -> None:
        """By the yard's clock: noon in Denver is 19:00 UTC."""
        path, day = f"/events-out/{desk.pk}/replay/", "2026-11-25"
        none = send(boss, path, 400, since=f"{day}T12:01", until=f"{day}T13:00")
        assert "Nothing that it wants happened in that time." in none.text
        wrong = send(boss, path, 400, since="soon", until=f"{day}T13:00")
        assert "Type a date and a time" in wrong.text
        send(boss, path, since=f"{day}T12:00", until=f"{day}T12:01")
        assert Delivery.objects.filter(state="waiting").count() == 2

    def test_a_test_waits_to_be_sent(self, boss: Any, desk: Webhook, send: Send, get: Get) -> None:
        send(boss, f"/events-out/{desk.pk}/test/")
        assert Delivery.objects.get().event.kind == "webhook.test"
        assert "Waits to be sent" in get(boss, f"/events-out/{desk.pk}/").text


def test_events_are_forgotten_after_their_time(desk: Webhook) -> None:
    outward.delivery(desk, state="taken")
    waits = outward.delivery(desk)
    assert forget_old(at=NOW + timedelta(days=90)) == 0
    assert forget_old(at=NOW + timedelta(days=91)) == 1
    assert Delivery.objects.get() == waits
