"""A held vehicle moved to the yard only: asked for, shown beside the hold, and over."""

from datetime import timedelta
from typing import Any

import pytest
import time_machine

from fleet.operations import complain, holds
from fleet.records.models import Hold, Person, YardMove
from tests import build, people
from tests.build import NOW
from tests.operations.conftest import House
from tests.web.conftest import Get, Send

NEW = "/vehicles/A-101/move/"
TYPED = {"route": "County road 7", "speed_typed": "20 mph", "hours": "2"}
# Noon in Denver, in winter time, and two hours.
BANNER = (
    "May be moved to the yard only: until Nov 25, 2026, 14:00, at most 20 mph, by County road 7."
)


@pytest.fixture
def held(house: House) -> Hold:
    return holds.place_hold(house.driver, house.vehicle.pk, "Bent", at=house.now).row


def oscillated(house: House) -> None:
    report = complain.Report(house.vehicle.pk, "axle_oscillation")
    complain.report_complaint(house.driver, report, at=house.now)


def test_it_is_read_beside_the_hold_on_every_page_that_says_held(
    send: Send, get: Get, house: House, held: Hold
) -> None:
    send(house.technician.person, NEW, **TYPED)
    ticket = house.ticket(("retorque", "track_bar_frame_end"))
    for who, path in (
        (house.technician.person, "/vehicles/A-101/"),
        (house.driver.person, "/vehicles/A-101/"),
        (house.manager.person, "/"),
        (house.technician.person, f"/tickets/{ticket.pk}/"),
    ):
        text = get(who, path).text
        assert BANNER in text, path
        assert "Decided by Technician." in text, path
        assert "must not go out." in text, path


def test_after_its_time_it_reads_as_lapsed(send: Send, get: Get, house: House, held: Hold) -> None:
    send(house.technician.person, NEW, **TYPED)
    with time_machine.travel(NOW + timedelta(hours=2), tick=False):
        for who, path in ((house.driver.person, "/vehicles/A-101/"), (house.manager.person, "/")):
            text = get(who, path).text
            assert "May be moved to the yard only: until" not in text
            assert "The leave to move it to the yard lapsed Nov 25, 2026, 14:00" in text
            assert "must not go out." in text


def test_each_thing_missing_stands_beside_its_field_and_what_was_typed_is_kept(
    send: Send, house: House, held: Hold
) -> None:
    page = send(house.technician.person, NEW, 400, route="", speed_typed="20 knots", hours="x")
    errors = page.context["form"].errors
    assert errors["route"] == ["Say by which roads it goes to the yard."]
    assert errors["hours"] == ["Type hours as a number, like 2 or 1.5."]
    page = send(house.technician.person, NEW, 400, **TYPED | {"speed_typed": "20 knots"})
    assert page.context["form"].errors["speed_typed"] == ["Type a speed like 45 mph or 70 km/h."]
    assert 'value="County road 7"' in page.text
    assert not YardMove.objects.exists()


def test_after_an_oscillation_the_page_says_tow_it_and_asks_why_not(
    send: Send, get: Get, house: House
) -> None:
    oscillated(house)
    who = house.technician.person
    assert "Tow it." in get(who, NEW).text
    page = send(who, NEW, 400, **TYPED)
    errors = page.context["form"].errors
    assert set(errors) == {"why_not_towed", "tow_ruled_out"}
    assert errors["why_not_towed"][0].startswith("Tow it:")
    why = "No tow truck comes over the ford before night"
    send(who, NEW, **TYPED, why_not_towed=why, tow_ruled_out="on")
    assert f"Not towed: {why}" in get(who, "/vehicles/A-101/").text


def test_without_an_oscillation_nothing_is_asked_about_towing(
    get: Get, house: House, held: Hold
) -> None:
    text = get(house.technician.person, NEW).text
    assert "why_not_towed" not in text
    assert "service information governs" in text


def test_only_a_trained_person_is_offered_it_and_may_decide_it(
    send: Send, get: Get, house: House, held: Hold
) -> None:
    newcomer = people.person("Newcomer", "technician", house.yard)
    assert NEW in get(house.technician.person, "/vehicles/A-101/").text
    assert NEW not in get(newcomer, "/vehicles/A-101/").text
    assert NEW not in get(house.driver.person, "/vehicles/A-101/").text
    page = send(newcomer, NEW, 400, **TYPED)
    assert "Only a trained person decides" in page.text


def test_the_driver_says_that_it_has_arrived(send: Send, get: Get, house: House) -> None:
    move = standing_move(house)
    driver = house.driver.person
    path = f"/moves/{move.pk}/end/"
    assert path in get(driver, "/vehicles/A-101/").text
    page = send(driver, path, 400)
    assert list(page.context["form"].errors) == ["how"]
    send(driver, path, how="arrived", note="Pulled left")
    text = get(driver, "/vehicles/A-101/").text
    assert "Arrived in the yard Nov 25, 2026, 12:00, said Driver." in text
    assert "Pulled left" in text
    assert path not in text


def test_taken_back_it_says_why(send: Send, get: Get, house: House) -> None:
    path = f"/moves/{standing_move(house).pk}/end/"
    manager = house.manager.person
    page = send(manager, path, 400, how="taken_back")
    assert page.context["form"].errors["note"] == ["Say why it is taken back."]
    send(manager, path, how="taken_back", note="The bridge is closed")
    assert "was taken back Nov 25, 2026, 12:00: The bridge is closed" in get(manager, "/").text


def test_the_file_keeps_every_decision(send: Send, get: Get, house: House) -> None:
    move = standing_move(house)
    send(house.driver.person, f"/moves/{move.pk}/end/", how="arrived")
    page = get(house.manager.person, "/vehicles/A-101/")
    kinds = [event.kind for event in page.context["events"]]
    assert {"move", "move_end"} <= set(kinds)
    assert "County road 7, at most 20 mph, until Nov 25, 2026, 14:00" in page.text


def test_a_bare_speed_is_shown_with_its_unit(send: Send, get: Get, house: House, held: Any) -> None:
    send(house.technician.person, NEW, **TYPED | {"speed_typed": "20"})
    assert "at most 20 mph" in get(house.driver.person, "/vehicles/A-101/").text


def test_a_stranger_finds_nothing(get: Get, house: House, mesa: Any) -> None:
    move = standing_move(house)
    stranger: Person = people.person("Mesa", "manager", mesa)
    get(stranger, f"/moves/{move.pk}/end/", 404)
    get(stranger, NEW, 404)


def standing_move(house: House) -> YardMove:
    build.hold(house.vehicle, house.driver.person, house.now)
    return build.yard_move(house.vehicle, house.technician.person, house.now)
