"""What a person reads of the API's answers comes in the language that the caller asks for."""

import json
from collections.abc import Iterator
from typing import Any

import pytest
from django.test import Client

from fleet.records.models import Person, Yard
from tests import build, people
from tests.house.test_permissions import each_address
from tests.support import pseudo
from tests.support.known_words import on_record, strange
from tests.web.rows import Fleet

SPANISH = {"accept-language": "es-MX,es;q=0.9"}
# Members of an answer that are sentences and not codes.
SENTENCES = {"title", "detail", "message"}


@pytest.fixture
def yard(db: None) -> Yard:
    return build.yard("Alder")


def sentences(body: Any) -> Iterator[str]:
    """Every sentence of an answer, however deep."""
    if isinstance(body, dict):
        yield from (text for name, text in body.items() if name in SENTENCES and text)
    for inner in body.values() if isinstance(body, dict) else body:
        if isinstance(inner, dict | list):
            yield from sentences(inner)


@pytest.mark.parametrize(
    ("asked", "title"),
    [
        ({"accept-language": "es"}, "No permitido"),
        (SPANISH, "No permitido"),
        ({"accept-language": "en"}, "Not allowed"),
        ({"accept-language": "de"}, "Not allowed"),
        ({}, "Not allowed"),
    ],
)
def test_a_refusal_comes_in_the_callers_language(
    client: Client, yard: Yard, asked: dict[str, str], title: str
) -> None:
    client.force_login(people.driver(yard))
    answer = client.get("/api/v1/trail/", headers=asked)
    assert answer.status_code == 403
    assert answer.json()["title"] == title
    assert "Accept-Language" in answer["Vary"]


def test_who_asks_for_no_language_is_answered_in_their_own(client: Client, yard: Yard) -> None:
    driver = people.speaks(people.driver(yard), "es")
    client.force_login(driver)
    answer = client.get("/api/v1/trail/")
    assert answer.json()["title"] == "No permitido"
    assert answer["Content-Language"] == "es"
    answer = client.get("/api/v1/trail/", headers={"accept-language": "en"})
    assert answer.json()["title"] == "Not allowed"


def test_rules_refuse_in_the_callers_language(client: Client, yard: Yard) -> None:
    truck = build.vehicle(yard)
    client.force_login(people.manager())
    headers = {**SPANISH, "idempotency-key": '"a1"'}
    typed = {"vehicle": truck.unit_number, "meter": "not a figure"}
    answer = client.post("/api/v1/meter-readings/", typed, "application/json", headers=headers)
    assert answer.status_code == 422
    assert "no se puede leer" in answer.json()["problems"][0]["message"]


def test_every_problem_of_every_address_is_made_of_messages(client: Client, db: None) -> None:
    manager: Person = people.manager()
    fleet = Fleet(manager, 3)
    known, wrong = on_record(), {}
    client.force_login(manager)
    with pseudo.everything_marked():
        for number, (row, address) in enumerate(each_address(fleet.vehicle)):
            if not row.name.startswith("api-") or row.method == "GET":
                continue
            bodies: list[Any] = [{}, {"nonsense": "§"}, []]
            for body in bodies:
                headers = {**SPANISH, "idempotency-key": f'"{number}"', "if-match": '"99"'}
                call = getattr(client, row.method.lower())
                answer = call(address, json.dumps(body), "application/json", headers=headers)
                if answer.status_code < 400:
                    continue
                texts = [pseudo.outside(text) for text in sentences(answer.json())]
                if found := strange(texts, known):
                    wrong[f"{row.method} {row.name}"] = found
    assert wrong == {}
