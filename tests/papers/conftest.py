"""Papers are made of a real small fleet, at noon of a Wednesday at the yard."""

from collections.abc import Callable, Iterator
from io import BytesIO
from typing import Any

import pytest
import time_machine
from django.utils import timezone
from pypdf import PdfReader

from fleet.papers import reports
from fleet.papers.reports import Reader
from fleet.papers.vehicle_tables import Sections
from fleet.reads.days import zone_of
from fleet.reads.reports.vehicle_record import Span
from fleet.reads.vehicle_file import vehicles_with_all_shown
from tests import build
from tests.operations.conftest import House, make_house

Record = Callable[..., Sections]


@pytest.fixture(autouse=True)
def _at_noon() -> Iterator[None]:
    with time_machine.travel(build.NOW, tick=False):
        yield


@pytest.fixture
def house(db: None) -> Iterator[House]:
    made = make_house()
    with timezone.override(zone_of(made.yard)):
        yield made


def reader_of(house: House, units: str = "us") -> Reader:
    yards = [house.yard]
    return Reader(house.manager.person, yards, units, build.NOW, zone_of(house.yard))


@pytest.fixture
def record(house: House) -> Record:
    """The sections of the vehicle's file, of the days that are named."""

    def of(units: str = "us", **days: object) -> Sections:
        vehicle = vehicles_with_all_shown(house.manager.person).get(pk=house.vehicle.pk)
        span = Span(**days)  # type: ignore[arg-type]  # since, until, basis
        return reports.record(reader_of(house, units), vehicle, span)

    return of


def words_of(pdf: bytes) -> str:
    """All words of a PDF, with single spaces."""
    return " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages).split())


def alternates(pdf: bytes) -> list[str]:
    """What a screen reader hears of every figure, in the order of the pages' structure."""
    root: Any = PdfReader(BytesIO(pdf)).trailer["/Root"]
    return _heard(root["/StructTreeRoot"])


def _heard(node: Any) -> list[str]:
    here = node.get_object() if hasattr(node, "get_object") else node
    if isinstance(here, list):
        return [text for kid in here for text in _heard(kid)]
    if not isinstance(here, dict):
        return []
    own = [str(here.get("/Alt", ""))] if here.get("/S") == "/Figure" else []
    return own + _heard(here.get("/K", []))


def structure(node: Any) -> dict[str, str]:
    """Every kind of element in the tree, with the last alternate text of each."""
    found: dict[str, str] = {}
    todo = [node]
    while todo:
        here = todo.pop()
        here = here.get_object() if hasattr(here, "get_object") else here
        if isinstance(here, list):
            todo.extend(here)
        elif isinstance(here, dict):
            if "/S" in here:
                found[str(here["/S"])] = str(here.get("/Alt", ""))
            todo.append(here.get("/K", []))
    return found
