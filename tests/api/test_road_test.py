"""The road test of a recheck through the API, and what Due says of it."""

from datetime import timedelta

import pytest
from django.utils import timezone

from fleet.records.models import Recheck, Vehicle
from tests import build
from tests.api.conftest import Client, codes

pytestmark = pytest.mark.usefixtures("rules")
STEPS = {"driver": "a helper", "place": "yard loop", "speeds": "20, 35, 45 mph", "passed": True}


@pytest.fixture
def owed(truck: Vehicle) -> Recheck:
    now = timezone.now()
    return build.recheck(
        truck, kind="dry_steer", ladder="oscillation_closed", road_test=True,
        started_at=now - timedelta(days=5), due_on=(now + timedelta(days=2)).date(),
    )  # fmt: skip


def test_it_is_recorded_and_waits_for_the_dry_steer(technician: Client, owed: Recheck) -> None:
    answer = technician.post(f"due/{owed.pk}/road-test/", STEPS)
    assert answer.status_code == 201
    said = answer.json()
    assert (said["recheck_state"], said["passed"]) == ("owed", True)
    assert said["speeds_m_s"] == pytest.approx([8.9408, 15.6464, 20.1168])
    shown = technician.get(f"due/{owed.pk}/").json()
    assert (shown["road_test"], shown["driven_by"]) == (True, said["id"])
    assert (shown["looked_by_finding"], shown["waits"]) == (None, False)


def test_one_speed_is_no_step(technician: Client, owed: Recheck) -> None:
    answer = technician.post(f"due/{owed.pk}/road-test/", {**STEPS, "speeds": "45 mph"})
    assert (answer.status_code, codes(answer)) == (422, {"no_steps"})


def test_a_driver_and_a_stranger_record_none(
    driver: Client, stranger: Client, owed: Recheck
) -> None:
    assert driver.post(f"due/{owed.pk}/road-test/", STEPS).status_code == 403
    assert stranger.post(f"due/{owed.pk}/road-test/", STEPS).status_code == 404
