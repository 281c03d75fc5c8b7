"""File requests and fittings through the API."""

from typing import Any

import pytest
import time_machine

from fleet.records.models import FileRequest, Hold, JointFitting, Vehicle
from tests import build, people
from tests.api.conftest import Client, codes, fields

pytestmark = pytest.mark.usefixtures("rules")

ASKED = {"vehicle": "A-12", "why": "audit", "wanted_by": "2026-11-28", "until": "2026-10-31"}


@pytest.fixture(autouse=True)
def _at_noon() -> Any:
    with time_machine.travel(build.NOW, tick=False):
        yield


@pytest.fixture
def asked(reader: Client, truck: Vehicle) -> str:
    answer = reader.post("file-requests/", ASKED)
    assert answer.status_code == 201, answer.json()
    return f"file-requests/{answer.json()['id']}/"


def test_a_reader_asks_and_reads_how_it_stands(reader: Client, asked: str) -> None:
    row = reader.get(asked).json()
    assert (row["vehicle"], row["until"], row["answer"]) == ("A-12", "2026-10-31", None)
    assert reader.get("file-requests/", {"state": "open"}).json()["count"] == 1


def test_a_manager_answers_it_once(manager: Client, reader: Client, asked: str) -> None:
    body = {"text": "Printed, 9 pages"}
    assert reader.post(f"{asked}answer/", body).status_code == 403
    assert manager.post(f"{asked}answer/", body).status_code == 201
    assert reader.get(asked).json()["answer"]["text"] == "Printed, 9 pages"
    again = manager.post(f"{asked}answer/", body)
    assert (again.status_code, codes(again)) == (422, {"request_over"})
    assert reader.get("file-requests/", {"state": "open"}).json()["count"] == 0


def test_who_asked_withdraws_it(reader: Client, asked: str) -> None:
    assert reader.post(f"{asked}withdraw/", {"reason": "asked twice"}).status_code == 201
    assert reader.get(asked).json()["answer"]["kind"] == "withdrawn"


def test_what_cannot_stand_names_its_field(manager: Client, reader: Client, truck: Any) -> None:
    late = reader.post("file-requests/", {**ASKED, "wanted_by": "2026-11-01"})
    assert (late.status_code, fields(late)) == (422, {"wanted_by"})
    assert fields(manager.post("file-requests/", ASKED)) == {"asker"}
    assert fields(reader.post("file-requests/", {**ASKED, "whyy": "x"})) == {"whyy"}


def test_another_yard_has_none_of_it(asked: str, mesa: Any, technician: Client) -> None:
    other = Client(people.person("Elsewhere", "reader", mesa))
    assert other.get("file-requests/").json()["results"] == []
    assert other.get(asked).status_code == 404
    assert other.post("file-requests/", ASKED).status_code == 400
    assert technician.get("file-requests/").status_code == 403


@pytest.mark.parametrize("rows", [3, 30, 300])
def test_a_list_costs_the_same_however_long(
    rows: int, truck: Vehicle, manager: Client, django_assert_num_queries: Any
) -> None:
    FileRequest.objects.bulk_create(
        FileRequest(vehicle=truck, by=manager.person, occurred_at=build.NOW, why="audit",
                    wanted_by=build.NOW.date())
        for _number in range(rows)
    )  # fmt: skip
    with django_assert_num_queries(3):
        assert manager.get("file-requests/", {"page_size": "200"}).status_code == 200


def test_a_joint_set_apart_holds_the_vehicle(
    technician: Client, stranger: Client, reader: Client, truck: Vehicle
) -> None:
    joint, body = build.joint(truck), {"to": "apart", "reason": "bolt on order"}
    path = f"joints/{joint.pk}/fitting/"
    assert stranger.post(path, body).status_code == 404
    assert reader.post(path, body).status_code == 403
    assert fields(technician.post(path, {**body, "to": "lost"})) == {"to"}
    made = technician.post(path, body)
    assert (made.status_code, made.json()["fitted"]) == (201, "apart")
    assert Hold.objects.get().joint == joint
    assert technician.get(f"joints/{joint.pk}/").json()["fitted"] == "apart"
    life = technician.get(f"joints/{joint.pk}/life/").json()
    assert [row["reason"] for row in life["fittings"]] == ["bolt on order"]
    refused = technician.post(path, {**body, "to": "fitted"})
    assert (refused.status_code, codes(refused)) == (422, {"not_assembled"})
    assert JointFitting.objects.count() == 1
