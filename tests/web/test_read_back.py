"""Figures read back beside their fields, and joints that tell what they would be recorded as."""

from typing import Any

import pytest

from fleet.records.models import Finding, Inspection, Vehicle
from tests import build, people
from tests.operations.conftest import House
from tests.web.conftest import Get, Send
from tests.web.test_inspection import NEW, at, sheet


def ask(joint: Any) -> str:
    return f"{NEW}foretell/{joint}/"


def told(get: Get, house: House, typed: dict[str, Any], **sheet_says: Any) -> str:
    joint = next(iter(typed)).partition("-")[0][1:]
    text: str = get(house.technician.person, ask(joint), **typed, **sheet_says).text
    return " ".join(text.split())


def test_play_is_told_with_its_reading_its_line_and_what_it_will_do(get: Get, house: House) -> None:
    Vehicle.objects.update(gross_weight_kg=4_000)
    text = told(get, house, at(house, "tie_rod_end", "left", code="play", play="1/8"))
    assert "Understood as 1/8 in, 3.2 mm." in text
    assert "Inside the line, but play: plan the part." in text
    assert "Line 1/4 in, 49 CFR 570.7(b)." in text
    assert "A legal line is not a service limit." in text
    assert "Recorded so, it goes on the ticket." in text
    text = told(get, house, at(house, "tie_rod_end", "left", code="play", play="5/16"))
    assert "Past the line." in text
    assert "Recorded so, it holds the vehicle." in text


def test_a_ball_joint_and_a_bearing_have_no_general_figure(get: Get, house: House) -> None:
    for kind in ("ball_joint_lower", "unit_bearing"):
        text = told(get, house, at(house, kind, "left", code="play", play="0.03"))
        assert "No general figure: the maker&#x27;s limit, or a person decides." in text
        assert "Recorded so, it holds the vehicle." in text


def test_no_answer_ever_calls_a_joint_good(get: Get, house: House) -> None:
    for play in ("", "1/64", "1/8", "2"):
        for kind, side in (("tie_rod_end", "left"), ("gear_lash", ""), ("damper_link_end", "")):
            text = told(get, house, at(house, kind, side, code="play", play=play)).lower()
            assert "good" not in text
            assert "recorded so" in text


def test_a_rim_that_is_not_on_file_is_said(get: Get, house: House) -> None:
    Vehicle.objects.update(gross_weight_kg=6_000, wheel_diameter_m=None)
    text = told(get, house, at(house, "tie_rod_end", "left", code="play", play="5/16"))
    assert "The rim diameter is not on file: the lowest line stands." in text


def test_what_can_t_be_read_is_told_with_an_example_and_no_verdict(get: Get, house: House) -> None:
    text = told(get, house, at(house, code="play", play="465/16"))
    assert "Type it like this" in text
    assert "Recorded so" not in text


def test_a_torque_is_read_back_against_the_figure_on_file(get: Get, house: House) -> None:
    tool = str(house.tool.pk)
    text = told(get, house, at(house, code="tight", torque="125"), tool=tool)
    assert "Understood as 125 lbf·ft, 169.5 N·m." in text
    assert "Within the figure" in text
    assert "115 lbf·ft – 135 lbf·ft, Foothill service manual, invented." in text
    text = told(get, house, at(house, code="tight", torque="100"), tool=tool)
    assert "Below the low side" in text
    assert "pull it at its figure" in text


def test_a_joint_left_blank_or_found_sound_has_nothing_to_tell(get: Get, house: House) -> None:
    assert told(get, house, at(house, code="")) == ""
    assert told(get, house, at(house, code="no_play", method="dry_steer")) == ""


def test_it_is_for_those_who_inspect_on_their_own_yards_joints(get: Get, house: House) -> None:
    joint = house.joint().pk
    get(house.driver.person, ask(joint), 403)
    get(people.stranger(build.yard("Mesa Tank")), ask(joint), 404)
    get(house.technician.person, ask("9" * 30), 404)
    other = build.joint(build.vehicle(house.yard), "track_bar_frame_end")
    get(house.technician.person, ask(other.pk), 404)


def test_without_scripts_a_sheet_shown_again_tells_the_same(send: Send, house: House) -> None:
    play = at(house, "tie_rod_end", "left", code="play", play="1/8")
    page = send(house.technician.person, NEW, 400, **sheet(house, play))
    assert "Understood as 1/8 in, 3.2 mm." in page.text
    assert "Recorded so, it goes on the ticket." in page.text
    assert page.text.count("Recorded so") == 1
    assert not Inspection.objects.exists()


def test_what_was_told_is_what_the_finding_then_says(send: Send, get: Get, house: House) -> None:
    play = at(house, "tie_rod_end", "left", code="play", method="dry_steer", play="8 mm")
    text = told(get, house, play)
    send(house.technician.person, NEW, **sheet(house, play))
    found = Finding.objects.get()
    assert str(found.get_answer_display()) in text.lower()
    assert {"hold": "it holds the vehicle", "line": "on the ticket"}[found.response] in text


READ = "/understood/"


def test_a_figure_is_read_back_in_the_readers_other_unit(get: Get, house: House) -> None:
    text = get(house.driver.person, READ, kind="length", text="46 5/16", unit="in").text
    assert text == "Understood as 46 5/16 in, 1176.3 mm."
    assert get(house.driver.person, READ, kind="torque", text=" ").text == ""
    text = get(house.driver.person, READ, kind="torque", text="<b>").text
    assert "Type it like this" in text
    assert "<b>" not in text


@pytest.mark.parametrize(
    ("path", "count"),
    [
        ("/vehicles/A-101/change/", 7),  # VIN, rim, offset, steering wheel, lift, two links
        ("/specs/new/", 2),
        ("/tools/new/", 3),  # range from and to, length
    ],
)
def test_every_figure_field_has_a_place_to_be_read_back(
    get: Get, house: House, path: str, count: int
) -> None:
    text = get(house.manager.person, path).text
    assert text.count('data-understood="/understood/" aria-live="polite"') == count
    assert text.count(" data-kind=") == count
    assert "web/read_back" in text


def test_every_length_torque_and_pressure_of_a_ticket_line_is_read_back(
    get: Get, house: House
) -> None:
    ticket = house.ticket(("replace_track_bar", "track_bar_frame_end"))
    line = house.line(ticket, "replace_track_bar")
    page = get(house.technician.person, f"/tickets/{ticket.pk}/lines/{line.pk}/")
    kinds = [f["type"] for f in page.context["form"].asked_fields]
    figures = [kind for kind in kinds if kind in ("length", "torque", "pressure")]
    assert page.text.count("data-understood") == len(figures) > 2


def test_without_scripts_a_form_shown_again_reads_back_what_could_be_read(
    send: Send, house: House
) -> None:
    typed = {"low": "115 lbf·ft", "high": "a lot", "origin": "factory"}
    page = send(house.manager.person, "/specs/new/", 400, **typed)
    assert "Understood as 115 lbf·ft, 155.9 N·m." in page.text
