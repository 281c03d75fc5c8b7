"""Tablets of a test's fleet, speaking to the site inside the same process."""

from typing import Any

from django.utils import timezone
from rest_framework.test import APIClient

from fleet.operations import tablets
from fleet.records.models import Person
from tests.operations.conftest import House
from tests.tablets import FarTablet, Hand

PASSWORD = "bolt-and-bushing-7"


def over_http(method: str, path: str, body: Any, token: str) -> tuple[int, Any]:
    client = APIClient()
    headers = {"Authorization": f"Tablet {token}"} if token else {}
    call = getattr(client, method.lower())
    answer = call(f"/api/v1/tablet/{path}", body, format="json", headers=headers)
    return answer.status_code, answer.json() if answer.content else None


def a_tablet(house: House, name: str = "Bay 1") -> FarTablet:
    made = tablets.make_code(house.manager, name, house.yard.pk, at=timezone.now())
    tablet = FarTablet(over_http)
    assert tablet.enrol(made.code) == 201
    return tablet


def hand(tablet: FarTablet, person: Person) -> Hand:
    person.set_password(PASSWORD)
    person.save()
    return tablet.sign_in(person.username, PASSWORD)
