"""Digests, sent through a real mail server on this machine."""

from collections.abc import Iterator
from datetime import datetime
from typing import Any

import pytest
import time_machine

from fleet.operations.digest_send import send_digests
from fleet.records.models import DigestSent, Person, Vehicle, Yard
from tests import build, outward, people
from tests.build import NOW
from tests.post_office import PostOffice, post_office

SITE = "https://fleet.example"


@pytest.fixture(autouse=True)
def _at_noon() -> Iterator[None]:
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture(scope="session")
def _open_office() -> Iterator[PostOffice]:
    with post_office() as office:
        yield office


@pytest.fixture
def office(_open_office: PostOffice, settings: Any) -> PostOffice:
    """With its books empty; the test runner's own stand-in for mail is put aside."""
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", _open_office.port
    settings.EMAIL_USE_TLS = settings.EMAIL_USE_SSL = False
    settings.MAIL_FROM = "Axlekeep <fleet@fleet.example>"
    settings.PUBLIC_ADDRESS = SITE
    for kept in (_open_office.taken, _open_office.to_recipients, _open_office.to_letters):
        kept.clear()
    return _open_office


@pytest.fixture
def alder(db: None) -> Yard:
    return build.yard("Alder")


@pytest.fixture
def lena(alder: Yard) -> Person:
    return people.person("Lena", "scheduler", alder, email="lena@ranch.example")


@pytest.fixture
def truck(alder: Yard, lena: Person) -> Vehicle:
    """Something to tell: a hold, and a recheck that is late."""
    made = build.vehicle(alder, "A-101")
    build.hold(made, lena)
    build.recheck(made, build.joint(made), due_in=-3)
    return made


@pytest.fixture
def wished(lena: Person, alder: Yard, truck: Vehicle) -> Any:
    return outward.digest(lena, alder)


def send(at: datetime = NOW) -> int:
    with time_machine.travel(at, tick=False):
        return send_digests(at=at)


def sent() -> DigestSent:
    return DigestSent.objects.get()
