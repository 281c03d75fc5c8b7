"""An extension on the wrench, through the API: sent as typed, given back with its length."""

from typing import Any

import pytest

from fleet.records.models import Vehicle, Yard
from tests import build
from tests.api.conftest import Client, codes

pytestmark = pytest.mark.usefixtures("rules")


@pytest.fixture
def truck(alder: Yard) -> Vehicle:
    build.tool(alder, "T-1", lever_typed="18 in", lever_m=0.4572)
    build.tool(alder, "T-2")
    return build.vehicle(alder)


def look(truck: Vehicle, **said: Any) -> dict[str, Any]:
    found = {"joint": truck.joints.get(kind__code="track_bar_frame_end").pk, "code": "moved",
             "degrees": "5", "method": "wrench", "torque": "108 lbf·ft", "tool": "T-1",
             "extension": "3 in", **said}  # fmt: skip
    return {"vehicle": truck.unit_number, "kind": "retorque", "at_wheel": "a helper",
            "findings": [found]}  # fmt: skip


def test_a_look_gives_back_what_came_to_the_fastener(truck: Vehicle, technician: Client) -> None:
    answer = technician.post("inspections/", look(truck))
    assert answer.status_code == 201
    torque = answer.json()["findings"][0]["torque"]
    assert (torque["typed"], torque["extension_typed"]) == ("108 lbf·ft", "3 in")
    assert torque["extension_m"] == pytest.approx(0.0762)
    # 126 lbf·ft: 108 times 21 over 18.
    assert torque["torque_nm"] == pytest.approx(170.83306148975)


def test_a_tool_without_its_length_is_refused_beside_the_extension(
    truck: Vehicle, technician: Client
) -> None:
    answer = technician.post("inspections/", look(truck, tool="T-2"))
    assert (answer.status_code, codes(answer)) == (422, {"no_tool_length"})
    tools = {row["code"]: row for row in technician.get("tools/").json()["results"]}
    assert (tools["T-1"]["lever_typed"], tools["T-1"]["lever_m"]) == ("18 in", 0.4572)
    assert (tools["T-2"]["lever_typed"], tools["T-2"]["lever_m"]) == ("", None)


def test_a_line_gives_it_back_with_its_torques(truck: Vehicle, technician: Client) -> None:
    joint = truck.joints.get(kind__code="track_bar_frame_end")
    ticket = technician.post(
        "tickets/",
        {"vehicle": truck.unit_number, "title": "Loose",
         "lines": [{"action": "retorque", "joint": joint.pk}]},
    ).json()  # fmt: skip
    figures = {"torque": "108 lbf·ft", "tool": "T-1", "extension": "3", "turned": "no",
               "thread_condition": "dry"}  # fmt: skip
    path = f"lines/{ticket['lines'][0]['id']}/entries/"
    kept = technician.post(path, {"figures": figures}).json()
    assert kept["figures"]["extension"] == {
        "typed": "3", "si": pytest.approx(0.0762), "unit": "in",
    }  # fmt: skip
    assert kept["torques"][0]["torque_nm"] == pytest.approx(170.83306148975)


def test_a_look_is_foretold_with_what_comes_to_the_fastener(
    truck: Vehicle, technician: Client
) -> None:
    asked = look(truck)["findings"][0]
    joint = asked.pop("joint")
    said = technician.get(f"joints/{joint}/foretell/", asked).data
    assert said["torque_nm"] == pytest.approx(170.83306148975)
    assert said["extension_m"] == pytest.approx(0.0762)
