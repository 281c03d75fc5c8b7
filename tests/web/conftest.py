"""The pages are read at one moment: noon of a Wednesday at the yard."""

from collections.abc import Callable, Iterator
from typing import Any

import pytest
import time_machine
from django.test import Client

from fleet.records.models import Person, Yard
from tests import build, people
from tests.operations.conftest import House, make_house

Get = Callable[..., Any]
Send = Callable[..., Any]
Queries = Callable[[Person, str, int], None]
# A page asks the same number of questions of a small fleet and of a large one.
SIZES = [3, 30, 300]


@pytest.fixture(autouse=True)
def _at_noon() -> Iterator[None]:
    with time_machine.travel(build.NOW, tick=False):
        yield


@pytest.fixture
def alder(db: None) -> Yard:
    return build.yard("Alder")


@pytest.fixture
def mesa(db: None) -> Yard:
    return build.yard("Mesa Tank", on_call_number="555-0102")


@pytest.fixture
def manager(alder: Yard) -> Person:
    return people.manager()


@pytest.fixture
def get(client: Client) -> Get:
    """Read a page as somebody; returns the response, its text under `.text`."""

    def read(who: Person, path: str, status: int = 200, **query: Any) -> Any:
        client.force_login(who)
        answer = client.get(path, query)
        assert answer.status_code == status, answer.content[:500]
        answer.text = answer.content.decode()
        return answer

    return read


@pytest.fixture
def queries(client: Client, django_assert_num_queries: Any) -> Queries:
    """Read a page as somebody already signed in, and count the queries of that one request."""

    def read(who: Person, path: str, count: int) -> None:
        client.force_login(who)
        client.get(path)
        with django_assert_num_queries(count):
            assert client.get(path).status_code == 200

    return read


@pytest.fixture
def house(db: None) -> House:
    """A real fleet of one, made through the operations; its clock stands at the page's noon."""
    made = make_house()
    made.now = build.NOW
    return made


@pytest.fixture
def send(client: Client) -> Send:
    """Send a form as somebody; the text of what came back stands under `.text`."""

    def post(who: Person, path: str, status: int = 302, **typed: Any) -> Any:
        client.force_login(who)
        answer = client.post(path, typed)
        assert answer.status_code == status, answer.content.decode()[-3000:]
        answer.text = answer.content.decode()
        return answer

    return post
