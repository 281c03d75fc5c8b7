"""Torque tools: in date, compared, dropped, failed, and believed or not."""

from datetime import date, timedelta
from typing import Any

import pytest

from fleet.operations import tools
from fleet.records.models import (
    Calibration,
    ToolComparison,
    TorqueTool,
)
from tests import build, people
from tests.operations.conftest import RETORQUE, START, House, a_tool
from tests.operations.tables import refusal, row_counts, undone

FRAME = "track_bar_frame_end"
DAMPER = "damper_link_end"


def lacks(house: House, joint: str, **typed: Any) -> set[tuple[str, str]]:
    """What the close of one retorque line names beside the steps still to take."""
    ticket = house.ticket(("retorque", joint))
    house.record(house.line(ticket, "retorque"), RETORQUE, **typed)
    steps = ("second_check_missing", "")
    try:
        return refusal(lambda: house.close(ticket)) - {steps}
    except pytest.fail.Exception:
        return set()


def an_old_tool(house: House) -> TorqueTool:
    return a_tool(house.manager, house.yard, "TW-9", good_until=date(2026, 4, 1))


def test_a_tool_out_of_date_is_refused_on_a_hold_joint_only(house: House) -> None:
    old = an_old_tool(house)
    with undone():
        assert lacks(house, FRAME, tool=old.code) == {("tool_out_of_date", "tool")}
    assert lacks(house, "sway_bar_mounts", tool=old.code) == set()


def test_the_last_day_of_a_calibration_still_counts_at_the_tool_s_yard(house: House) -> None:
    """Midnight in Denver is 06:00 UTC in summer."""
    until = date(2026, 9, 1)
    tool = a_tool(house.manager, house.yard, "TW-5", good_until=until)
    assert tools.doubt(tool, START.replace(day=2, hour=5, minute=59)) is None
    assert tools.doubt(tool, START.replace(day=2, hour=6, minute=0)) is not None


def compare(house: House, tool: TorqueTool, *pulls: str, figure: str = "125") -> ToolComparison:
    return tools.compare(
        house.technician, tool.pk, house.tool.pk, f"{figure} lbf·ft",
        tuple(f"{pull} lbf·ft" for pull in pulls), at=house.now,
    ).row  # fmt: skip


def test_three_pulls_within_4_percent_lend_it_14_days_of_trust(house: House) -> None:
    old = an_old_tool(house)
    row = compare(house, old, "125", "130", "120")  # 4 % of 125 is 5
    assert (row.agrees, row.good_until) == (True, date(2026, 9, 15))
    torque = 125 * 1.3558179483314
    assert tools.doubt(old, house.now, torque) is None
    assert tools.doubt(old, house.now + timedelta(days=14), torque) is None
    assert tools.doubt(old, house.now + timedelta(days=15), torque) is not None
    with undone():
        assert lacks(house, FRAME, tool=old.code) == set()


def test_the_trust_is_for_the_figure_that_was_compared(house: House) -> None:
    old = an_old_tool(house)
    compare(house, old, "50", "50", "50", figure="50")
    assert lacks(house, FRAME, tool=old.code) == {("tool_out_of_date", "tool")}


def test_pulls_further_apart_lend_nothing(house: House) -> None:
    old = an_old_tool(house)
    row = compare(house, old, "125", "130.1", "125")
    assert (row.agrees, row.good_until) == (False, None)
    assert lacks(house, FRAME, tool=old.code) == {("tool_out_of_date", "tool")}


def test_what_a_comparison_is_refused_for(house: House, subtests: pytest.Subtests) -> None:
    old, older = an_old_tool(house), a_tool(house.manager, house.yard, "TW-0", date(2026, 3, 2))
    before = row_counts()

    def beside(other: TorqueTool, *pulls: str) -> Any:
        return lambda: tools.compare(
            house.technician, old.pk, other.pk, "125 lbf·ft", pulls, at=house.now
        )

    cases = {
        "two pulls": (beside(house.tool, "125", "125"), ("pulls", "pulls")),
        "beside a tool out of date": (
            beside(older, "125", "125", "125"), ("tool_out_of_date", "beside")),
        "beside itself": (beside(old, "125", "125", "125"), ("same_tool", "beside")),
        "a pull that is none": (beside(house.tool, "125", "x", "125"), ("missing_number", "pulls")),
    }  # fmt: skip
    for name, (call, expected) in cases.items():
        with subtests.test(name):
            assert refusal(call) == {expected}
            assert row_counts() == before


