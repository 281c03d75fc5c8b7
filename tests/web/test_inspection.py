"""The inspection sheet: what is asked, what is refused beside its joint, what came of it."""

import re
from datetime import timedelta
from typing import Any

from fleet.records.models import Finding, Hold, Inspection, Recheck, Ticket
from tests import build, people
from tests.operations.conftest import TRACK_BAR, House, a_tool
from tests.web.conftest import Get, Send

NEW = "/vehicles/A-101/inspect/"


def at(house: House, kind: str = "track_bar_frame_end", side: str = "", **typed: Any) -> Any:
    """What is typed of one joint, by the names of its inputs."""
    prefix = f"j{house.joint(kind, side).pk}"
    return {f"{prefix}-{name}": value for name, value in typed.items()}


def sheet(house: House, *joints: dict[str, Any], **more: Any) -> dict[str, Any]:
    typed = {"kind": "routine", "at_wheel": "a helper", "on_wheels": "yes", **more}
    for joint in joints:
        typed |= joint
    return typed


def test_play_at_the_track_bar_holds_and_its_page_says_against_what_it_was_judged(
    send: Send, get: Get, house: House
) -> None:
    play = at(house, code="play", method="dry_steer", play="0.05 in")
    done = send(house.technician.person, NEW, **sheet(house, play))
    page = get(house.technician.person, done.url)
    row = page.context["story"].findings[0]
    assert row.finding.response == "hold"
    assert row.lines[0].action == "replace_track_bar"
    assert row.holds == [Hold.objects.get()]
    assert "No general figure: the maker&#x27;s limit, or a person decides" in page.text
    assert f"/tickets/{Ticket.objects.get().pk}/" in page.text


def test_play_past_the_legal_line_names_the_line_and_where_it_stands(
    send: Send, get: Get, house: House
) -> None:
    play = at(house, "tie_rod_at_drag_link", code="play", method="dry_steer", play="1/2 in")
    done = send(house.technician.person, NEW, **sheet(house, play))
    text = get(house.technician.person, done.url).text
    assert "Past the line" in text
    assert "line 0.250 in, 49 CFR 570.7(b)" in text
    assert "a legal line is not a service limit" in text


def test_a_joint_left_blank_is_not_recorded(send: Send, house: House) -> None:
    seen = at(house, code="no_play", method="dry_steer")
    send(house.technician.person, NEW, **sheet(house, seen))
    assert [f.joint for f in Finding.objects.all()] == [house.joint()]


def test_a_sheet_without_any_joint_is_refused(send: Send, house: House) -> None:
    page = send(house.technician.person, NEW, 400, **sheet(house))
    assert "Record at least one joint." in page.text


def test_tight_needs_no_word_on_how_and_takes_the_sheets_own_wrench(
    send: Send, house: House
) -> None:
    tight = at(house, code="tight", torque="125 lbf·ft")
    send(house.technician.person, NEW, **sheet(house, tight, tool=str(house.tool.pk)))
    found = Finding.objects.get()
    assert (found.method, found.torque.tool) == ("wrench", house.tool)


def test_another_wrench_may_be_named_at_a_joint_by_its_code(send: Send, house: House) -> None:
    a_tool(house.manager, house.yard, "TW-2")
    tight = at(house, code="tight", torque="125", tool="tw-2")
    send(house.technician.person, NEW, **sheet(house, tight, tool=str(house.tool.pk)))
    assert Finding.objects.get().torque.tool.code == "TW-2"


def test_every_refusal_stands_at_its_joint_and_nothing_typed_is_lost(
    send: Send, house: House
) -> None:
    bar = at(house, code="play", play="a bit", note="rust round the bolt")
    nuts = at(house, "wheel_nuts", "left", code="tight", tool="TW-9")
    page = send(house.technician.person, NEW, 400, **sheet(house, bar, nuts))
    wrong = {entry.joint: entry.errors for entry in page.context["form"].told}
    assert set(wrong[house.joint("wheel_nuts", "left")]) == {"tool"}
    assert "No torque tool “TW-9” is in use at this yard." in page.text
    assert 'value="rust round the bolt"' in page.text
    page = send(house.technician.person, NEW, 400, **sheet(house, bar))
    errors = page.context["form"].told[0].errors
    assert errors["method"] == ["Say how it was looked at."]
    assert "Type it like this" in errors["play"][0]
    assert f'<a href="#j{house.joint().pk}">Track bar, frame end</a>: Say how' in page.text
    assert not Inspection.objects.exists()


def test_a_dry_steer_takes_two(send: Send, house: House) -> None:
    seen = at(house, code="no_play", method="dry_steer")
    page = send(house.technician.person, NEW, 400, **sheet(house, seen, at_wheel=""))
    assert page.context["form"].errors["at_wheel"] == [
        "A dry steer takes two: say who held the wheel."
    ]


def test_a_sheet_has_no_button_that_says_all_tight(get: Get, house: House) -> None:
    text = get(house.technician.person, NEW).text
    assert "all tight" not in text.lower()
    assert len(re.findall('<fieldset class="look', text)) == house.vehicle.joints.count()


def test_the_caution_of_the_dry_steer_stands_on_the_sheet(get: Get, house: House) -> None:
    text = get(house.technician.person, NEW).text
    assert "brake set, wheels chocked, out of gear" in text
    assert "The vehicle maker's service information governs" in text


def test_the_joint_shows_its_figure_with_its_source(get: Get, house: House) -> None:
    text = get(house.technician.person, NEW).text
    assert "Figure 115 lbf·ft – 135 lbf·ft (Foothill service manual, invented)." in text


