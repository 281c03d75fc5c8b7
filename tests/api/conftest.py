"""Clients of the REST door: each signed in by a token of their own, as a program would be."""

import itertools
from collections.abc import Iterator
from typing import Any

import pytest
import time_machine
from django.core.cache import cache
from django.utils import timezone
from rest_framework.authtoken.models import Token
from rest_framework.test import APIClient

from fleet.operations.actor import server_actor
from fleet.operations.reference import load_reference
from fleet.records.models import Person, Vehicle, Yard
from tests import build, people
from tests.operations.conftest import House, make_house

_keys = itertools.count(1)
V1 = "/api/v1/"


class Client:
    """A person at the door. `post` makes a new request key unless it is given one."""

    def __init__(self, person: Person) -> None:
        self.person = person
        self.http = APIClient(raise_request_exception=True)
        self.http.credentials(
            HTTP_AUTHORIZATION=f"Token {Token.objects.get_or_create(user=person)[0].key}"
        )

    def get(self, path: str, params: dict[str, Any] | None = None, **headers: str) -> Any:
        return self.http.get(V1 + path, params or {}, headers=_dashed(headers))

    def post(
        self, path: str, body: Any, key: str | None = None, match: Any = None, **headers: str
    ) -> Any:
        named = {"Idempotency-Key": f'"test-{next(_keys)}"' if key is None else key}
        return self.http.post(
            V1 + path, body, format="json", headers={**named, **_match(match), **_dashed(headers)}
        )

    def patch(self, path: str, body: Any, match: Any = None) -> Any:
        return self.http.patch(V1 + path, body, format="json", headers=_match(match))

    def raw(self, path: str, body: bytes | str, **headers: str) -> Any:
        """A body exactly as given, with a request key."""
        return self.http.post(
            V1 + path, body, content_type="application/json",
            headers={"Idempotency-Key": f"raw-{next(_keys)}", **_dashed(headers)},
        )  # fmt: skip


def _dashed(headers: dict[str, str]) -> dict[str, str]:
    return {name.replace("_", "-"): value for name, value in headers.items()}


def _match(version: Any) -> dict[str, str]:
    return {} if version is None else {"If-Match": f'"{version}"'}


def codes(response: Any) -> set[str]:
    """The codes of all problems in an answer."""
    return {problem["code"] for problem in response.json()["problems"]}


def fields(response: Any) -> set[str]:
    """The fields that an answer complains of."""
    return {problem["field"] for problem in response.json()["problems"]}


@pytest.fixture(autouse=True)
def _fresh_throttles() -> None:
    cache.clear()


@pytest.fixture
def alder(db: None) -> Yard:
    return build.yard("Alder")


@pytest.fixture
def mesa(db: None) -> Yard:
    return build.yard("Mesa Tank")


@pytest.fixture
def manager(db: None) -> Client:
    return Client(people.manager())


@pytest.fixture
def technician(alder: Yard) -> Client:
    return Client(people.technician(alder))


@pytest.fixture
def colleague(alder: Yard) -> Client:
    return Client(people.colleague(alder))


@pytest.fixture
def driver(alder: Yard) -> Client:
    return Client(people.driver(alder))


@pytest.fixture
def stranger(mesa: Yard) -> Client:
    return Client(people.stranger(mesa))


@pytest.fixture
def reader(db: None) -> Client:
    return Client(people.reader())


@pytest.fixture
def integrator(db: None) -> Client:
    return Client(people.integrator())


@pytest.fixture
def truck(alder: Yard) -> Vehicle:
    return build.vehicle(alder, "A-12")


@pytest.fixture
def rules(db: None) -> None:
    """Joint kinds, layouts and rules of fixtures/, loaded as on a fresh machine."""
    load_reference(server_actor("command"), at=timezone.now())


@pytest.fixture
def house(db: None) -> House:
    """The small real fleet of the operations' tests."""
    return make_house()


@pytest.fixture
def clock(house: House) -> Iterator[Any]:
    """Time stands where that fleet's does."""
    with time_machine.travel(house.now, tick=False) as moved:
        yield moved
