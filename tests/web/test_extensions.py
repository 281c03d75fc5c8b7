"""An extension on the wrench: where it is typed, and where the torque at the bolt is read."""

import pytest

from fleet.operations import tools
from fleet.records.models import TorqueReading, TorqueTool
from tests.operations.conftest import RETORQUE, START, House
from tests.web.conftest import Get, Send
from tests.web.test_inspection import NEW, at, sheet

FRAME = "track_bar_frame_end"
TOLD = "with 3 in extension: 126 lbf·ft at the bolt"


@pytest.fixture
def measured(house: House) -> House:
    tools.set_lever(house.manager, house.tool.pk, "18 in", at=START)
    return house


def test_a_manager_puts_a_tool_s_length_on_file(send: Send, get: Get, house: House) -> None:
    path = f"/tools/{house.tool.pk}/length/"
    page = send(house.manager.person, path, 400, lever="18 ft")
    assert list(page.context["form"].errors) == ["lever"]
    assert 'value="18 ft"' in page.content.decode()
    send(house.manager.person, path, lever="18 in")
    assert "18 in drive to grip" in get(house.manager.person, "/specs/").text
    get(house.technician.person, path, 403)


def test_a_new_tool_s_length_that_can_t_be_read_stands_beside_its_field(
    send: Send, house: House
) -> None:
    typed = {"code": "TW-5", "name": "3/8 in click", "kind": "set", "yard_id": str(house.yard.pk),
             "low_typed": "10 lbf·ft", "high_typed": "100 lbf·ft"}  # fmt: skip
    page = send(house.manager.person, "/tools/new/", 400, **typed, lever_typed="long")
    assert list(page.context["form"].errors) == ["lever_typed"]
    send(house.manager.person, "/tools/new/", **typed, lever_typed="14 in")
    assert TorqueTool.objects.get(code="TW-5").lever_m == pytest.approx(0.3556)


def test_a_line_takes_it_and_the_ticket_and_the_joint_say_what_came_to_the_bolt(
    send: Send, get: Get, measured: House
) -> None:
    ticket = measured.ticket(("retorque", FRAME))
    path = f"/tickets/{ticket.pk}/lines/{measured.line(ticket, 'retorque').pk}/"
    person = measured.technician.person
    assert "Extension on the wrench" in get(person, path).text
    said = {name: "on" if value is True else value for name, value in RETORQUE.items()}
    page = send(person, path, 400, **said | {"torque": "108 lbf·ft", "extension": "30 in"})
    assert list(page.context["form"].errors) == ["extension"]
    send(person, path, **said | {"torque": "108 lbf·ft", "extension": "3 in"})
    assert f"108 lbf·ft {TOLD}" in get(person, f"/tickets/{ticket.pk}/").text
    assert TOLD in get(person, f"/vehicles/A-101/joints/{measured.joint().pk}/").text


def test_a_look_takes_it_and_its_page_says_what_came_to_the_bolt(
    send: Send, get: Get, measured: House
) -> None:
    tight = at(measured, code="tight", torque="108 lbf·ft", extension="3 in")
    said = sheet(measured, tight, tool=str(measured.tool.pk))
    done = send(measured.technician.person, NEW, **said)
    assert TorqueReading.objects.get().extension_typed == "3 in"
    assert f"108 lbf·ft {TOLD}" in get(measured.technician.person, done.url).text


def test_without_the_tool_s_length_the_sheet_says_what_to_do_and_keeps_what_was_typed(
    send: Send, house: House
) -> None:
    tight = at(house, code="tight", torque="108 lbf·ft", extension="3 in")
    said = sheet(house, tight, tool=str(house.tool.pk))
    page = send(house.technician.person, NEW, 400, **said).content.decode()
    assert "Put the tool&#x27;s length on file, drive to grip, or take a straight socket." in page
    assert 'value="3 in"' in page
    assert '<details class="look-extension" open>' in page
