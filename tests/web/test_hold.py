"""Holds, placed in a moment and lifted with a second check."""

from fleet.records.models import Hold
from tests import build, people
from tests.operations.conftest import House
from tests.web.conftest import Get, Send

NEW = "/vehicles/A-101/hold/"


def test_a_driver_holds_the_vehicle_with_a_reason(send: Send, get: Get, house: House) -> None:
    page = send(house.driver.person, NEW, 400, text=" ")
    assert page.context["form"].errors["text"] == ["Say why the vehicle is held."]
    send(house.driver.person, NEW, text="Brake line rubs on the tie rod")
    assert "Brake line rubs on the tie rod" in get(house.driver.person, "/vehicles/A-101/").text


def test_another_person_lifts_it_with_a_dry_steer_and_says_what_was_checked(
    send: Send, house: House
) -> None:
    send(house.driver.person, NEW, text="Brake line rubs on the tie rod")
    path = f"/holds/{Hold.objects.get().pk}/lift/"
    page = send(house.manager.person, path, 400, how="in_person", note="line clipped back")
    assert list(page.context["form"].errors) == ["dry_steer"]
    page = send(house.manager.person, path, 400, how="in_person", dry_steer="on")
    assert list(page.context["form"].errors) == ["note"]
    send(house.manager.person, path, how="in_person", dry_steer="on", note="line clipped back")
    assert Hold.objects.get().lifted_by == house.manager.person


def test_whoever_placed_it_does_not_lift_it(send: Send, house: House) -> None:
    send(house.manager.person, NEW, text="Brake line rubs")
    path = f"/holds/{Hold.objects.get().pk}/lift/"
    page = send(
        house.manager.person, path, 400, how="in_person", dry_steer="on", note="looked at it"
    )
    assert "another person checks and lifts" in page.text


def test_only_a_manager_lifts_and_a_stranger_finds_nothing(get: Get, house: House) -> None:
    hold = build.hold(house.vehicle, house.driver.person, reason="person")
    get(house.technician.person, f"/holds/{hold.pk}/lift/", 403)
    mesa = build.yard("Mesa Tank")
    get(people.person("Mesa", "manager", mesa), f"/holds/{hold.pk}/lift/", 404)
