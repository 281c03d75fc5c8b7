"""Tablets in the manager's hands: a code shown once, a lost one revoked, what it sent settled."""

import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from fleet.operations import tablets
from fleet.records.models import MeterReading, Tablet, TabletOperation
from tests.operations.conftest import House, make_house
from tests.shop_tablets import a_tablet, hand, over_http
from tests.tablets import FarTablet


@pytest.fixture
def house(db: None) -> House:
    return make_house()


@pytest.fixture
def desk(house: House) -> Client:
    client = Client()
    client.force_login(house.manager.person)
    return client


def test_a_code_is_shown_once_and_makes_the_tablet_ours(house: House, desk: Client) -> None:
    typed = {"name": "Mesa 1", "yard": house.yard.pk}
    page = desk.post(reverse("tablet_new"), typed, follow=True).content.decode()
    found = re.search(r'class="read-out" translate="no">([A-Z0-9]{10})<', page)
    assert found is not None
    assert found[1] not in desk.get(reverse("tablets")).content.decode()
    assert FarTablet(over_http).enrol(found[1]) == 201
    assert "Mesa 1" in desk.get(reverse("tablets")).content.decode()


def test_a_second_tablet_of_the_same_name_is_refused(house: House, desk: Client) -> None:
    a_tablet(house, "Mesa 1")
    answer = desk.post(reverse("tablet_new"), {"name": "mesa 1", "yard": house.yard.pk})
    assert answer.status_code == 400
    assert "Another tablet has this name." in answer.content.decode()


@pytest.fixture
def lost(house: House, desk: Client) -> TabletOperation:
    """A reading made on a tablet that was revoked before it could send it."""
    bay = a_tablet(house)
    who = hand(bay, house.technician.person)
    bay.does(who, "record_meter", {"vehicle": house.vehicle.unit_number, "reading": "48,020"})
    row = Tablet.objects.get()
    desk.post(reverse("tablet_revoke", args=[row.pk]), {"reason": "left on a bumper"})
    bay.sync()
    return TabletOperation.objects.get()


def test_what_a_lost_tablet_sent_is_taken_in_for_who_signed_it(
    house: House, desk: Client, lost: TabletOperation
) -> None:
    assert "48,020" in desk.get(reverse("tablet", args=[lost.tablet_id])).content.decode()
    desk.post(reverse("operation_take_in", args=[lost.pk]), {})
    lost.refresh_from_db()
    assert lost.state == "accepted"
    assert MeterReading.objects.latest("id").by == house.technician.person


def test_or_it_is_left_out_with_a_reason(desk: Client, lost: TabletOperation) -> None:
    readings = MeterReading.objects.count()
    nothing_said: Any = desk.post(reverse("operation_leave", args=[lost.pk]), {})
    assert nothing_said.status_code == 400
    desk.post(reverse("operation_leave", args=[lost.pk]), {"reason": "not our truck"})
    lost.refresh_from_db()
    assert (lost.state, lost.reason) == ("set_aside", "not our truck")
    assert MeterReading.objects.count() == readings
    again = desk.post(reverse("operation_take_in", args=[lost.pk]), {})
    assert (again.status_code, MeterReading.objects.count()) == (400, readings)


def test_a_token_is_kept_as_a_hash_alone(house: House) -> None:
    bay = a_tablet(house)
    row = Tablet.objects.get()
    assert bay.token not in row.token_hash
    assert tablets.tablet_behind(bay.token) == row
    assert tablets.tablet_behind(row.token_hash) is None
