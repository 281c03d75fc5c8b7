"""The joint's mark on the screens: before the words of states and findings, skipped by a screen
reader where they say the same, in the accent only where somebody must act."""

import re
from datetime import timedelta

import pytest

from fleet.operations.holds import place_hold
from fleet.pictures.mark import mark_svg
from fleet.records.models import Person, Yard
from fleet.web.templatetags.marks import WORD_JOINER
from tests import build
from tests.build import NOW
from tests.operations.conftest import TRACK_BAR, House
from tests.web.conftest import Get

FRAME_END = "Track bar, frame end"


def small(shape: str, words: str, act: bool = False) -> str:
    """A small mark with the words that follow it."""
    return f"{mark_svg(shape, size=16, act=act)}{WORD_JOINER}{words}"


def row_of(page: str, words: str) -> str:
    """The table row that holds these words."""
    rows: list[str] = re.findall(r"<tr.*?</tr>", page, re.DOTALL)
    return next(row for row in rows if words in row)


@pytest.fixture
def held(house: House) -> House:
    """One end cracked, which holds; the other moved 15°, which is noted."""
    house.moved("track_bar_axle_end")
    house.inspect(house.look("track_bar_frame_end", "cracked", method="look"))
    return house


def page_of(get: Get, house: House, path: str) -> str:
    return str(get(house.manager.person, path).text)


def test_what_is_owed_shows_its_joints_state_and_how_much_of_the_interval_is_used(
    get: Get, manager: Person, alder: Yard
) -> None:
    truck = build.vehicle(alder, "AB-1")
    on = build.joint(truck)
    build.state(on, mark="play")
    build.recheck(truck, on, started_at=NOW - timedelta(days=30), due_in=10)
    build.recheck(truck, kind="routine", ladder="routine", due_in=20)
    page = get(manager, "/due/").text
    row = row_of(page, FRAME_END)
    assert mark_svg("play", 0.75, label="play") in row
    assert "75%" in row
    assert "<svg" not in row_of(page, "whole front end")


def test_a_joint_that_nobody_looked_at_is_an_empty_ring_on_the_due_list(
    get: Get, manager: Person, alder: Yard
) -> None:
    truck = build.vehicle(alder, "AB-1")
    build.recheck(truck, build.joint(truck))
    row = row_of(get(manager, "/due/").text, FRAME_END)
    assert 'aria-label="never looked at"' in row


def test_a_joint_taken_apart_says_so_in_words_on_the_due_list(
    get: Get, manager: Person, alder: Yard
) -> None:
    truck = build.vehicle(alder, "AB-1")
    on = build.joint(truck)
    on.fitted = "apart"
    on.save()
    build.recheck(truck, on)
    row = row_of(get(manager, "/due/").text, FRAME_END)
    assert f'<span class="act">{on.get_fitted_display()}</span>' in row
    assert "aria-label" not in row.split("</svg>")[0]


def test_a_sheet_s_findings_have_their_marks(get: Get, held: House) -> None:
    noted, holds = (
        page_of(get, held, f"/inspections/{sheet.pk}/")
        for sheet in held.vehicle.inspections.order_by("pk")
    )
    assert small("moved", "Moved") in noted
    assert small("bad", "Cracked", act=True) in holds


def test_a_joints_findings_have_their_marks_without_the_accent(get: Get, held: House) -> None:
    path = f"/vehicles/A-101/joints/{held.joint('track_bar_axle_end').pk}/"
    assert small("moved", "moved") in page_of(get, held, path)


def test_what_holds_a_vehicle_has_the_mark_of_what_was_found(get: Get, held: House) -> None:
    told = small("bad", f"{FRAME_END}: cracked", act=True)
    for path in ("/", "/vehicles/A-101/"):
        assert told in page_of(get, held, path), path


def test_the_timeline_marks_the_worst_of_each_kind(get: Get, house: House) -> None:
    house.inspect(
        house.look("track_bar_frame_end", "play", method="dry_steer"),
        house.look("track_bar_axle_end", "moved", method="wrench", degrees="5",
                   torque="125 lbf·ft", tool_id=house.tool.pk),
        house.look("drag_link_knuckle_end", "worn_out", method="dry_steer"),
        house.look("drag_link_frame_end", "not_reached", reason="skid plate"),
    )  # fmt: skip
    page = page_of(get, house, "/vehicles/A-101/")
    assert small("play", "2 loose") in page
    assert small("bad", "1 worn, cracked, bent or broken") in page
    assert small("unknown", "1 not reached") in page


def test_a_line_s_finding_and_how_the_joint_was_found_have_their_marks(
    get: Get, held: House
) -> None:
    ticket = held.vehicle.tickets.get()
    held.record(held.line(ticket, "replace_track_bar"), TRACK_BAR)
    page = page_of(get, held, f"/tickets/{ticket.pk}/")
    assert f"From a finding: {small('bad', 'cracked')}" in page
    assert small("play", "Play") in page


def test_a_patterns_evidence_has_the_marks_of_its_findings(
    get: Get, manager: Person, alder: Yard
) -> None:
    truck = build.vehicle(alder, "AB-1")
    on = build.joint(truck)
    found = [build.finding(on, manager, code) for code in ("moved", "play")]
    pattern = build.pattern(on, found, evidence={"findings": [one.pk for one in found]})
    page = get(manager, f"/patterns/{pattern.uid}/").text
    for code in ("moved", "play"):
        assert f"Found: {small(code, code)}" in page


def test_reports_mark_the_worst_joint_and_the_columns_that_count_finds(
    get: Get, held: House
) -> None:
    fleet = page_of(get, held, "/reports/fleet/")
    assert small("bad", "Worn out, cracked, bent, broken or missing", act=True) in fleet
    build.part(held.joint(), held.manager.person, held.now)
    heads = page_of(get, held, "/reports/parts/").split("</thead>")[0]
    assert small("moved", "Found moved") in heads
    both = f"{small('bad', '')}{small('play', 'Found worn or with play')}"
    assert both in heads


def test_words_that_were_typed_stay_words(get: Get, house: House) -> None:
    place_hold(house.driver, house.vehicle.pk, "<b>bent</b>", at=house.now)
    page = page_of(get, house, "/vehicles/A-101/")
    assert "&lt;b&gt;bent&lt;/b&gt;" in page
    assert "<b>bent" not in page
