"""How a tablet becomes one of ours, and who may sign on it."""

from datetime import timedelta
from typing import Any

import pytest

from fleet.operations import tablets
from tests import build, people
from tests.operations.conftest import House
from tests.shop_tablets import PASSWORD, a_tablet, over_http
from tests.tablets import FarTablet


@pytest.fixture
def bay(house: House, clock: Any) -> FarTablet:
    return a_tablet(house)


def test_a_code_serves_once_and_half_an_hour(house: House, clock: Any) -> None:
    made = tablets.make_code(house.manager, "Bay 1", house.yard.pk, at=house.now)
    late = tablets.make_code(house.manager, "Bay 2", house.yard.pk, at=house.now)
    tablet = FarTablet(over_http)
    assert tablet.enrol(made.code.lower()) == 201
    assert FarTablet(over_http).enrol(made.code) == 422
    clock.move_to(house.now + timedelta(minutes=31))
    assert FarTablet(over_http).enrol(late.code) == 422
    assert over_http("GET", "pack/", None, "no-such-token")[0] == 401


def test_only_those_who_inspect_and_belong_to_the_yard_sign_on_it(
    house: House, bay: FarTablet
) -> None:
    elsewhere = people.stranger(build.yard("Birch"))
    for person in (house.driver.person, elsewhere):
        person.set_password(PASSWORD)
        person.save()
        said = {"username": person.username, "password": PASSWORD}
        assert over_http("POST", "people/", said, bay.token)[0] in (403, 404)
    said = {"username": house.technician.person.username, "password": "wrong"}
    assert over_http("POST", "people/", said, bay.token)[0] == 401
