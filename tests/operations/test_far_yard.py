"""A far yard's 60 days for the rack: three tape readings in spec, wheel centred, nothing bent."""

from datetime import timedelta
from typing import Any

import pytest

from fleet.records.models import Design, Layout, Recheck, Yard
from tests.operations.conftest import SET_TOE, House
from tests.operations.tables import refusal

FAR = {
    "toe_basis": "restored", "found_in_spec": True, "nothing_had_play": True,
    "nothing_bent": True, "found_rear": "46 1/4", "found_front": "46 3/16",
}  # fmt: skip


@pytest.mark.parametrize(
    ("far", "readings", "changed", "days"),
    [
        (True, 3, FAR, 60),
        (True, 2, FAR, 14),
        (False, 3, FAR, 14),
        # Nobody said that nothing is bent.
        (True, 3, {}, 14),
    ],
)
def test_a_far_yard_has_60_days_for_the_rack_on_three_tape_readings_in_spec(
    house: House, far: bool, readings: int, changed: dict[str, Any], days: int
) -> None:
    Yard.objects.update(far=far)
    ticket = house.ticket(("set_toe", None))
    for _reading in range(readings):
        house.record(house.line(ticket, "set_toe"), SET_TOE, **changed)
    house.check(ticket)
    house.test_drive(ticket)
    house.close(ticket)
    rack = Recheck.objects.get(kind="rack")
    assert rack.due_on == house.now.date() + timedelta(days=days)
    assert (rack.due_use_si is None) is (days == 60)


THREE = {
    "left_rear_2": "46 1/4", "left_front_2": "46 3/16", "left_rear_3": "46 1/4",
    "left_front_3": "46 1/8",
}  # fmt: skip
ONE_OUT = {**THREE, "left_front_3": "46 1/16"}
SPEC = {"all_straight": True}


@pytest.mark.parametrize(
    ("changed", "days"),
    [
        # By the specification, on one entry with three readings.
        ({**SPEC, **THREE}, 60),
        ({**SPEC, **ONE_OUT}, 14),
        (THREE, 14),
        ({**SPEC, "left_rear_2": "46 1/4", "left_front_2": "46 3/16"}, 14),
        # As restored, the same.
        ({**FAR, **THREE}, 60),
        # The specification as typed on the line governs, in a far yard too.
        ({**SPEC, **THREE, "toe_spec_low": "1/32", "toe_spec_high": "3/32"}, 14),
        ({**SPEC, **ONE_OUT, "toe_spec_low": "1/32", "toe_spec_high": "1/4"}, 60),
    ],
)
def test_a_far_yards_60_days_are_reached_by_whatever_toe_was_judged_by(
    house: House, changed: dict[str, Any], days: int
) -> None:
    """Three tape readings in spec, wheel centred, nothing bent."""
    Yard.objects.update(far=True)
    house.repair(("set_toe", None, {**SET_TOE, **changed}))
    rack = Recheck.objects.get(kind="rack")
    assert rack.due_on == house.now.date() + timedelta(days=days)


@pytest.mark.parametrize(("straight", "days"), [(True, 60), (False, 14)])
def test_a_linkage_that_does_not_cross_says_of_itself_that_the_wheel_is_centred(
    house: House, straight: bool, days: int
) -> None:
    Yard.objects.update(far=True)
    Design.objects.update(linkage=Layout.objects.get(code="full_tie_rod"))
    crossing = ("gear_centred", "wheel_centred", "read_again")
    typed = {name: said for name, said in SET_TOE.items() if name not in crossing}
    house.repair(("set_toe", None, {**typed, **SPEC, **THREE, "wheel_straight": straight}))
    rack = Recheck.objects.get(kind="rack")
    assert rack.due_on == house.now.date() + timedelta(days=days)


def test_a_near_yard_is_not_asked_for_three_readings(house: House) -> None:
    line = house.line(house.ticket(("set_toe", None)), "set_toe")
    named = refusal(lambda: house.record(line, {**SET_TOE, **SPEC}))
    assert named == {("field_unknown", "all_straight")}