def test_a_complaint_puts_the_joints_in_its_order_of_looking_with_the_reason(
    get: Get, house: House
) -> None:
    complaint = build.complaint(house.vehicle, house.driver.person)
    page = get(house.technician.person, NEW, complaint=complaint.pk)
    sections = page.context["sections"]
    first = [section.entries[0].joint.kind.code for section in sections[:3]]
    assert first == ["wheel_nuts", "wheel_tyre", "track_bar_frame_end"]
    assert sections[2].reason == "The joint most often behind violent axle oscillation."
    assert page.context["form"].initial["kind"] == "complaint"
    everywhere = [entry.joint.pk for section in sections for entry in section.entries]
    assert sorted(everywhere) == sorted(joint.pk for joint in house.vehicle.joints.all())


def test_the_order_of_looking_stands_when_the_sheet_is_shown_again(
    send: Send, get: Get, house: House
) -> None:
    complaint = build.complaint(house.vehicle, house.driver.person, kind="pull")
    address = f"{NEW}?complaint={complaint.pk}"
    first = get(house.technician.person, NEW, complaint=complaint.pk).context["sections"]
    wrong = at(house, code="play", play="a bit")
    again = send(house.technician.person, address, 400, **sheet(house, wrong, kind="complaint"))
    sections = again.context["sections"]
    assert [(s.title, [e.joint for e in s.entries]) for s in sections] == [
        (s.title, [e.joint for e in s.entries]) for s in first
    ]
    assert sections[-1].title == "Then the rest, in walking order"
    rest = [entry.joint.order for entry in sections[-1].entries]
    assert rest == sorted(rest)


def test_what_was_found_before_stands_beside_its_reason(get: Get, house: House) -> None:
    over: dict[str, Any] = {
        "state": "closed", "closed_at": build.NOW, "closed_by": house.manager.person,
    }  # fmt: skip
    before = build.complaint(house.vehicle, house.driver.person)
    job = build.ticket(house.vehicle, house.technician.person, complaint=before, **over)
    build.line(job, house.joint("track_bar_axle_end"), action="replace_track_bar", state="closed")
    complaint = build.complaint(house.vehicle, house.driver.person)
    sections = get(house.technician.person, NEW, complaint=complaint.pk).context["sections"]
    codes = [section.entries[0].joint.kind.code for section in sections[:3]]
    assert codes == ["wheel_nuts", "wheel_tyre", "track_bar_axle_end"]
    assert "Found behind 1 of 1 like complaints." in sections[2].reason


def test_a_sheet_for_a_complaint_names_it(send: Send, house: House) -> None:
    complaint = build.complaint(house.vehicle, house.driver.person)
    seen = at(house, code="no_play", method="dry_steer")
    typed = sheet(house, seen, kind="complaint")
    send(house.technician.person, f"{NEW}?complaint={complaint.pk}", **typed)
    assert Inspection.objects.get().complaint == complaint


def test_a_recheck_puts_its_joint_first_and_folds_the_rest(get: Get, house: House) -> None:
    house.now -= timedelta(days=6)
    house.repair(("replace_track_bar", "track_bar_frame_end", TRACK_BAR))
    owed = Recheck.objects.get(joint=house.joint(), state="owed")
    page = get(house.technician.person, NEW, recheck=owed.pk)
    sections = page.context["sections"]
    assert [entry.joint for entry in sections[0].entries] == [house.joint()]
    assert house.joint("track_bar_axle_end") in [e.joint for e in sections[1].entries]
    assert sections[-1].folded
    assert page.context["form"].initial["kind"] == "retorque"
    assert "Owed: retorque" in page.text


def test_doing_the_recheck_pays_it_and_the_page_says_what_is_owed_next(
    send: Send, get: Get, house: House
) -> None:
    house.now -= timedelta(days=6)
    house.repair(("replace_track_bar", "track_bar_frame_end", TRACK_BAR))
    owed = Recheck.objects.get(joint=house.joint(), state="owed")
    tight = at(house, code="tight", torque="125 lbf·ft")
    typed = sheet(house, tight, kind="retorque", tool=str(house.tool.pk))
    done = send(house.technician.person, f"{NEW}?recheck={owed.pk}", **typed)
    text = get(house.technician.person, done.url).text
    assert "Paid: retorque." in text
    assert "Owed next: retorque," in text


def test_what_a_wrench_may_not_touch_offers_no_wrench(get: Get, house: House) -> None:
    lash = house.joint("gear_lash")
    text = get(house.technician.person, NEW).text
    assert f'name="j{lash.pk}-code" value="no_play"' in text
    assert f'name="j{lash.pk}-code" value="tight"' not in text
    assert f'name="j{lash.pk}-torque"' not in text


def test_a_driver_and_a_stranger_do_not_inspect(get: Get, house: House) -> None:
    get(house.driver.person, NEW, 403)
    get(people.stranger(build.yard("Mesa Tank")), NEW, 404)


def test_a_double_click_records_one_sheet(send: Send, house: House) -> None:
    seen = at(house, code="no_play", method="dry_steer")
    typed = sheet(house, seen, request_key="one")
    first = send(house.technician.person, NEW, **typed)
    assert send(house.technician.person, NEW, **typed).url == first.url
    assert Inspection.objects.count() == 1


def test_what_was_typed_for_another_finding_before_is_not_read(send: Send, house: House) -> None:
    """A finger changed its mind: the inputs that went with the first choice are out of sight."""
    tight = at(house, code="tight", method="dry_steer", play="0.1 in", degrees="x", torque="125")
    send(house.technician.person, NEW, **sheet(house, tight, tool=str(house.tool.pk)))
    found = Finding.objects.get()
    assert (found.method, found.play_typed, found.degrees) == ("wrench", "", None)
