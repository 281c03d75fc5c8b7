"""A torque tool's uses on other work: they count, they are corrected by a later fact, and what
was said before stays."""

from datetime import date, timedelta
from typing import Any

import pytest

from fleet.operations import tool_uses, tools
from fleet.operations.errors import NotAllowed, NotThere
from fleet.operations.tool_uses import NewUse
from fleet.reads.tools import tool_rows, with_uses
from fleet.records.models import ToolUse, TorqueTool, TrailEntry
from tests import build
from tests.operations.conftest import House
from tests.operations.tables import refusal

# ISO 6789-1:2017 as read on toolmakers' pages (sources.md): 5,000 cycles or 12 months.
ISO_USES = 5_000


def used(house: House, n: int, *, on: date | None = None, reason: str = "") -> ToolUse:
    new = NewUse(house.tool.pk, n, on or house.now.date(), reason)
    return tool_uses.record_tool_use(house.manager, new, at=house.now).row


def correct(house: House, use: ToolUse, n: int, reason: str = "misread") -> ToolUse:
    return tool_uses.correct_tool_use(house.manager, use.pk, n, reason, at=house.now).row


def uses(house: House) -> Any:
    [row] = with_uses(TorqueTool.objects.filter(pk=house.tool.pk)).select_related("yard")
    return tool_rows([row], house.now)[0]


def test_they_count_to_the_uses_of_the_calibration(house: House) -> None:
    house.later(days=1)
    before = uses(house).uses
    used(house, 40, reason="hay trailers")
    used(house, 2)
    assert uses(house).uses == before + 42
    entry = TrailEntry.objects.filter(verb="record_tool_use").earliest("pk")
    assert (entry.after["uses"], entry.after["tool"], entry.reason) == (
        40, house.tool.code, "hay trailers"
    )  # fmt: skip


def test_at_five_thousand_its_uses_are_up_and_its_readings_no_evidence(house: House) -> None:
    house.later(days=1)
    used(house, ISO_USES - 1)
    assert (uses(house).standing, tools.doubt(_fresh(house), house.now)) == ("soon", None)
    used(house, 1)
    problem = tools.doubt(_fresh(house), house.now)
    assert (uses(house).standing, problem and problem.code) == ("out", "tool_uses_up")


def _fresh(house: House) -> TorqueTool:
    return TorqueTool.objects.select_related("yard").get(pk=house.tool.pk)


def test_a_calibration_begins_anew_and_what_came_before_it_counts_no_more(house: House) -> None:
    house.later(days=1)
    used(house, 3000)
    house.later(days=1)
    tools.calibrate(house.manager, house.tool.pk, "C-9", passed=True, on=house.now.date(),
                    at=house.now)  # fmt: skip
    assert uses(house).uses == 0
    house.later(hours=1)
    used(house, 10, on=house.now.date() - timedelta(days=1))
    assert uses(house).uses == 0
    # Of the day itself: taken as made after it.
    used(house, 10)
    assert uses(house).uses == 10


def test_a_correction_counts_in_its_place_and_both_stay_on_file(house: House) -> None:
    house.later(days=1)
    before = uses(house).uses
    wrong = used(house, 400)
    right = correct(house, wrong, 40)
    assert (uses(house).uses, right.corrects, right.occurred_at) == (
        before + 40, wrong, wrong.occurred_at
    )  # fmt: skip
    wrong.refresh_from_db()
    assert wrong.uses == 400
    entry = TrailEntry.objects.get(verb="correct_tool_use")
    assert (entry.before["uses"], entry.after["uses"], entry.reason) == (400, 40, "misread")
    correct(house, right, 0, "another wrench after all")
    assert uses(house).uses == before


def test_what_makes_no_sense_is_refused(house: House) -> None:
    tomorrow = house.now.date() + timedelta(days=2)
    use = used(house, 5)
    correct(house, use, 4)
    assert refusal(lambda: used(house, 0)) == {("uses_wrong", "uses")}
    assert refusal(lambda: used(house, 100_001)) == {("uses_wrong", "uses")}
    assert refusal(lambda: used(house, 5, on=tomorrow)) == {("in_the_future", "on")}
    assert refusal(lambda: correct(house, use, 3)) == {("corrected_already", "")}
    last = ToolUse.objects.get(corrects=use)
    assert refusal(lambda: correct(house, last, 3, " ")) == {("reason_missing", "reason")}


def test_only_who_may_calibrate_and_only_at_a_yard_of_theirs(house: House) -> None:
    new = NewUse(house.tool.pk, 5, house.now.date())
    with pytest.raises(NotAllowed):
        tool_uses.record_tool_use(house.technician, new, at=house.now)
    far = build.tool(build.yard("Cold Spring"))
    elsewhere = NewUse(far.pk, 5, house.now.date())
    mine_only = house.manager
    mine_only.person.all_yards = False
    with pytest.raises(NotThere):
        tool_uses.record_tool_use(mine_only, elsewhere, at=house.now)
