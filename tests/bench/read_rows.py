"""The rows of the table that read: four pages, and the same facts as JSON."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from django.test import Client
from django.test.utils import setup_test_environment, teardown_test_environment

from fleet.records.models import Person
from tests.bench import api_facts, page_due, page_joint, page_vehicle, page_yard
from tests.bench.doors import Sample, at_the_api, at_the_pages, read, samples
from tests.bench.facts import Part, Yardstick
from tests.bench.measure import Row, measure

GOAL = 5.0
EMPTY_PAGE, EMPTY_JSON = "/bench/empty/", "/api/v1/problems/not-valid/"


@dataclass(frozen=True)
class Asked:
    """A row: what is asked for, and the statements that read the same facts."""

    name: str
    address: Callable[[Sample], str]
    parts: Callable[[], list[Part]]


PAGES = [
    Asked("Yard page", lambda _s: "/", page_yard.parts),
    Asked("Due page", lambda _s: "/due/", page_due.parts),
    Asked("Vehicle page", lambda s: f"/vehicles/{s.vehicle}/", page_vehicle.parts),
    Asked("Joint page", lambda s: f"/vehicles/{s.vehicle}/joints/{s.joint}/", page_joint.parts),
]
DOCUMENTS = [
    Asked("Due as JSON", lambda _s: "/api/v1/due/", api_facts.due),
    Asked("Vehicle as JSON", lambda s: f"/api/v1/vehicles/{s.vehicle}/", api_facts.vehicle),
    Asked(
        "Its joints as JSON", lambda s: f"/api/v1/vehicles/{s.vehicle}/joints/", api_facts.joints
    ),
]


def rows(person: Person, rounds: int) -> Iterator[Row]:
    chosen = samples()
    pages, api = at_the_pages(person), at_the_api(person)
    for asked in PAGES:
        yield _row(asked, pages, EMPTY_PAGE, lambda answer: answer.context, chosen, rounds)
    for asked in DOCUMENTS:
        yield _row(asked, api, EMPTY_JSON, lambda answer: answer.json(), chosen, rounds)


def _row(
    asked: Asked, client: Client, empty: str, content: Callable[[Any], Any],
    chosen: list[Sample], rounds: int,
) -> Row:  # fmt: skip
    yardstick = Yardstick(asked.parts())
    with _contexts_kept():
        facts = [
            yardstick.check(content(read(client, asked.address(sample))), sample.params)
            for sample in chosen
        ]
    return measure(
        asked.name,
        lambda n: read(client, asked.address(chosen[n % len(chosen)])),
        lambda _n: read(client, empty),
        lambda n: yardstick.run(chosen[n % len(chosen)].params),
        rounds=rounds, goal=GOAL, facts=max(facts),
    )  # fmt: skip


@contextmanager
def _contexts_kept() -> Iterator[None]:
    """Answers bring what their templates were given: for checking only, as it costs time."""
    setup_test_environment(debug=False)
    try:
        yield
    finally:
        teardown_test_environment()
