"""Vehicles taken in, changed, laid up, brought back, let go."""

import pytest

from fleet.records.models import Recheck, Vehicle
from tests import build, people
from tests.operations.conftest import House
from tests.web.conftest import Get, Send

NEW = "/vehicles/new/"


def new(house: House, **changed: str) -> dict[str, str]:
    return {
        "unit_number": "A-102", "design_id": str(house.design.pk), "yard_id": str(house.yard.pk),
        "duty": "gravel", "meter_unit": "mi", "meter": "12,000", "steering_side": "left",
        "corrosion": "salt", "gross_weight_kg": "9,900 lb", "wheel_diameter_m": "17 in",
        "lift_m": "", **changed,
    }  # fmt: skip


def changes(house: House, **changed: str) -> dict[str, str]:
    keep = ("yard_id", "duty", "steering_side", "corrosion")
    return {**{name: new(house)[name] for name in keep}, "corrosion": "dry", **changed}


def test_a_vehicle_taken_in_has_its_joints_and_its_first_rechecks(send: Send, house: House) -> None:
    done = send(house.manager.person, NEW, **new(house))
    assert done.url == "/vehicles/A-102/"
    made = Vehicle.objects.get(unit_number="A-102")
    assert made.joints.count() == house.vehicle.joints.count()
    assert Recheck.objects.filter(vehicle=made).count() == 2
    assert (made.gross_weight_kg, round(made.wheel_diameter_m or 0, 4)) == (4491, 0.4318)


def test_every_column_that_cannot_stand_is_named_beside_it(send: Send, house: House) -> None:
    wrong = new(house, unit_number="A-101", vin="SHORT", wheel_diameter_m="wide")
    page = send(house.manager.person, NEW, 400, **wrong)
    assert set(page.context["form"].errors) == {"wheel_diameter_m", "vin"}
    page = send(house.manager.person, NEW, 400, **{**wrong, "wheel_diameter_m": "17"})
    assert set(page.context["form"].errors) == {"unit_number", "vin"}


def test_a_long_form_stands_in_groups_and_leaves_no_field_out(get: Get, house: House) -> None:
    for path in (NEW, "/vehicles/A-101/change/"):
        form = get(house.manager.person, path).context["form"]
        shown = [field.name for _title, fields in form.groups for field in fields]
        assert sorted(shown) == sorted(field.name for field in form.visible_fields())


@pytest.mark.parametrize(
    ("name", "typed", "says"),
    [
        ("model_year", "new", "Type the year, like 2016."),
        ("model_year", "1066", "Type the year, like 2016."),
        ("drag_link_degrees", "steep", "Type a number, like 4.5."),
        ("drag_link_degrees", "90", "Type a number that is not above 45."),
    ],
)
def test_a_number_that_cannot_stand_is_told_with_what_to_type_instead(
    send: Send, house: House, name: str, typed: str, says: str
) -> None:
    page = send(house.manager.person, NEW, 400, **new(house, **{name: typed}))
    assert page.context["form"].errors[name] == [says]
    assert f'value="{typed}"' in page.text


def test_a_change_keeps_what_was_and_what_became(send: Send, get: Get, house: House) -> None:
    path = "/vehicles/A-101/change/"
    version = get(house.manager.person, path).context["form"]["version"].value()
    typed = changes(house, tyre_size="LT265/70R17", version=str(version))
    send(house.manager.person, path, **typed)
    house.vehicle.refresh_from_db()
    assert house.vehicle.tyre_size == "LT265/70R17"
    page = send(house.manager.person, path, 409, **{**typed, "tyre_size": "35x12.5R17"})
    assert "was changed by somebody else" in page.text
    assert "35x12.5R17" in page.text


def test_a_vehicle_is_laid_up_and_brought_back(send: Send, house: House) -> None:
    send(house.manager.person, "/vehicles/A-101/lay-up/", reason="waits for a gear")
    house.vehicle.refresh_from_db()
    assert house.vehicle.status == "laid_up"
    page = send(house.manager.person, "/vehicles/A-101/lay-up/", 400, reason="again")
    assert "Only a vehicle in service is laid up." in page.text
    send(house.manager.person, "/vehicles/A-101/bring-back/")
    house.vehicle.refresh_from_db()
    assert house.vehicle.status == "in_service"


def test_a_vehicle_leaves_and_nothing_more_is_done_to_it(send: Send, house: House) -> None:
    send(house.manager.person, "/vehicles/A-101/let-go/", reason="sold")
    page = send(house.driver.person, "/vehicles/A-101/complaint/", 400, kind="clunk")
    assert "This vehicle has left the fleet." in page.text


def test_only_a_manager_takes_in_and_changes(get: Get, house: House) -> None:
    get(house.technician.person, NEW, 403)
    get(house.technician.person, "/vehicles/A-101/change/", 403)
    mesa = people.person("Mesa", "manager", build.yard("Mesa Tank"))
    get(mesa, "/vehicles/A-101/change/", 404)


def test_links_are_kept_as_measured_and_in_si(send: Send, house: House) -> None:
    path = f"/vehicles/{house.vehicle.unit_number}/change/"
    refused = send(house.manager.person, path, 400, **changes(house, drag_link_typed="37 ft"))
    assert "No such link is so long" in refused.text
    send(house.manager.person, path, **changes(house, drag_link_typed="36 1/2 in"))
    house.vehicle.refresh_from_db()
    assert house.vehicle.drag_link_typed == "36 1/2 in"
    assert house.vehicle.drag_link_m == pytest.approx(0.9271)
    assert house.vehicle.track_bar_m is None
