"""The bench arithmetic over the API: the same answers, and problem details for slips."""

from datetime import date
from typing import Any

import pytest

from api.reckon_examples import examples_of
from fleet.reads.reckoning import CALCULATORS, reckon
from tests.api.conftest import Client, codes, fields
from tests.reads.reckoned import WHOLE

NAMES = list(CALCULATORS)


def figures(answer: Any) -> dict[str, list[Any]]:
    return {
        one["key"]: [(amount["shown"], amount["unit"]) for amount in one["amounts"]]
        for one in answer.json()["figures"]
    }


def test_the_list_names_every_calculator_with_its_fields(driver: Client) -> None:
    found = driver.get("reckon/").json()["calculators"]
    assert [one["name"] for one in found] == NAMES
    toe = next(one for one in found if one["name"] == "toe")
    assert toe["address"] == "/api/v1/reckon/toe/"
    first = toe["asks"][0]
    assert (first["name"], first["kind"], first["needed"]) == ("found_rear_1", "length", True)
    assert first["example"] == "46 5/16"


@pytest.mark.parametrize("name", NAMES)
def test_it_answers_as_the_page_does(technician: Client, name: str) -> None:
    answer = technician.post(f"reckon/{name}/", WHOLE[name])
    assert answer.status_code == 200
    body = answer.json()
    assert body["calculator"] == name
    assert body["figures"]
    for figure in body["figures"]:
        assert figure["limit"]
        assert figure["origin"]


def test_a_tape_reading_is_sent_as_it_was_read(technician: Client) -> None:
    sent = {"found_rear_1": "46 5/16", "found_front_1": "46 1/4", "span": "29 in"}
    answer = technician.post("reckon/toe/", sent)
    assert figures(answer)["found"][:2] == [("1/16", "in"), ("1.6", "mm")]
    read = {one["field"]: one["read_as"] for one in answer.json()["understood"]}
    assert read["found_rear_1"] == "46 5/16 in = 1,176.3 mm"


def test_metric_is_meant_only_where_it_is_said(technician: Client) -> None:
    sent = {"found_rear_1": "1176", "found_front_1": "1174.5"}
    assert technician.post("reckon/toe/", sent).status_code == 422
    answer = technician.post("reckon/toe/", sent | {"units": "metric"})
    assert figures(answer)["found"][1] == ("1.5", "mm")
    assert fields(technician.post("reckon/toe/", sent | {"units": "stone"})) == {"units"}


def test_a_slip_is_told_by_field_with_an_example(technician: Client) -> None:
    sent = {"found_rear_1": "465/16", "found_front_1": "46 1/4 kg"}
    answer = technician.post("reckon/toe/", sent)
    assert answer.status_code == 422
    assert answer["Content-Type"] == "application/problem+json"
    assert fields(answer) == {"found_rear_1", "found_front_1"}
    assert codes(answer) == {"improper_fraction", "unknown_unit"}
    assert {one["hint"] for one in answer.json()["problems"]} == {"46 5/16", "46 1/4"}


def test_nothing_sent_names_what_is_needed(technician: Client) -> None:
    answer = technician.post("reckon/wheel-center/", {})
    assert answer.status_code == 422
    assert fields(answer) == {"degrees_off", "gear_ratio", "pitman_arm", "thread"}


@pytest.mark.parametrize(
    "sent", [{"found_rear": "46"}, {"span": 29}, {"span": "9" * 81}, {"spec_low": True}]
)
def test_what_is_no_typed_text_or_no_field_is_not_valid(
    technician: Client, sent: dict[str, Any]
) -> None:
    assert technician.post("reckon/toe/", sent).status_code == 400


def test_a_box_is_true_or_false(technician: Client) -> None:
    sent = WHOLE["slotted-nut"] | {"high": "", "torque_now": "50"}
    assert technician.post("reckon/slotted-nut/", sent).json()["refused"] is True
    answer = technician.post("reckon/slotted-nut/", {**sent, "tighten_on": True})
    assert answer.json()["verdict"]["code"] == "turn_on_by_degrees"
    assert technician.post("reckon/slotted-nut/", {**sent, "tighten_on": "yes"}).status_code == 400


def test_a_refusal_is_an_answer_with_its_reason(technician: Client) -> None:
    answer = technician.post("reckon/clamp-load/", {"held_by": "adjusting_nut"})
    assert answer.status_code == 200
    body = answer.json()
    assert (body["refused"], body["verdict"]["code"]) == (True, "adjusting_nut")


def test_a_record_comes_back_with_its_spectrum_and_never_as_a_clearance(
    technician: Client,
) -> None:
    body = technician.post("reckon/vibration/", WHOLE["vibration"]).json()
    assert body["verdict"]["code"] == "follows_wheel_speed"
    assert "never_a_clearance" in {one["code"] for one in body["cautions"]}
    assert [plot["key"] for plot in body["plots"]] == ["spectrum", "follow"]
    assert len(body["plots"][0]["lines"][0]["points"]) > 100


def test_records_are_bounded_in_size_and_in_number(technician: Client) -> None:
    long = technician.post("reckon/vibration/", {"record": "0" * 5_100_000})
    assert long.status_code == 413
    answers = [technician.post("reckon/vibration/", {}) for _ in range(20)]
    last = answers[-1]
    assert last.status_code == 429
    assert last["Retry-After"]
    # Figures are counted apart.
    assert technician.post("reckon/vin/", WHOLE["vin"]).status_code == 200


@pytest.mark.parametrize("name", [name for name in NAMES if name != "vibration"])
def test_the_example_of_the_document_page_is_answered(technician: Client, name: str) -> None:
    example = examples_of(name)[0].value
    assert technician.post(f"reckon/{name}/", example).status_code == 200


def test_it_needs_no_request_key_since_nothing_is_kept(technician: Client) -> None:
    answer = technician.http.post("/api/v1/reckon/vin/", WHOLE["vin"], format="json")
    assert answer.status_code == 200


def test_the_api_and_the_arithmetic_say_the_same(technician: Client) -> None:
    typed = WHOLE["bump-steer"]
    ours = reckon("bump-steer", typed, units="us", today=date(2026, 11, 25))
    body = technician.post("reckon/bump-steer/", typed).json()
    assert body["verdict"]["text"] == ours.verdict.text
    assert body["tables"][0]["rows"] == [list(row) for row in ours.tables[0].rows]
