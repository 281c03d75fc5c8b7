"""The inspection sheet at the tablet: by taps, with the network off."""

import re
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from fleet.operations import specs
from fleet.reads.triage import order_of_looking
from fleet.records.models import Finding, Hold, Inspection, TorqueReading
from tests import build
from tests.browser.bay_hands import heading, open_by_pin, to
from tests.browser.bay_taps import DAMPER, FRAME, arrives, conditions, row, said, sheet, tablet, tap
from tests.browser.conftest import Visit
from tests.browser.hands import press
from tests.browser.test_accessible import WIDER, violations
from tests.operations.conftest import START, House, a_spec
from tests.support.wire import Wire

# What it shows hangs on no rule of the database.
pytestmark = pytest.mark.sqlite

SMALL = """least => [...document.querySelectorAll(
  'main button, main a, main summary, main select, main label:has(input)')]
  .filter(one => one.checkVisibility() && !one.closest('svg'))
  .map(one => [one.textContent.trim().slice(0, 40), one.getBoundingClientRect().height])
  .filter(([, height]) => height < least)"""


def test_one_tap_for_no_play_two_for_the_rest_and_a_hold_is_said_at_once(
    house: House, visit: Visit, wire: Wire
) -> None:
    page = tablet(house, visit, wire)
    sheet(page, house)
    conditions(page)
    tap(page, "Begin with the joints")
    tap(row(page, DAMPER), "No play (dry steer)")
    expect(said(page, DAMPER)).to_contain_text("Recorded so, it is noted.")
    tap(row(page, FRAME), "Something else")
    tap(row(page, FRAME), "Play")
    expect(said(page, FRAME)).to_contain_text(
        "it holds the vehicle. Track bar, frame end: any play"
    )
    tap(row(page, FRAME), "3/16")
    expect(said(page, FRAME)).to_contain_text("3/16 in (4.8 mm)")
    expect(page.locator(".sheet-state")).to_contain_text("2 of")
    press(page, "Record the sheet")
    heading(page, house.vehicle.unit_number)
    expect(page.get_by_role("main")).to_contain_text("Held. It must not go out.")
    assert Inspection.objects.count() == 0
    wire.mend()
    arrives(page)
    made = {one.joint.kind.code: one for one in Finding.objects.select_related("joint__kind")}
    assert {kind: one.code for kind, one in made.items()} == {
        "damper_link_end": "no_play", "track_bar_frame_end": "play",
    }  # fmt: skip
    assert made["track_bar_frame_end"].play_typed == "3/16 in"
    assert Inspection.objects.get().at_wheel == "a helper"
    assert Hold.objects.get().finding == made["track_bar_frame_end"]


def test_tight_is_one_tap_once_the_wrench_and_its_figure_were_confirmed(
    house: House, visit: Visit, wire: Wire
) -> None:
    page = tablet(house, visit, wire)
    sheet(page, house)
    page.get_by_label("Torque tool").first.select_option("TW-1")
    wrench = page.get_by_label(re.compile("^Wrench set to, for 115"))
    wrench.fill("100")
    tap(page, "Confirm")
    expect(page.get_by_text("Below the low side of 115")).to_be_visible()
    tap(row(page, FRAME), "Tight")
    expect(said(page, FRAME)).to_contain_text("Give the figure the wrench was set to.")
    tap(page, "Undo")
    wrench.fill("125")
    tap(page, "Confirm")
    tap(row(page, FRAME), "Tight at 125 (TW-1)")
    expect(said(page, FRAME)).to_contain_text("125 lbf·ft (169.5 N·m) within the figure")
    press(page, "Record the sheet")
    heading(page, house.vehicle.unit_number)
    wire.mend()
    arrives(page)
    torque = TorqueReading.objects.get(finding=Finding.objects.get())
    assert (torque.typed, torque.tool.code, torque.band) == ("125", "TW-1", "inside")


