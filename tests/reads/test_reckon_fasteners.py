"""Clamp load and slotted nuts as the bench asks: ranges, refusals, the shop's figure."""

import pytest

from fleet.calc.units import parse_torque
from fleet.reads.reckoning import clamp
from tests.reads.reckoned import ask, cautions, figure, shown, whole, wrongs


def test_a_habit_on_lubricated_threads_is_past_proof_and_said_so_with_the_figures() -> None:
    """60 lbf·ft on M10: common practice, no source; the bolt of one invented light design."""
    answer = whole("clamp-load")
    assert (answer.verdict.code, answer.verdict.grave) == ("past_proof", True)
    assert "101 % to 146 % of proof load" in answer.verdict.text
    assert shown(answer, "clamp_low") == ["48.8 kN", "11,000 lbf", "101 % of proof"]
    assert shown(answer, "clamp_high") == ["70.5 kN", "15,800 lbf", "146 % of proof"]
    assert "proof load 48.1 kN (10,800 lbf)" in figure(answer, "clamp_high").limit
    assert "ISO 898-1" in figure(answer, "clamp_high").origin
    assert shown(answer, "factory")[2] == "68 – 98 % of proof"
    assert "shop_above_factory" in cautions(answer)


def test_the_factory_figure_itself_is_not_flagged() -> None:
    answer = whole("clamp-load", low="40 lbf·ft", factory_low="")
    assert answer.verdict.code == "high"
    assert cautions(answer) == set()


def test_dry_threads_say_that_the_plating_is_not_known() -> None:
    answer = whole("clamp-load", condition="dry", low="40 lbf·ft", factory_low="")
    assert answer.verdict.code == "in_range"
    assert "calls no joint good" in answer.verdict.text
    assert cautions(answer) == {"plating_not_recorded"}


def test_above_the_factory_but_not_past_proof_still_wants_hardware_and_a_yes() -> None:
    answer = whole("clamp-load", thread="M16 x 2", condition="dry")
    assert cautions(answer) == {"above_factory", "plating_not_recorded"}


@pytest.mark.parametrize(
    ("held_by", "code"),
    [
        ("slotted_stud", "tapered_stud"), ("tapered_shaft", "tapered_shaft"), ("clamp", "clamp"),
        ("stud_nuts", "hub_nut"), ("adjusting_nut", "adjusting_nut"), ("angle", "to_yield"),
    ],
)  # fmt: skip
def test_where_t_k_d_f_does_not_hold_it_is_refused_and_said_why(held_by: str, code: str) -> None:
    answer = ask("clamp-load", held_by=held_by)
    assert answer.refused
    assert answer.verdict.code == code
    assert answer.verdict.text.startswith("Refused: ")
    assert answer.figures == ()


def test_a_pitman_arm_on_file_as_a_bolt_sits_on_a_taper_and_is_refused() -> None:
    assert clamp.held_as("pitman_arm", "bolt") == "tapered_shaft"
    assert clamp.held_as("track_bar_axle_end", "bolt") == "bolt"
    fastener = clamp.fastener_of("M20 x 1.5", "10.9", clamp.held_as("pitman_arm", "bolt"))
    assert clamp.judged((200.0, 230.0), fastener, "dry").verdict.code == "tapered_shaft"


def test_a_spec_on_file_is_judged_as_what_is_typed() -> None:
    band = parse_torque("60 lbf·ft").si, parse_torque("75 lbf·ft").si
    fastener = clamp.fastener_of("M14 x 2", "10.9", "bolt")
    typed = ask("clamp-load", thread="M14 x 2", strength_class="10.9", low="60", high="75",
                condition="oiled")  # fmt: skip
    on_file = clamp.judged(band, fastener, "oiled")
    assert (on_file.verdict, on_file.figures) == (typed.verdict, typed.figures)


@pytest.mark.parametrize(
    ("typed", "wrong"),
    [
        ({"thread": "M10 x 7"}, {"thread": "unknown_pitch"}),
        ({"strength_class": "8"}, {"strength_class": "class_of_other_series"}),
        ({"low": "60 in"}, {"low": "wrong_kind"}),
        ({"low": "80", "high": "60"}, {"high": "below_low"}),
        ({"low": "", "high": "60"}, {"low": "low_missing"}),
        ({"tolerance": "400"}, {"tolerance": "out_of_reach"}),
        ({"condition": "sticky"}, {"condition": "not_a_choice"}),
    ],
)
def test_a_slip_is_told_beside_its_field(typed: dict[str, str], wrong: dict[str, str]) -> None:
    given = {"thread": "M10 x 1.5", "strength_class": "10.9", "low": "60"} | typed
    assert wrongs("clamp-load", **given) == wrong


def test_prevailing_torque_that_leaves_nothing_is_refused() -> None:
    assert whole("clamp-load", low="5", prevailing="6", factory_low="").verdict.code == "prevailing"


def test_a_slotted_nut_goes_on_and_advances_while_the_wrench_allows() -> None:
    answer = whole("slotted-nut")
    assert answer.verdict.code == "turn_on"
    assert shown(answer, "degrees") == ["20 °"]
    # 20 degrees of a pitch of 1.5 mm, computed.
    assert shown(answer, "advance") == ["0.08 mm"]
    assert "70.0 lbf·ft" in figure(answer, "degrees").limit
    assert "Never back" in answer.verdict.text


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ({"held_by": "adjusting_nut"}, "adjusting_nut"),
        ({"held_by": "tapered_shaft"}, "tapered_shaft"),
        ({"hole_above_slots": "yes"}, "hole_above_slots"),
        ({"torque_now": "45"}, "below_low_side"),
        ({"torque_now": "75"}, "past_high_side"),
        ({"torque_now": "70"}, "no_slot_in_range"),
        ({"high": "", "torque_now": "50"}, "one_figure"),
    ],
)
def test_a_slot_is_never_reached_back_or_past(typed: dict[str, str], code: str) -> None:
    answer = whole("slotted-nut", **typed)
    assert (answer.verdict.code, answer.refused, answer.figures) == (code, True, ())


def test_with_one_figure_only_the_makers_word_lets_it_go_on_and_the_degrees_are_kept() -> None:
    answer = whole("slotted-nut", high="", torque_now="50", tighten_on="yes")
    assert answer.verdict.code == "turn_on_by_degrees"
    assert "one slot at most" in answer.verdict.text


def test_a_slot_further_than_the_next_is_a_slip() -> None:
    given = {"torque_now": "55", "low": "50", "high": "70", "to_next": "70"}
    assert wrongs("slotted-nut", **given, slots="6") == {"to_next": "past_a_step"}
    assert wrongs("slotted-nut", **given, slots="7")["slots"] == "odd"


def test_a_wrench_with_an_extension_is_set_to_less_than_the_fastener_gets() -> None:
    answer = whole("wrench-extension")
    assert answer.verdict.code == "set_to"
    assert shown(answer, "torque") == ["108.0 lbf·ft", "146.4 N·m"]
    assert shown(answer, "ratio")[0].startswith("1.167")
    back = whole("wrench-extension", torque_is="wrench", torque="108")
    assert (back.verdict.code, shown(back, "torque")[0]) == ("came_to", "126.0 lbf·ft")
    assert cautions(back) == {"pull_at_grip", "in_line"}


def test_an_extension_longer_than_the_wrench_is_asked_about() -> None:
    found = wrongs("wrench-extension", torque="126", lever="18", extension="20")
    assert found == {"extension": "extension_too_long"}
