"""The routine that an interval is compared with: of the weight class, where that governs."""

from typing import Any

from fleet.operations.rule_change import change_rule
from fleet.operations.rule_data import NewRule
from fleet.operations.rule_figures import Step
from fleet.reads.intervals.cells import cell_of
from fleet.reads.intervals.page import interval_story
from fleet.reads.intervals.today import Today, rules_now
from fleet.records.models import Recheck, Vehicle
from tests import build
from tests.held import MILE
from tests.operations.conftest import RETORQUE, House
from tests.operations.test_intervals import LINK, accept, proposal

HEAVY = NewRule("routine", "gravel-heavy", (Step("3,000 mi", "90", "100"),), reason="Heavier")
HEAVY_KG = 12_000


def weighs(house: House, kg: int) -> None:
    Vehicle.objects.filter(pk=house.vehicle.pk).update(gross_weight_kg=kg)
    house.vehicle.refresh_from_db()


def rule_of_heavy(house: House) -> None:
    change_rule(house.manager, HEAVY, at=house.now, expected_version=0)


def compared(house: House, row: Any) -> tuple[str, float]:
    today = rules_now().today(cell_of(row))
    assert isinstance(today, Today)
    return today.said["routine"], today.value


def made(house: House) -> list[float]:
    """Miles of the rechecks at the link itself, after it was tightened."""
    ticket = house.ticket()
    house.record(house.add_line(ticket, "retorque", LINK, "left"), RETORQUE)
    house.close(ticket)
    rows = Recheck.objects.filter(joint__kind__code=LINK, ladder="interval", state="owed")
    return [round(((row.due_use_si or 0) - (row.start_use_si or 0)) / MILE) for row in rows]


def test_it_is_the_rule_of_the_class_where_one_governs(house: House) -> None:
    row = proposal(house, LINK, offered=3500)
    before = compared(house, row)
    assert before[0] == "gravel"
    weighs(house, HEAVY_KG)
    rule_of_heavy(house)
    assert compared(house, row) == ("gravel-heavy", 3000)
    assert "26,001 lb" in interval_story(row, "us").rule


def test_a_class_without_a_rule_goes_by_its_duty(house: House) -> None:
    row = proposal(house, LINK, offered=3500)
    before = compared(house, row)
    weighs(house, 4_000)
    rule_of_heavy(house)
    assert compared(house, row) == before
    back = NewRule("routine", "gravel-heavy", reason="Not needed", take_back=True)
    weighs(house, HEAVY_KG)
    change_rule(house.manager, back, at=house.now)
    assert compared(house, row) == before


def test_of_several_classes_the_one_that_looks_soonest(house: House) -> None:
    row = proposal(house, LINK, offered=3500)
    rule_of_heavy(house)
    other = build.vehicle(house.yard, "B-9", design=house.vehicle.design, duty="gravel")
    Vehicle.objects.filter(pk=other.pk).update(gross_weight_kg=HEAVY_KG)
    assert compared(house, row) == ("gravel-heavy", 3000)
    # One that was sold looks at nothing.
    Vehicle.objects.filter(pk=other.pk).update(status="out")
    assert compared(house, row)[0] == "gravel"


def test_accepted_it_makes_a_recheck_only_where_it_is_shorter_than_that_vehicle_has(
    house: House,
) -> None:
    rule_of_heavy(house)
    accept(house, proposal(house, LINK, offered=3500))
    assert made(house) == [3500]
    Recheck.objects.filter(ladder="interval").update(state="dropped")
    weighs(house, HEAVY_KG)
    assert made(house) == []