def test_never_after_a_drop(house: House) -> None:
    old = an_old_tool(house)
    compare(house, old, "125", "125", "125")
    house.later(days=1)
    tools.report_mishap(house.technician, old.pk, "fell off the bench", at=house.now)
    old.refresh_from_db()
    house.later(hours=1)
    assert refusal(lambda: compare(house, old, "125", "125", "125")) == {("tool_doubted", "")}
    assert lacks(house, FRAME, tool=old.code) == {("tool_out_of_date", "tool")}


def test_a_drop_doubts_a_tool_that_is_in_date_until_it_is_calibrated(house: House) -> None:
    tools.report_mishap(house.technician, house.tool.pk, "fell", at=house.now)
    house.later(days=1)
    with undone():
        assert lacks(house, FRAME) == {("tool_out_of_date", "tool")}
    tools.calibrate(house.manager, house.tool.pk, "C-2", passed=True, on=house.now.date(),
                    at=house.now)  # fmt: skip
    house.later(hours=1)
    assert lacks(house, FRAME) == set()


def test_a_certificate_from_before_the_drop_ends_no_doubt(house: House) -> None:
    """Entered late, it says nothing of what befell the tool since."""
    tools.report_mishap(house.technician, house.tool.pk, "fell", at=house.now)
    house.later(days=2)
    tools.calibrate(house.manager, house.tool.pk, "C-0", passed=True, on=date(2026, 8, 1),
                    at=house.now)  # fmt: skip
    assert lacks(house, FRAME) == {("tool_out_of_date", "tool")}


def test_a_failed_calibration_takes_the_tool_out_of_belief(house: House) -> None:
    tools.calibrate(house.manager, house.tool.pk, "C-2", passed=False, on=house.now.date(),
                    at=house.now)  # fmt: skip
    house.tool.refresh_from_db()
    assert house.tool.good_until is None
    assert lacks(house, FRAME) == {("tool_out_of_date", "tool")}


def test_what_is_entered_late_is_judged_by_the_tool_as_it_was_then(house: House) -> None:
    old = an_old_tool(house)
    pulled = house.now
    house.later(days=5)
    tools.calibrate(house.manager, old.pk, "C-2", passed=True, on=house.now.date(), at=house.now)
    old.refresh_from_db()
    assert tools.doubt(old, house.now) is None
    late = tools.doubt(old, pulled)
    assert late is not None
    assert late.code == "tool_out_of_date"


def test_what_a_tool_is_refused_for(house: House, subtests: pytest.Subtests) -> None:
    other = build.yard("Birch")
    boss = type(house.manager)(people.person("Foreman", "manager", house.yard))
    good = ("TW-3", "half-inch", "set", "30 lbf·ft", "250 lbf·ft", house.yard.pk)
    before = row_counts()
    cases: dict[str, tuple[dict[int, Any], tuple[str, str]]] = {
        "a code that another has": ({0: "tw-1"}, ("code_taken", "code")),
        "no code": ({0: " "}, ("code_missing", "code")),
        "a long code": ({0: "T" * 21}, ("too_long", "code")),
        "no such kind": ({2: "laser"}, ("kind_unknown", "kind")),
        "a range that ends where it starts": ({4: "30 lbf·ft"}, ("high_below_low", "high")),
        "a range in no unit": ({3: "weak"}, ("missing_number", "low")),
        "another yard": ({5: other.pk}, ("yard_wrong", "yard")),
    }
    for name, (changed, expected) in cases.items():
        with subtests.test(name):
            given = tools.NewTool(*(changed.get(n, value) for n, value in enumerate(good)))
            assert refusal(tools.add_tool, boss, given, at=START) == {expected}
            assert row_counts() == before


def test_a_calibration_of_tomorrow_is_refused(house: House) -> None:
    tomorrow = house.now.date() + timedelta(days=1)
    given: dict[str, Any] = {"passed": True, "on": tomorrow, "at": house.now}
    named = refusal(tools.calibrate, house.manager, house.tool.pk, "C-2", **given)
    assert named == {("in_the_future", "on")}
    assert Calibration.objects.count() == 1


def test_a_tool_of_another_yard_proves_nothing_here(house: House) -> None:
    a_tool(house.manager, build.yard("Birch"), "TW-B")
    ticket = house.ticket(("retorque", FRAME))
    found = refusal(lambda: house.record(house.line(ticket, "retorque"), RETORQUE, tool="TW-B"))
    assert found == {("tool_unknown", "tool")}


def test_a_tool_that_does_not_reach_the_figure_is_refused(house: House) -> None:
    ticket = house.ticket(("retorque", FRAME))
    line = house.line(ticket, "retorque")
    assert refusal(lambda: house.record(line, RETORQUE, torque="260 lbf·ft")) == {
        ("tool_range", "tool")
    }
