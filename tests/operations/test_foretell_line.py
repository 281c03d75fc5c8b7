"""What a ticket line's figures come to: clamp load of a pull, toe and turns, wheel center."""

from typing import Any

import pytest

from fleet.operations import specs
from fleet.operations.alignment_specs import NewAlignment, Sides, set_alignment
from fleet.operations.foretell_line import LineTold, foretell_line
from fleet.operations.linkage_specs import Linkage, Threads
from fleet.reads.rules import rules
from fleet.records.models import Design, TicketLine, Vehicle
from tests.operations.conftest import SET_TOE, House, a_spec
from tests.operations.tables import refusal

# The worked example of calculations.md: arm 7 in, leads 1/18 in each, span 29 in.
LINKAGE = Linkage(
    steering_arm="7 in", sleeve=Threads("18"), gear_ratio="16", pitman_arm="6 in",
    drag_sleeve=Threads("18", "left_hand", "18"), source="Measured in the bay",
)  # fmt: skip


def tell(house: House, action: str, joint: str | None = None, **typed: Any) -> LineTold:
    ticket = house.ticket((action, joint))
    line = TicketLine.objects.select_related("joint__kind").get(pk=house.line(ticket, action).pk)
    vehicle = Vehicle.objects.select_related("design__linkage", "yard").get(pk=house.vehicle.pk)
    return foretell_line(line, vehicle, rules("action")[action], typed)


def put_on_file(house: House, linkage: Linkage = LINKAGE) -> Design:
    toe = Sides("0", "1/8 in", "invented")
    new = NewAlignment(house.vehicle.design_id, toe=toe, linkage=linkage)
    return set_alignment(house.manager, new, at=house.now).row


def shop_figure(house: House) -> None:
    """The factory's 40 lbf·ft and a shop's 60 as the target, both on an M10 bolt."""
    bolt = {"thread": "M10 × 1.5", "strength_class": "10.9"}
    kind = "track_bar_axle_end"
    low = a_spec(house.vehicle.design, kind, low="40 lbf·ft", high="", **bolt)
    own = a_spec(house.vehicle.design, kind, origin="shop", low="60 lbf·ft", high="", **bolt,
                 new_fastener=True, reason="own")  # fmt: skip
    for new in (low, own):
        specs.set_spec(house.manager, new, at=house.now)


def test_a_pull_above_the_factorys_on_eased_threads_is_flagged_with_its_figures(
    house: House,
) -> None:
    shop_figure(house)
    oiled = tell(house, "retorque", "track_bar_axle_end", torque="60 lbf·ft",
                 thread_condition="oiled")  # fmt: skip
    check = oiled.pulls["torque"]
    assert check.warning is not None
    assert oiled.flagged == [check]
    assert check.load("us")
    assert check.beside("factory", "us")


def test_on_dry_threads_it_is_judged_and_not_flagged(house: House) -> None:
    shop_figure(house)
    dry = tell(house, "retorque", "track_bar_axle_end", torque="60 lbf·ft")
    assert dry.pulls["torque"].code == "in_range"
    assert dry.flagged == []


def test_what_can_not_be_read_is_passed_over(house: House) -> None:
    assert tell(house, "retorque", "track_bar_frame_end", torque="sixty").pulls == {}


def test_toe_is_told_in_inches_millimeters_and_degrees_with_the_turns_to_the_middle(
    house: House,
) -> None:
    put_on_file(house)
    told = tell(house, "set_toe", found_rear="46 5/16", found_front="46 5/16 in",
                toe_span="29", toe_basis="spec")  # fmt: skip
    assert told.toe is not None
    assert told.toe.answer.verdict.code == "in_spec"
    assert told.toe.turns is None
    out = tell_again(house, found_rear="46 1/4", found_front="46 1/4", toe_span="29",
                     toe_spec_low="1/16", toe_spec_high="1/16", toe_basis="spec")  # fmt: skip
    units = {amount.unit for amount in out.answer.figures[0].amounts}
    assert {"in", "mm", "° both wheels"} <= units
    assert out.turns is not None
    assert out.turns.answer is not None
    # 1/16 in more toe-in is +0.136 turn behind the axle (calculations.md, computed).
    (turns,) = [one for one in out.turns.answer.figures if one.key == "turns"]
    assert turns.amounts[0].value == pytest.approx(0.136, abs=0.001)
    assert "clockwise, seen from the end with the right-hand thread" in (
        out.turns.answer.verdict.text
    )


def tell_again(house: House, **typed: Any) -> Any:
    line = TicketLine.objects.get(action="set_toe")
    vehicle = Vehicle.objects.select_related("design__linkage", "yard").get(pk=house.vehicle.pk)
    found = foretell_line(line, vehicle, rules("action")["set_toe"], typed).toe
    assert found is not None
    return found


def test_ahead_of_the_axle_the_sleeve_goes_the_other_way(house: House) -> None:
    put_on_file(house, Linkage(**{**vars(LINKAGE), "tie_rod": "ahead"}))
    told = tell(house, "set_toe", found_rear="46 1/4", found_front="46 1/4", toe_span="29",
                toe_spec_low="1/16", toe_spec_high="1/16", toe_basis="spec")  # fmt: skip
    assert told.toe is not None
    assert told.toe.turns is not None
    assert told.toe.turns.answer is not None
    assert told.toe.turns.answer.verdict.code == "shorten"


