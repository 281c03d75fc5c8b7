"""A vehicle's steering at the door: bump steer and toe from visit to visit."""

from datetime import timedelta

from fleet.records.models import Vehicle
from tests import build
from tests.api.conftest import Client, fields


def test_a_lifted_vehicle_tells_what_is_to_be_measured_and_then_the_verdict(
    manager: Client, truck: Vehicle
) -> None:
    assert manager.get("vehicles/A-12/steering/").json()["bump_steer"] is None
    lifted = {"lift_m": 0.1, "drop_arm": True, "drag_link_degrees": 9.5, "track_bar_degrees": 16}
    assert manager.patch("vehicles/A-12/", lifted, match=truck.version).status_code == 200
    bump = manager.get("vehicles/A-12/steering/").json()["bump_steer"]
    assert bump["missing"] == ["drag_link_typed", "track_bar_typed"]
    truck.refresh_from_db()
    typed = {"drag_link_typed": "37 in", "track_bar_typed": "33 1/2 in"}
    assert manager.patch("vehicles/A-12/", typed, match=truck.version).status_code == 200
    bump = manager.get("vehicles/A-12/steering/").json()["bump_steer"]
    assert bump["answer"]["verdict"]["code"] == "steers_over_bumps"


def test_a_length_that_can_not_be_read_is_told_beside_its_field(
    manager: Client, truck: Vehicle
) -> None:
    refused = manager.patch("vehicles/A-12/", {"drag_link_typed": "long"}, match=truck.version)
    assert refused.status_code == 422
    assert fields(refused) == {"drag_link_typed"}


def test_toe_drift_is_told_from_visit_to_visit(manager: Client, truck: Vehicle) -> None:
    build.toe(truck, manager.person, build.NOW - timedelta(days=30))
    build.toe(truck, manager.person, as_left=False, toe_m=-0.0047625)
    (drift,) = manager.get("vehicles/A-12/steering/").json()["toe_drifts"]
    assert drift["answer"]["verdict"]["code"] == "towards_out"
