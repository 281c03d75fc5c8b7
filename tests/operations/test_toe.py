"""Toe as left: judged by the specification, or as restored to what was found."""

from typing import Any

import pytest

from fleet.calc.alignment import toe_from_widths
from fleet.records.models import Design, Layout, ToeReading
from tests.operations.conftest import SET_TOE, House
from tests.operations.tables import refusal, undone

RESTORED = {
    "toe_basis": "restored", "found_in_spec": True, "nothing_had_play": True,
    "nothing_bent": True, "found_rear": "46 1/4", "found_front": "46 3/16",
}  # fmt: skip
OUT = {("toe_out", "left_front")}
# The design's specification is 0 to 1/8 in (0 to 3.2 mm); rear minus front is toe-in.
CASES: list[tuple[dict[str, Any], set[tuple[str, str]]]] = [
    ({"left_rear": "46 1/4", "left_front": "46 1/4"}, set()),
    ({"left_rear": "46 1/4", "left_front": "46 1/8"}, set()),
    ({"left_rear": "46 1/4", "left_front": "46 1/16"}, OUT),
    ({"left_rear": "46 3/16", "left_front": "46 1/4"}, OUT),
    # Typed on the line, the specification of the vehicle at hand governs.
    ({"left_rear": "46 1/4", "left_front": "46 1/16", "toe_spec_low": "1/8",
      "toe_spec_high": "1/4"}, set()),
    ({"left_rear": "46 1/4", "left_front": "46 1/4", "toe_spec_low": "1/16",
      "toe_spec_high": "1/8"}, OUT),
    # Restored within 1/16 in (common practice, no source) of 1/16 in as found.
    ({**RESTORED, "left_rear": "46 1/4", "left_front": "46 3/16"}, set()),
    ({**RESTORED, "left_rear": "46 1/4", "left_front": "46 1/8"}, set()),
    ({**RESTORED, "left_rear": "46 1/4", "left_front": "46 1/4"}, set()),
    ({**RESTORED, "left_rear": "46 1/4", "left_front": "46 3/32"}, OUT),
    # It counts only if as found was in spec, nothing had play and nothing was bent.
    ({**RESTORED, "found_in_spec": False}, {("must", "found_in_spec")}),
    ({**RESTORED, "nothing_had_play": False}, {("must", "nothing_had_play")}),
    ({**RESTORED, "nothing_bent": ""}, {("missing", "nothing_bent")}),
    ({"rolled": False}, {("must", "rolled")}),
    ({"same_mark": False}, {("must", "same_mark")}),
    ({"gear_centred": ""}, {("missing", "gear_centred")}),
]  # fmt: skip


def lacks(house: House, **typed: Any) -> set[tuple[str, str]]:
    ticket = house.ticket(("set_toe", None))
    house.record(house.line(ticket, "set_toe"), SET_TOE, **typed)
    named = refusal(lambda: house.close(ticket))
    return named - {("second_check_missing", "")}


def test_toe_as_left_is_judged(house: House, subtests: pytest.Subtests) -> None:
    for typed, named in CASES:
        with subtests.test(typed=typed), undone():
            assert lacks(house, **typed) == named


def test_without_a_figure_on_file_the_two_sides_are_asked_for(house: House) -> None:
    Design.objects.update(toe_low_m=None, toe_high_m=None)
    assert lacks(house) == OUT


def test_a_linkage_that_does_not_cross_is_not_asked_to_centre_the_gear(house: House) -> None:
    Design.objects.update(linkage=Layout.objects.get(code="fore_aft"))
    typed = {name: SET_TOE[name] for name in SET_TOE
             if name not in ("gear_centred", "wheel_centred", "read_again")}  # fmt: skip
    ticket = house.ticket(("set_toe", None))
    line = house.line(ticket, "set_toe")
    house.record(line, typed)
    line.refresh_from_db()
    assert line.state == "complete"


def test_both_readings_are_kept_as_facts(house: House) -> None:
    lacks(house)
    found, left = ToeReading.objects.order_by("as_left")
    assert (found.rear_typed, found.front_typed) == ("46 5/16", "46 1/8")
    assert found.toe_m == pytest.approx(0.0047625)  # 3/16 in
    assert left.toe_m == pytest.approx(0.0015875)  # 1/16 in
    assert left.toe_m == pytest.approx(toe_from_widths(left.rear_m, left.front_m))
    assert left.span_m == pytest.approx(0.7366)  # 29 in
    assert left.ride_height
