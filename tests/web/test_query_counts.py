"""Queries of every page and every document: committed numbers, equal for 3, 30 and 300 rows."""

import json
import os
from pathlib import Path

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from fleet.records.models import Person
from tests import people
from tests.addresses import addresses
from tests.web.rows import Fleet

FILE = Path(__file__).with_name("query_counts.json")
WRITE = "AXLEKEEP_WRITE_COUNTS"
HOW = f"Is it meant? Write it anew: {WRITE}=1 .venv/bin/pytest tests/web/test_query_counts.py"
DRIVERS_OWN = ("yard", "vehicles", "vehicle")


@pytest.mark.parametrize("size", [3, 30, 300])
def test_every_address_asks_as_often_as_is_written_down(
    size: int, client: Client, manager: Person
) -> None:
    fleet = Fleet(manager, size)
    paths = addresses(fleet.vehicle)
    counted = _queries(client, manager, paths)
    driver, own = people.driver(fleet.yards[0]), {name: paths[name] for name in DRIVERS_OWN}
    counted |= {f"{name}, a driver": n for name, n in _queries(client, driver, own).items()}
    if os.environ.get(WRITE) and size == 3:
        FILE.write_text(json.dumps(counted, indent=2) + "\n", encoding="utf-8")
    assert _different(counted, json.loads(FILE.read_text(encoding="utf-8"))) == {}, HOW


def _queries(client: Client, who: Person, paths: dict[str, str]) -> dict[str, int]:
    """Of one request to each, by somebody who is signed in."""
    client.force_login(who)
    counted = {}
    for name, path in paths.items():
        with CaptureQueriesContext(connection) as captured:
            answer = client.get(path)
        assert answer.status_code in (200, 302), f"{path}: {answer.status_code}"
        counted[name] = len(captured)
    return counted


def _different(counted: dict[str, int], written: dict[str, int]) -> dict[str, str]:
    """Name: written, counted; a new or a vanished address is a difference too."""
    names = [*written, *(name for name in counted if name not in written)]
    return {
        name: f"{written.get(name)} written down, {counted.get(name)} counted"
        for name in names
        if written.get(name) != counted.get(name)
    }
