"""A torque tool's uses since its calibration: out at its number, as at its date.

5,000 uses or 12 months, whichever is first: ISO 6789's default (sources.md, as read on toolmaker
and test-lab pages).
"""

from datetime import timedelta

import pytest

from fleet.operations import tools
from fleet.reads.rules import rule
from fleet.reads.tools import tool_rows, tools_due, with_uses
from fleet.records.models import Rule, TorqueTool
from tests import build
from tests.operations.conftest import House


def uses(house: House, count: int, most: int) -> TorqueTool:
    Rule.objects.filter(kind="setting", key="tool_interval_uses").update(data={"value": most})
    for number in range(count):
        build.torque(house.joint(), house.technician.person, house.tool,
                     at=house.now + timedelta(minutes=number))  # fmt: skip
    return TorqueTool.objects.select_related("yard").get()


def test_as_delivered_it_is_good_for_5000_uses_or_a_year(house: House) -> None:
    assert rule("setting", "tool_interval_uses").data["value"] == 5_000
    assert rule("setting", "tool_interval_days").data["value"] == 365


@pytest.mark.parametrize(("count", "code"), [(2, None), (3, "tool_uses_up"), (4, "tool_uses_up")])
def test_at_its_number_it_is_believed_no_more(house: House, count: int, code: str | None) -> None:
    tool = uses(house, count, 3)
    found = tools.doubt(tool, house.now + timedelta(hours=1))
    assert (found.code if found else None) == code


def test_a_calibration_that_it_passes_begins_anew(house: House) -> None:
    uses(house, 3, 3)
    later = house.later(hours=2)
    tools.calibrate(house.manager, house.tool.pk, "C-2", passed=True, on=later.date(), at=later)
    tool = TorqueTool.objects.select_related("yard").get()
    [row] = tool_rows(with_uses(TorqueTool.objects.select_related("yard")), later)
    assert row.uses == 0
    assert tools.doubt(tool, later) is None


def test_compared_at_the_figure_it_is_lent_a_few_days(house: House) -> None:
    tool = uses(house, 3, 3)
    figure = 169.48
    tool.comparisons.create(
        beside=tool, figure_nm=figure, pulls_nm=[figure] * 3, worst_share=0.0, agrees=True,
        good_until=house.now.date() + timedelta(days=14), by=house.technician.person,
        occurred_at=house.now,
    )  # fmt: skip
    assert tools.doubt(tool, house.now + timedelta(hours=1), figure) is None


@pytest.mark.parametrize(("count", "said"), [(8, "good"), (9, "soon"), (10, "out")])
def test_near_its_number_it_is_told(house: House, count: int, said: str) -> None:
    uses(house, count, 10)
    [row] = tool_rows(with_uses(TorqueTool.objects.select_related("yard")), house.now, 14, 10)
    assert (row.standing, row.uses, row.used_up) == (said, count, said == "out")
    due = tools_due(TorqueTool.objects.all(), [house.yard], house.now, 14, 10)
    assert due.exists() == (said != "good")