def test_three_readings_that_spread_as_far_as_the_correction_mean_nothing(house: House) -> None:
    put_on_file(house)
    told = tell(house, "set_toe", **{k: v for k, v in SET_TOE.items() if isinstance(v, str)},
                left_rear_2="46 5/16", left_front_2="46 1/8", left_rear_3="46 1/4",
                left_front_3="46 1/4")  # fmt: skip
    assert told.toe is not None
    assert "spread_as_large" in {said.code for said in told.toe.answer.cautions}
    assert "left_spread" in {figure.key for figure in told.toe.answer.figures}


def test_past_one_and_a_half_times_the_spec_the_legal_line_is_named(house: House) -> None:
    told = tell(house, "set_toe", found_rear="46 1/4", found_front="46", toe_span="29")
    assert told.toe is not None
    legal = {said.code: said.text for said in told.toe.answer.cautions}["legal_past"]
    assert "49 CFR 570.7(d)" in legal


def test_a_slip_of_the_tape_is_not_taken_for_toe(house: House) -> None:
    told = tell(house, "set_toe", found_rear="46 1/4", found_front="36 1/4", toe_span="29")
    assert told.toe is not None
    assert told.toe.answer.refused


def test_what_is_not_on_file_is_named_and_the_rest_goes_to_the_reckoner(house: House) -> None:
    told = tell(house, "set_toe", found_rear="46 1/2", found_front="46 1/4", toe_span="29",
                toe_basis="spec")  # fmt: skip
    assert told.toe is not None
    assert told.toe.turns is not None
    lacking = told.toe.turns.lacking
    assert lacking is not None
    assert lacking.codes == ("steering_arm", "tie_rod_threads")
    assert lacking.asked["calculator"] == "sleeve-turns"
    assert lacking.asked["toe_now"] == "6.35 mm"
    assert lacking.asked["span"] == "736.60 mm"


def test_a_wheel_off_center_is_brought_back_by_the_drag_link(house: House) -> None:
    put_on_file(house)
    right = tell(house, "centre_wheel", degrees_before="10").centring
    assert right is not None
    assert right.answer is not None
    # 6 in x sin(10° / 16) over 2/18 in: 0.59 turn; gear on the left, rod behind: shorter.
    (turns,) = [one for one in right.answer.figures if one.key == "turns"]
    assert turns.amounts[0].value == pytest.approx(-0.589, abs=0.001)


def test_right_hand_drive_turns_it_about(house: House) -> None:
    put_on_file(house)
    Vehicle.objects.update(steering_side="right")
    told = tell(house, "centre_wheel", degrees_before="10").centring
    assert told is not None
    assert told.answer is not None
    assert told.answer.verdict.code == "lengthen"


def test_without_gear_and_arm_the_wheel_is_not_worked_out(house: House) -> None:
    told = tell(house, "centre_wheel", degrees_before="-10").centring
    assert told is not None
    assert told.lacking is not None
    assert told.lacking.codes == ("gear_ratio", "pitman_arm", "drag_link_threads")
    assert told.lacking.asked["side"] == "left"


def test_the_linkage_is_kept_as_typed_and_in_si(house: House) -> None:
    put_on_file(house, Linkage(**{**vars(LINKAGE), "sleeve": Threads("1.5 mm", "still")}))
    design = Design.objects.get(pk=house.vehicle.design_id)
    assert design.steering_arm_typed == "7 in"
    assert design.steering_arm_m == pytest.approx(0.1778)
    assert design.tie_rod_lead_m == pytest.approx(0.0015)
    assert design.tie_rod_other_lead_m == 0.0
    assert design.drag_link_other_lead_m == pytest.approx(0.0254 / 18)


def test_an_alignment_without_a_linkage_leaves_it_as_it_was(house: House) -> None:
    put_on_file(house)
    set_alignment(house.manager, NewAlignment(house.vehicle.design_id), at=house.now)
    assert Design.objects.get(pk=house.vehicle.design_id).steering_arm_typed == "7 in"


BAD: list[tuple[dict[str, Any], set[tuple[str, str]]]] = [
    ({"steering_arm": "7 stones"}, {("unknown_unit", "steering_arm")}),
    ({"steering_arm": "7 ft"}, {("out_of_reach", "steering_arm")}),
    ({"sleeve": Threads("fine")}, {("no_thread", "tie_rod_thread")}),
    ({"sleeve": Threads("18", "right_hand")}, {("leads_cancel", "tie_rod_other_thread")}),
    ({"sleeve": Threads("", "left_hand", "18")}, {("thread_missing", "tie_rod_thread")}),
    ({"drag_sleeve": Threads("18", "loose")}, {("not_a_choice", "drag_link_other_end")}),
    ({"gear_ratio": "400"}, {("out_of_reach", "gear_ratio")}),
    ({"tie_rod": "under"}, {("tie_rod_unknown", "tie_rod")}),
    ({"longer_link": "up"}, {("longer_link_unknown", "longer_link")}),
    ({"source": " "}, {("source_missing", "linkage_source")}),
]


@pytest.mark.parametrize(("changed", "named"), BAD)
def test_what_makes_no_linkage_is_refused_beside_its_field(
    house: House, changed: dict[str, Any], named: set[tuple[str, str]]
) -> None:
    assert refusal(lambda: put_on_file(house, Linkage(**{**vars(LINKAGE), **changed}))) == named