def test_the_order_of_looking_is_the_servers_with_what_this_fleet_found(
    house: House, visit: Visit, wire: Wire
) -> None:
    by = house.technician.person
    for _ in range(2):
        felt = build.complaint(house.vehicle, by)
        job = build.ticket(house.vehicle, by, complaint=felt, state="closed",
                           closed_at=build.NOW, closed_by=by)  # fmt: skip
        build.line(job, house.joint("track_bar_axle_end"), action="outside_shop", state="closed")
    felt = build.complaint(house.vehicle, by)
    build.hold(house.vehicle, by, reason=Hold.Reason.COMPLAINT, complaint=felt)
    page = tablet(house, visit, wire)
    to(page, "vehicle", house.vehicle.unit_number, f"sheet?complaint={felt.pk}")
    groups = page.locator(".sheet-group")
    order = order_of_looking(felt)
    expect(groups).to_have_count(len(order.steps) + bool(order.rest))
    for place, step in enumerate(order.steps):
        expect(groups.nth(place).locator(".look")).to_have_count(len(step.joints))
    axle = groups.filter(has_text="Track bar, axle end").first
    expect(axle).to_contain_text("Found behind 2 closed tickets of like complaints.")
    expect(groups.nth(2)).to_contain_text("Track bar, axle end")


def test_not_reached_wants_a_reason_and_an_unfinished_sheet_is_kept(
    house: House, visit: Visit, wire: Wire
) -> None:
    page = tablet(house, visit, wire)
    sheet(page, house)
    conditions(page)
    tap(row(page, FRAME), "Something else")
    tap(row(page, FRAME), "Not reached")
    press(page, "Record the sheet")
    expect(page.get_by_role("alert")).to_contain_text("Say why it was not reached.")
    page.reload()
    open_by_pin(page, house.technician.person)
    heading(page, "Inspection")
    expect(page.get_by_label("Who holds the wheel")).to_have_value("a helper")
    tap(row(page, FRAME), "Change it")
    tap(row(page, FRAME), "packed with mud or ice")
    press(page, "Record the sheet")
    heading(page, house.vehicle.unit_number)
    wire.mend()
    arrives(page)
    assert Finding.objects.get().reason == "packed with mud or ice"


def test_what_was_tapped_can_be_taken_back(house: House, visit: Visit, wire: Wire) -> None:
    page = tablet(house, visit, wire)
    sheet(page, house)
    conditions(page)
    tap(row(page, DAMPER), "No play (dry steer)")
    tap(page, "Undo")
    expect(said(page, DAMPER)).to_be_empty()
    expect(page.locator(".sheet-state")).to_contain_text("0 of")
    press(page, "Record the sheet")
    expect(page.get_by_role("alert")).to_contain_text("Record at least one joint.")


@pytest.mark.parametrize(("width", "scheme"), [(320, "dark"), (390, "light"), (1280, "light")])
def test_sheet_and_line_bar_nobody_and_leave_room_for_a_glove(
    house: House, visit: Visit, wire: Wire, width: int, scheme: str
) -> None:
    specs.set_spec(house.manager, a_spec(house.design, "damper_link_end"), at=START)
    ticket = house.ticket(("retorque", "track_bar_frame_end"), ("set_toe", None))
    page = tablet(house, visit, wire, viewport={"width": width, "height": 800}, color_scheme=scheme)
    sheet(page, house)
    tap(row(page, FRAME), "Something else")
    tap(row(page, FRAME), "Play")
    page.get_by_label("Torque tool").first.select_option("TW-1")
    wrong = {"sheet": looked_at(page)}
    on_ticket = ("vehicle", house.vehicle.unit_number, "ticket", str(ticket.pk))
    to(page, *on_ticket)
    heading(page, "Ticket")
    wrong["ticket"] = looked_at(page)
    page.get_by_role("link", name="Record it").first.click()
    heading(page, "Retorque")
    wrong["line"] = looked_at(page)
    to(page, *on_ticket, "check")
    heading(page, "Second check")
    wrong["check"] = looked_at(page)
    to(page, "vehicle", house.vehicle.unit_number, "drawing")
    heading(page, "Front end")
    wrong["drawing"] = looked_at(page)
    assert {name: found for name, found in wrong.items() if found} == {}


def looked_at(page: Page) -> list[Any]:
    wider = page.evaluate(WIDER)
    return [*violations(page), *page.evaluate(SMALL, 59.5), *([wider] if wider > 0 else [])]
