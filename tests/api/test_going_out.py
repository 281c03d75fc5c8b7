"""Feeds and webhooks through the API: told once, within one's yards, with versions and keys."""

from typing import Any

import pytest

from fleet.records.models import Delivery, Feed, Webhook
from tests import outward
from tests.api.conftest import Client
from tests.build import NOW
from tests.operations.conftest import House

DESK = {"name": "Dispatch", "address": "https://dispatch.example/in", "yard": "alder",
        "events": ["vehicle.held"]}  # fmt: skip


@pytest.fixture
def manager(house: House) -> Client:
    return Client(house.manager.person)


@pytest.fixture
def technician(house: House) -> Client:
    return Client(house.technician.person)


class TestFeeds:
    def test_an_address_is_made_and_told_once(
        self, house: House, manager: Client, client: Any
    ) -> None:
        made = manager.post("feeds/", {"subject": "yard", "yard": "alder"}, key="k-1")
        assert made.status_code == 201
        address = made.json()["address"]
        assert client.get(address).status_code == 200
        again = manager.post("feeds/", {"subject": "yard", "yard": "alder"}, key="k-1")
        assert again.json()["address"] is None
        [row] = manager.get("feeds/").json()["results"]
        assert (row["subject"], row["yard"], "token" in str(row)) == ("yard", "alder", False)

    def test_renewed_and_taken_back(self, house: House, manager: Client, client: Any) -> None:
        made = manager.post("feeds/", {"subject": "vehicle", "vehicle": "A-101"}).json()
        pk = made["feed"]["id"]
        new = manager.post(f"feeds/{pk}/renew/", {}).json()
        assert client.get(made["address"]).status_code == 404
        assert client.get(new["address"]).status_code == 200
        assert manager.post(f"feeds/{pk}/take-back/", {}).status_code == 200
        assert client.get(new["address"]).status_code == 404
        assert manager.get("feeds/").json()["results"] == []

    def test_anothers_is_not_there(self, house: House, technician: Client) -> None:
        outward.feed(house.manager.person, house.yard)
        assert technician.get("feeds/").json()["results"] == []
        assert technician.post(f"feeds/{Feed.objects.get().pk}/renew/", {}).status_code == 404

    def test_of_what_must_be_said(self, house: House, manager: Client) -> None:
        assert manager.post("feeds/", {"subject": "moon"}).status_code == 400
        assert manager.post("feeds/", {"subject": "yard"}).status_code == 404


class TestWebhooks:
    @pytest.fixture
    def made(self, house: House, manager: Client) -> Any:
        answer = manager.post("webhooks/", DESK)
        assert answer.status_code == 201, answer.content
        return answer

    def test_the_secret_is_told_once(self, made: Any, manager: Client) -> None:
        assert made.json()["secret"].startswith("whsec_")
        row = manager.get(f"webhooks/{made.json()['webhook']['id']}/").json()
        assert (row["name"], row["yard"], "secret" in row) == ("Dispatch", "alder", False)

    def test_it_is_changed_by_its_version(self, made: Any, manager: Client) -> None:
        row = made.json()["webhook"]
        path, version = f"webhooks/{row['id']}/", row["version"]
        changed = manager.patch(path, {"is_on": False}, match=version)
        assert changed.status_code == 200, changed.content
        assert changed.json()["is_on"] is False
        assert manager.patch(path, {"is_on": True}, match=version).status_code == 412
        assert Webhook.objects.get().events == ["vehicle.held"]

    @pytest.mark.parametrize(
        "wrong", [{"address": "https://10.0.0.1/"}, {"events": ["moon"]}, {"yard": "moon"}]
    )
    def test_what_is_wrong_is_refused(
        self, wrong: dict[str, Any], house: House, manager: Client
    ) -> None:
        answer = manager.post("webhooks/", {**DESK, **wrong})
        assert answer.status_code in (400, 422)
        assert not Webhook.objects.exists()

    def test_deliveries_are_seen_and_sent_again(
        self, made: Any, house: House, manager: Client
    ) -> None:
        row = outward.delivery(Webhook.objects.get(), state="dead", reason="late")
        [seen] = manager.get("deliveries/").json()["results"]
        assert (seen["state"], seen["reason"], seen["message_id"]) == (
            "dead", "late", row.event.message_id,
        )  # fmt: skip
        assert manager.post(f"deliveries/{row.pk}/send-again/", {}).json()["state"] == "waiting"
        pk = row.webhook_id
        test = manager.post(f"webhooks/{pk}/test/", {})
        assert test.json()["type"] == "webhook.test"
        Delivery.objects.update(state="dead")
        assert manager.post(f"webhooks/{pk}/send-again/", {}).json()["waiting"] == 2
        span = {"since": f"{NOW:%Y-%m-%dT00:00:00}Z", "until": f"{NOW:%Y-%m-%dT23:59:59}Z"}
        assert manager.post(f"webhooks/{pk}/replay/", span).status_code == 200
        assert manager.post(f"webhooks/{pk}/secret/", {}).json()["secret"].startswith("whsec_")
