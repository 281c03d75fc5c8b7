"""Versions over HTTP. RFC 9110: If-Match compares strongly and fails with 412, If-None-Match
weakly and answers 304; RFC 6585, section 3: 428 where the condition is missing."""

import pytest

from fleet.records.models import Vehicle
from tests.api.conftest import V1, Client


def test_a_vehicle_says_its_version(technician: Client, truck: Vehicle) -> None:
    assert technician.get("vehicles/A-12/")["ETag"] == '"0"'


@pytest.mark.parametrize("said", ['"0"', 'W/"0"', "*", '"7", "0"'])
def test_what_is_still_current_is_not_sent_again(
    technician: Client, truck: Vehicle, said: str
) -> None:
    answer = technician.get("vehicles/A-12/", If_None_Match=said)
    assert answer.status_code == 304
    assert answer["ETag"] == '"0"'
    assert answer.content == b""


@pytest.mark.parametrize("said", ['"1"', "0", "nonsense", '"00"'])
def test_what_has_changed_is_sent(technician: Client, truck: Vehicle, said: str) -> None:
    assert technician.get("vehicles/A-12/", If_None_Match=said).status_code == 200


def test_a_change_names_its_version(manager: Client, truck: Vehicle) -> None:
    answer = manager.patch("vehicles/A-12/", {"duty": "plough"})
    assert answer.status_code == 428
    assert answer.json()["type"].endswith("/version-missing/")
    truck.refresh_from_db()
    assert truck.duty == "gravel"


@pytest.mark.parametrize("said", ['W/"0"', "*", "0", '"zero"', '"0", "1"', '""', '"-1"'])
def test_a_weak_tag_or_none_at_all_is_refused(manager: Client, truck: Vehicle, said: str) -> None:
    answer = manager.http.patch(
        V1 + "vehicles/A-12/", {"duty": "plough"}, format="json", headers={"If-Match": said}
    )
    assert answer.status_code == 400


def test_a_change_on_the_current_version(manager: Client, truck: Vehicle) -> None:
    answer = manager.patch("vehicles/A-12/", {"duty": "plough"}, match=0)
    assert answer.status_code == 200
    assert answer.json()["duty"] == "plough"
    assert answer["ETag"] == '"1"'


def test_a_change_on_an_old_version_is_told_who_was_first(manager: Client, truck: Vehicle) -> None:
    manager.patch("vehicles/A-12/", {"duty": "plough"}, match=0)
    answer = manager.patch("vehicles/A-12/", {"duty": "highway"}, match=0)
    assert answer.status_code == 412
    assert answer.json()["type"].endswith("/changed/")
    truck.refresh_from_db()
    assert truck.duty == "plough"
