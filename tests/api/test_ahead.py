"""Told before anything is recorded: order of looking, a look foretold, a figure read back."""

from typing import Any

import pytest

from fleet.records.models import Joint, Person, Vehicle, Yard
from tests import build
from tests.api.conftest import Client, codes

pytestmark = pytest.mark.usefixtures("rules")


@pytest.fixture
def truck(alder: Yard) -> Vehicle:
    return build.vehicle(alder)


def test_the_order_of_looking_names_joints_shares_counts_and_reasons(
    truck: Vehicle, manager: Client, stranger: Client, driver: Client
) -> None:
    complaint = build.complaint(truck, manager.person)
    answer = manager.get(f"complaints/{complaint.pk}/order/")
    assert answer.status_code == 200
    steps = answer.data["steps"]
    named = [pk for step in steps for pk in step["joints"]] + answer.data["rest"]
    assert sorted(named) == sorted(truck.joints.values_list("pk", flat=True))
    assert sum(step["share"] for step in steps) == pytest.approx(1)
    assert answer.data["like"] == 0
    assert answer.data["basis"].endswith("common practice, no source")
    assert stranger.get(f"complaints/{complaint.pk}/order/").status_code == 404
    assert driver.get(f"complaints/{complaint.pk}/order/").status_code == 403


def ask(client: Client, joint: Joint, **said: Any) -> Any:
    return client.get(f"joints/{joint.pk}/foretell/", said)


def test_a_look_is_foretold_and_nothing_is_recorded(truck: Vehicle, technician: Client) -> None:
    joint = truck.joints.get(kind__code="track_bar_frame_end")
    said = ask(technician, joint, code="play", method="dry_steer", play="1/8 in").data
    assert (said["answer"], said["line"], said["response"]) == ("no_limit", None, "hold")
    assert said["play_m"] == 0.003175
    assert said["problems"] == []
    wrong = ask(technician, joint, code="play", method="dry_steer", play="a bit").data
    assert (wrong["answer"], wrong["response"]) == (None, None)
    assert [problem["code"] for problem in wrong["problems"]] == ["missing_number"]
    assert not joint.findings.exists()


def test_what_is_asked_wrongly_is_told(truck: Vehicle, technician: Client) -> None:
    joint = truck.joints.get(kind__code="track_bar_frame_end")
    assert ask(technician, joint).status_code == 400
    assert ask(technician, joint, code="play", colour="red").status_code == 400
    assert technician.get("understood/", {"kind": "length"}).status_code == 400


def test_a_figure_is_read_back_in_the_senders_other_unit(driver: Client) -> None:
    read = driver.get("understood/", {"kind": "length", "text": "46 5/16"}).data
    assert (read["reading"], read["other"], read["si"]) == ("46 5/16 in", "1176.3 mm", 1.1763375)
    Person.objects.filter(pk=driver.person.pk).update(units="metric")
    asked = {"kind": "torque", "text": "170", "unit": "N·m"}
    assert driver.get("understood/", asked).data["other"] == "125.4 lbf·ft"
    answer = driver.get("understood/", {"kind": "torque", "text": "tight"})
    assert (answer.status_code, codes(answer)) == (422, {"missing_number"})
