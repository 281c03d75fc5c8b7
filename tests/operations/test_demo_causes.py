"""Patterns finds each cause that is planted in the whole demo, and clears the yard that has none.

The causes stand in fixtures/demo/truth.json. How often they would be found, whatever chance does:
`python -m tests.bench.demo_power`.
"""

from datetime import date

import pytest
from django.test import TestCase

from fleet.operations.demo import inputs, seed
from fleet.operations.demo.life import cause
from fleet.records.models import Pattern, TorqueTool, Vehicle, Yard
from tests.operations.test_demo import quiet

pytestmark = [pytest.mark.whole, pytest.mark.sqlite]

TODAY = date(2026, 11, 25)


class TheWholeDemo(TestCase):
    """Sixty trucks, four years."""

    @classmethod
    def setUpTestData(cls) -> None:
        seed.seed(TODAY, say=quiet)

    def pattern(self, clock: str, label: str, member: str) -> Pattern:
        return Pattern.objects.get(key=f"{clock}:{label}:{member}")

    def test_the_tool_that_reads_high(self) -> None:
        tool = TorqueTool.objects.get(code=cause("tool")["code"])
        found = self.pattern("tightness", "tool", str(tool.pk))
        assert found.statistic["ratio"] > 1.5
        assert found.action
        failed = tool.calibrations.get(passed=False)
        assert found.acted_at is not None
        assert found.acted_at > failed.occurred_at

    def test_the_lot_that_will_not_hold(self) -> None:
        part, lot = inputs.read("stories")["renewal"]["part"], cause("lot")["lot"]
        found = self.pattern("tightness", "lot", f"{part}|{lot}")
        assert found.state == Pattern.State.OPEN
        good = f"tightness:lot:{part}|K-2231"
        assert not Pattern.objects.filter(key=good).exists()

    def test_the_route_that_wears_ball_studs(self) -> None:
        one = Vehicle.objects.get(unit_number=cause("route")["units"][0])
        found = self.pattern("wear", "yard_duty", f"{one.yard_id}|{one.duty}")
        assert found.state == Pattern.State.LOOKED_AT

    def test_the_yard_that_misses_its_rechecks(self) -> None:
        late = Yard.objects.get(name=cause("late_yard")["yard"])
        assert self.pattern("missed", "yard", str(late.pk)).state == Pattern.State.OPEN

    def test_the_joints_with_an_oval_hole_came_loose_again(self) -> None:
        """One joint at four times its kind is no evidence; the working rule raises it."""
        rows = Pattern.objects.filter(
            kind="repeat_loosening", joint__kind__code=cause("oval")["joint"],
            vehicle__unit_number__in=cause("oval")["units"],
        )  # fmt: skip
        assert set(rows.values_list("vehicle__unit_number", flat=True)) == set(
            cause("oval")["units"]
        )

    def test_the_salt_yard_is_not_to_blame(self) -> None:
        salt = Yard.objects.get(name=cause("salt_yard")["yard"])
        rows = Pattern.objects.filter(statistic__label="yard", statistic__member=str(salt.pk))
        assert all(row.statistic["explained_by"] for row in rows)
