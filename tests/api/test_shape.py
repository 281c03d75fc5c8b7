"""What every answer of the door has in common: problem details, paging, caching, strict JSON.

Shapes are those of RFC 9457 (problem details), RFC 9110 (conditional requests) and RFC 6585
(428), as noted in the design notes' sources, section 9.
"""

import json

import pytest
from rest_framework.test import APIClient

from api.problems import TYPES
from fleet.records.models import MeterReading, Vehicle
from tests import build
from tests.api.conftest import V1, Client, codes, fields


def test_it_works(technician: Client, truck: Vehicle) -> None:
    answer = technician.get("vehicles/A-12/")
    assert answer.status_code == 200
    assert answer["Content-Type"] == "application/json"
    assert answer.json()["unit_number"] == "A-12"


# RFC 9457, section 3.1: type, status, title, detail, instance.
def test_problem_details_have_the_members_of_rfc_9457(technician: Client) -> None:
    answer = technician.get("vehicles/none/")
    assert answer.status_code == 404
    assert answer["Content-Type"] == "application/problem+json"
    body = answer.json()
    assert set(body) == {"type", "title", "status", "detail", "instance", "problems"}
    assert body["status"] == 404
    assert body["instance"] == "/api/v1/vehicles/none/"


def test_the_type_of_a_problem_is_an_address_that_explains_it(technician: Client) -> None:
    said = technician.get("vehicles/none/").json()["type"]
    meaning = technician.http.get(said).json()
    assert meaning["type"] == said
    assert meaning["status"] == 404
    assert meaning["meaning"]
    assert technician.get("problems/no-such/").status_code == 404


@pytest.mark.parametrize("kind", TYPES.values(), ids=lambda kind: kind.code)
def test_every_kind_of_problem_has_its_page(technician: Client, kind: object) -> None:
    code = getattr(kind, "code", "")
    assert technician.get(f"problems/{code}/").json()["title"]


def test_an_address_that_is_none_is_told_in_the_same_shape(technician: Client) -> None:
    for answer in (technician.get("vehicels/"), technician.post("complaints", {})):
        assert answer.status_code == 404
        assert answer["Content-Type"] == "application/problem+json"
        assert "slash" in answer.json()["detail"]


def test_nobody_reads_without_a_sign_in(db: None) -> None:
    answer = APIClient().get(V1 + "vehicles/")
    assert answer.status_code == 401
    assert answer["WWW-Authenticate"].startswith("Token")
    assert answer.json()["type"].endswith("/not-signed-in/")


def test_a_method_that_is_not_there(technician: Client) -> None:
    answer = technician.http.delete(V1 + "vehicles/")
    assert answer.status_code == 405
    assert answer.json()["type"].endswith("/no-such-method/")
    assert technician.http.options(V1 + "vehicles/").status_code == 405


def test_only_json_is_read(technician: Client, truck: Vehicle) -> None:
    answer = technician.http.post(
        V1 + "complaints/", "vehicle=A-12", content_type="application/x-www-form-urlencoded",
        headers={"Idempotency-Key": "k"},
    )  # fmt: skip
    assert answer.status_code == 415
    form = {"vehicle": "A-12"}
    answer = technician.http.post(
        V1 + "complaints/", form, format="multipart", headers={"Idempotency-Key": "k"}
    )
    assert answer.status_code == 415


def test_only_json_is_offered(technician: Client) -> None:
    assert technician.get("vehicles/", Accept="text/html").status_code == 406


@pytest.mark.parametrize(
    "body",
    [
        '{"vehicle": "A-12", "meter": NaN}',
        '{"vehicle": "A-12", "meter": Infinity}',
        '{"vehicle": "A-12", "meter": 1e400}',
        '{"vehicle": "A-12", "meter": -1E999}',
        '{"vehicle": "A-12"',
        '{"vehicle": "A-12", "vehicle": "B-1", "meter": "5"}',
        '{"vehicle": "A-12", "meter": "5\\u0000"}',
        '{"vehicle": "A-12", "meter": "\\ud800"}',
        "",
        b"\xff\xfe\x00",
        b'{"vehicle": "A-12", "meter": "\xe9"}',
        "[" * 100_000,
        '{"vehicle": ' + "9" * 10_000 + "}",
    ],
    ids=[
        "NaN", "Infinity", "1e400", "-1E999", "cut", "name twice", "NUL", "lone surrogate",
        "empty", "UTF-16", "Latin-1", "deep", "long number",
    ],
)  # fmt: skip
def test_json_that_can_t_be_kept_as_sent_is_refused(
    technician: Client, truck: Vehicle, body: bytes | str
) -> None:
    answer = technician.raw("meter-readings/", body)
    assert answer.status_code == 400
    assert answer["Content-Type"] == "application/problem+json"
    assert not MeterReading.objects.exists()


@pytest.mark.parametrize("body", ["[]", "null", '"text"', "5", "true"])
def test_json_that_is_no_object_is_refused(technician: Client, body: str) -> None:
    assert technician.raw("meter-readings/", body).status_code == 400


def test_a_body_past_the_limit_is_refused_unread(technician: Client) -> None:
    answer = technician.raw("meter-readings/", json.dumps({"meter": "5" * 6_000_000}))
    assert answer.status_code == 413


