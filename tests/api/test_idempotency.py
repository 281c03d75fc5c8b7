"""The Idempotency-Key header: draft-ietf-httpapi-idempotency-key-header-07 (expired, never an
RFC): missing 400, another payload 422; the key is a quoted structured-field string."""

import pytest

from fleet.records.models import Complaint, Hold, TrailEntry, Vehicle
from tests.api.conftest import V1, Client

pytestmark = pytest.mark.usefixtures("rules")

BODY = {"vehicle": "A-12", "text": "Steering felt loose."}


def test_a_post_without_a_key_is_refused(driver: Client, truck: Vehicle) -> None:
    answer = driver.http.post(V1 + "holds/", BODY, format="json")
    assert answer.status_code == 400
    assert answer.json()["type"].endswith("/key-missing/")
    assert not Hold.objects.exists()


@pytest.mark.parametrize(
    "key", ['"a b"', "bare-token:1", '"with \\" quote"', '"' + "x" * 128 + '"']
)
def test_keys_that_are_keys(driver: Client, truck: Vehicle, key: str) -> None:
    assert driver.post("holds/", BODY, key=key).status_code == 201


@pytest.mark.parametrize("key", ['""', '"open', "two words", "x" * 129, '"é"', '"tab\tin"'])
def test_keys_that_are_none(driver: Client, truck: Vehicle, key: str) -> None:
    answer = driver.post("holds/", BODY, key=key)
    assert answer.status_code == 400
    assert answer.json()["type"].endswith("/key-missing/")


def test_sent_again_it_is_answered_again_and_done_once(driver: Client, truck: Vehicle) -> None:
    first = driver.post("holds/", BODY, key="k1")
    again = driver.post("holds/", BODY, key="k1")
    assert (first.status_code, again.status_code) == (201, 201)
    assert first.json() == again.json()
    assert "Idempotency-Replayed" not in first
    assert again["Idempotency-Replayed"] == "true"
    assert Hold.objects.count() == 1
    assert TrailEntry.objects.filter(verb="place_hold").count() == 1


def test_quoted_and_bare_are_one_key(driver: Client, truck: Vehicle) -> None:
    driver.post("holds/", BODY, key='"k1"')
    assert driver.post("holds/", BODY, key="k1")["Idempotency-Replayed"] == "true"


def test_spaces_and_the_order_of_fields_don_t_matter(driver: Client, truck: Vehicle) -> None:
    driver.post("holds/", BODY, key="k1")
    again = driver.raw(
        "holds/", '{ "text": "Steering felt loose.",  "vehicle":"A-12"}', Idempotency_Key="k1"
    )
    assert again["Idempotency-Replayed"] == "true"


def test_the_same_key_with_another_body_is_refused(driver: Client, truck: Vehicle) -> None:
    driver.post("holds/", BODY, key="k1")
    answer = driver.post("holds/", {**BODY, "text": "Something else."}, key="k1")
    assert answer.status_code == 422
    assert answer.json()["type"].endswith("/key-reused/")
    assert Hold.objects.count() == 1


def test_the_same_key_at_another_address_is_refused(driver: Client, truck: Vehicle) -> None:
    driver.post("holds/", BODY, key="k1")
    answer = driver.post("complaints/", {"vehicle": "A-12", "kind": "wander"}, key="k1")
    assert answer.status_code == 422
    assert not Complaint.objects.exists()


def test_two_people_may_use_the_same_key(
    driver: Client, technician: Client, truck: Vehicle
) -> None:
    driver.post("holds/", BODY, key="k1")
    assert "Idempotency-Replayed" not in technician.post("holds/", BODY, key="k1")
    assert Hold.objects.count() == 2


def test_a_refusal_uses_up_no_key(driver: Client, truck: Vehicle) -> None:
    body = {"vehicle": "A-12", "kind": "wander", "speed_typed": "fast"}
    assert driver.post("complaints/", body, key="k1").status_code == 422
    fixed = {**body, "speed_typed": "45 mph"}
    assert driver.post("complaints/", fixed, key="k1").status_code == 201