def test_a_field_with_a_slip_in_its_name_is_told_by_name(
    technician: Client, truck: Vehicle
) -> None:
    answer = technician.post("meter-readings/", {"vehicle": "A-12", "metre": "5", "meter": "5"})
    assert answer.status_code == 400
    assert fields(answer) == {"metre"}
    assert codes(answer) == {"unknown_field"}


def test_a_slip_inside_a_list_is_told_with_its_place(technician: Client, truck: Vehicle) -> None:
    sheet = {"vehicle": "A-12", "kind": "routine",
             "findings": [{"joint": 1, "code": "tight"},
                          {"joint": 2, "code": "tight", "degree": "5"}]}  # fmt: skip
    answer = technician.post("inspections/", sheet)
    assert answer.status_code == 400
    assert fields(answer) == {"findings.1.degree"}


def test_a_slip_in_a_parameter_is_told_too(technician: Client) -> None:
    answer = technician.get("vehicles/", {"yrad": "alder"})
    assert answer.status_code == 400
    assert fields(answer) == {"yrad"}


@pytest.mark.parametrize("size", ["0", "201", "-1", "ten", "1e3", "", "9" * 400, "٣"])
def test_a_page_size_that_can_t_be_kept_is_refused(technician: Client, size: str) -> None:
    answer = technician.get("vehicles/", {"page_size": size})
    assert answer.status_code == 400
    assert fields(answer) == {"page_size"}


def test_pages_count_all_and_link_on(technician: Client, truck: Vehicle) -> None:
    for _ in range(4):
        build.vehicle(truck.yard)
    first = technician.get("vehicles/", {"page_size": "2"}).json()
    assert first["count"] == 5
    assert len(first["results"]) == 2
    second = technician.http.get(first["next"]).json()
    assert len(second["results"]) == 2
    assert not {v["unit_number"] for v in first["results"]} & {
        v["unit_number"] for v in second["results"]
    }
    assert technician.get("vehicles/", {"page": "99"}).status_code == 404


def test_a_cursor_stays_put_while_the_list_grows(technician: Client, truck: Vehicle) -> None:
    for miles in range(1, 6):
        build.meter(truck, miles, technician.person)
    first = technician.get("meter-readings/", {"page_size": "2"}).json()
    build.meter(truck, 6, technician.person)
    second = technician.http.get(first["next"]).json()
    seen = [row["typed"] for row in first["results"] + second["results"]]
    assert seen == ["5", "4", "3", "2"]


@pytest.mark.parametrize("cursor", ["x", "cD1nYXJiYWdl", "bz05OTk5OTk5OTk5OTk5OTk5OTk5OQ==", "%00"])
@pytest.mark.parametrize("path", ["meter-readings/", "trail/"])
def test_a_cursor_tampered_with_points_nowhere(
    manager: Client, truck: Vehicle, path: str, cursor: str
) -> None:
    build.meter(truck, 5, manager.person)
    build.trail(manager.person, truck)
    answer = manager.get(path, {"cursor": cursor})
    assert answer.status_code in (200, 404)


@pytest.mark.parametrize(
    "path",
    [
        "tickets/99999999999999999999999999/",
        "vehicles/%00/",
        "tools/%00/calibrations/",
        "findings/?joint=1e400",
        "findings/?joint=99999999999999999999999999",
        "findings/?joint=NaN",
        "meter-readings/?since=yesterday",
        "due/?within=1e400",
        "due/?within=999999999999",
        "due/?falls_from=0000-00-00",
        "vehicles/?yard=%00",
        "vehicles/?page=99999999999999999999999999999",
    ],
)
def test_what_no_list_can_hold_is_answered_and_does_not_fail(manager: Client, path: str) -> None:
    assert manager.http.get(V1 + path).status_code in (200, 400, 404)


def test_answers_are_for_the_reader_alone(technician: Client, truck: Vehicle) -> None:
    answer = technician.get("vehicles/A-12/")
    assert "private" in answer["Cache-Control"]
    assert {"Authorization", "Cookie"} <= {part.strip() for part in answer["Vary"].split(",")}


def test_a_fault_of_ours_is_told_without_its_inside(
    technician: Client, truck: Vehicle, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*args: object) -> None:
        raise RuntimeError("secret detail")

    monkeypatch.setattr("api.vehicles.Vehicles.shown", broken)
    technician.http.raise_request_exception = False
    answer = technician.get("vehicles/")
    assert answer.status_code == 500
    assert answer["Content-Type"] == "application/problem+json"
    assert "secret" not in answer.content.decode()


def test_a_figure_on_file_carries_its_clamp_load_check(manager: Client) -> None:
    build.spec(manager.person)
    build.spec(manager.person, "tie_rod_end")
    found = {row["kind"]: row["clamp_check"] for row in manager.get("specs/").json()["results"]}
    judged, refused = found["track_bar_frame_end"], found["tie_rod_end"]
    assert judged["verdict"]["code"] == "in_range"
    keys = [figure["key"] for figure in judged["figures"]]
    assert keys == ["clamp_low", "clamp_high", "nut_factor"]
    assert refused["refused"]
    assert refused["verdict"]["code"] == "tapered_stud"
