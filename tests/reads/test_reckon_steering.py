"""Toe, sleeves, wheel center, drift, bump steer and play, as the bench asks."""

import pytest

from fleet.reads.reckoning import drift, play, toe
from tests.reads.reckoned import ask, cautions, figure, shown, whole, wrongs

INCH = 0.0254


def test_two_tape_readings_make_a_toe_in_inches_millimeters_and_degrees() -> None:
    answer = ask("toe", found_rear_1="46 5/16", found_front_1="46 1/4", span="29")
    # 1/16 in over 29 in: 2 asin(1/928) = 0.123 degrees, computed.
    assert shown(answer, "found") == ["1/16 in", "1.6 mm", "0.12 ° both wheels", "0.06 ° one wheel"]
    assert figure(answer, "found").label == "As found, toe-in"
    assert answer.verdict.code == "no_spec"
    read = {one.field: one.read_as for one in answer.understood}
    assert read["found_rear_1"] == "46 5/16 in = 1,176.3 mm"


def test_without_the_span_no_angle_is_made_up() -> None:
    answer = ask("toe", found_rear_1="46 5/16", found_front_1="46 1/4")
    assert shown(answer, "found") == ["1/16 in", "1.6 mm"]
    assert "no_span" in cautions(answer)


def test_three_readings_give_mean_and_spread_and_a_warning_where_it_means_nothing() -> None:
    rears = {"found_rear_1": "46 5/16", "found_rear_2": "46 7/16", "found_rear_3": "46 3/8"}
    readings = rears | {f"found_front_{n}": "46 1/4" for n in (1, 2, 3)}
    answer = ask("toe", **readings, spec_low="0", spec_high="1/8")
    assert shown(answer, "found") == ["1/8 in", "3.2 mm"]
    assert shown(answer, "found_spread") == ["1/8 in", "3.2 mm"]
    assert "spread_as_large" in cautions(answer)
    calm = ask("toe", **readings, spec_low="-1 in", spec_high="-3/4")
    assert "spread_as_large" not in cautions(calm)


@pytest.mark.parametrize(
    ("front", "code", "line"),
    [
        ("46 1/4", "in_spec", "legal_inside"),
        ("46 1/8", "above", "legal_inside"),
        ("46", "above", "legal_past"),
        ("46 3/8", "below", "legal_no_limit"),
    ],
)
def test_toe_is_judged_by_the_maker_first_and_a_legal_line_is_never_good(
    front: str, code: str, line: str
) -> None:
    """The maker lists 0 to 1/8 in toe-in; 49 CFR 570.7(d) draws its line at 3/16 in."""
    answer = ask("toe", found_rear_1="46 5/16", found_front_1=front, spec_low="0", spec_high="1/8")
    assert answer.verdict.code == code
    assert line in cautions(answer)
    said = " ".join(one.text for one in answer.cautions)
    assert "49 CFR 570.7(d)" in said
    assert "good" not in said
    assert answer.verdict.grave == (code != "in_spec" or line == "legal_past")


def test_as_left_decides_the_verdict() -> None:
    answer = whole("toe", left_rear_1="46 1/2")
    assert answer.verdict.code == "above"
    assert answer.verdict.text.startswith("As found: ")
    assert "As left: 1/4 in (6.4 mm) toe-in" in answer.verdict.text


def test_a_range_in_degrees_is_taken_over_the_span() -> None:
    given = {"found_rear_1": "46 5/16", "found_front_1": "46 1/4", "spec_low": "0"}
    answer = ask("toe", **given, span="29", spec_high="0.25°")
    assert "0.127 in (3.2 mm)" in figure(answer, "found").limit
    assert wrongs("toe", **given, spec_high="0.25°") == {"spec_high": "no_span"}


def test_half_a_pair_and_a_slip_of_the_tape_are_told() -> None:
    pair = {"found_rear_1": "46 5/16", "found_front_1": "46 1/4"}
    assert wrongs("toe", **pair, found_rear_2="46 5/16") == {"found_front_2": "missing"}
    assert wrongs("toe", found_rear_1="46 5/16", found_front_1="36 1/4") == {
        "found_front_1": "too_much"
    }
    assert wrongs("toe", found_rear_1="465/16", found_front_1="46 1/4") == {
        "found_rear_1": "improper_fraction"
    }


def test_a_ticket_line_is_judged_as_what_is_typed() -> None:
    typed = ask("toe", found_rear_1="46 5/16", found_front_1="46 1/4", span="29",
                spec_low="0", spec_high="1/8")  # fmt: skip
    state = toe.State("found", "As found", [46.3125 * INCH - 46.25 * INCH])
    on_file = toe.judged([state], toe.Against(29 * INCH, (0.0, INCH / 8)))
    assert on_file.verdict == typed.verdict
    assert shown(on_file, "found") == shown(typed, "found")


def test_turns_of_the_sleeve_and_which_way_for_this_linkage() -> None:
    """Arm 7 in, span 29 in, leads 1/18 in: 0.136 turn (computed; none was found published)."""
    behind, ahead = whole("sleeve-turns"), whole("sleeve-turns", tie_rod="ahead")
    assert shown(behind, "turns") == ["0.14 turns", "49 °"]
    assert (behind.verdict.code, ahead.verdict.code) == ("lengthen", "shorten")
    assert "clockwise, seen from the end with the right-hand thread" in behind.verdict.text
    assert "counterclockwise" in ahead.verdict.text
    assert whole("sleeve-turns", toe_wanted="0").verdict.text == "Nothing to turn."


@pytest.mark.parametrize(
    ("typed", "units", "millimeters"),
    [("18", "us", 1.411), ("18 per inch", "us", 1.411), ("18 tpi", "metric", 1.411),
     ("1.5 mm", "us", 1.5), ("1,5", "metric", 1.5)],
)  # fmt: skip
def test_a_thread_is_threads_an_inch_or_a_pitch(typed: str, units: str, millimeters: float) -> None:
    given = {"toe_now": "0 mm", "toe_wanted": "2 mm", "span": "740 mm", "steering_arm": "180 mm"}
    answer = ask("sleeve-turns", units, **given, thread=typed)
    expected = 2 / 740 * 180 / (2 * millimeters)
    assert figure(answer, "turns").amounts[0].value == pytest.approx(expected, rel=1e-3)


def test_two_right_hand_threads_move_by_their_difference_or_not_at_all() -> None:
    given = {"toe_now": "0", "toe_wanted": "1/16", "span": "29", "steering_arm": "7"}
    both = {"other_end": "right_hand", "thread": "16"}
    answer = ask("sleeve-turns", **given, **both, other_thread="18")
    assert figure(answer, "turns").amounts[0].value == pytest.approx(2.17, abs=0.01)
    assert wrongs("sleeve-turns", **given, **both) == {"other_thread": "leads_cancel"}


def test_the_wheel_is_centered_by_the_drag_link() -> None:
    right, left = whole("wheel-center"), whole("wheel-center", side="left")
    assert shown(right, "turns") == ["0.63 turns", "226 °"]
    assert (right.verdict.code, left.verdict.code) == ("shorten", "lengthen")
    mirrored = whole("wheel-center", link="right_behind")
    assert mirrored.verdict.code == "lengthen"


def test_drift_is_told_only_past_what_the_tape_makes() -> None:
    assert whole("toe-drift").verdict.code == "towards_out"
    assert whole("toe-drift", as_found="0").verdict.code == "within_doubt"
    assert drift.judged(0.0, 0.010, 0.001).verdict.code == "towards_in"


def test_a_drop_arm_without_its_bracket_steers_over_bumps() -> None:
    answer = whole("bump-steer")
    assert (answer.verdict.code, answer.verdict.grave) == ("steers_over_bumps", True)
    assert "3.0 mm" in figure(answer, "mismatch").limit
    assert len(answer.tables[0].rows) == 5
    alike = whole("bump-steer", bar_frame="25", bar_axle="17 3/4")
    assert alike.verdict.code == "alike"
    assert shown(alike, "mismatch") == ["0.0 mm", "0 in"]


def test_links_too_short_for_the_travel_are_told() -> None:
    given = {"drag_across": "5", "drag_frame": "25", "drag_axle": "18", "bar_across": "5",
             "bar_frame": "25", "bar_axle": "18"}  # fmt: skip
    assert wrongs("bump-steer", **given, travel="10 in") == {"travel": "links_too_short"}


@pytest.mark.parametrize(
    ("typed", "code", "grave"),
    [
        ({"play": "2 1/8"}, "past", True),
        ({"play": "2"}, "inside", False),
        ({"play": ""}, "unmeasured", False),
        ({"play": "0"}, "no_play", False),
        ({"joint": "ball_joint", "play": "1/32"}, "no_limit", False),
        ({"joint": "ball_joint", "play": ""}, "unmeasured", False),
        ({"joint": "ball_joint", "play": "1/16", "maker_limit": "1/32"}, "past", True),
        ({"joint": "linkage", "play": "1/4"}, "inside", False),
        ({"joint": "linkage", "play": "5/16"}, "past", True),
        ({"joint": "track_bar", "play": "1/64"}, "no_limit", True),
    ],
)
def test_play_has_its_answers_and_none_is_good(
    typed: dict[str, str], code: str, grave: bool
) -> None:
    answer = whole("play-limits", **typed)
    assert (answer.verdict.code, answer.verdict.grave) == (code, grave)
    said = answer.verdict.text.replace("calls no joint good", "")
    assert "good" not in said


def test_each_regime_is_cited_and_the_strictest_decides() -> None:
    answer = whole("play-limits")
    assert [one.origin for one in answer.figures] == ["49 CFR 570.7(a)", "49 CFR 393.209(b)"]
    assert [one.grave for one in answer.figures] == [True, False]
    only = whole("play-limits", rule="us-393")
    assert (only.verdict.code, len(only.figures)) == ("inside", 1)
    heavy = whole("play-limits", joint="linkage", weight="heavy", play="3/8", rim_diameter="19 1/2")
    assert figure(heavy, "us-570").origin == "49 CFR 570.60(b) Table 3"
    assert heavy.verdict.code == "inside"


def test_what_has_no_general_figure_says_so() -> None:
    for joint in ("ball_joint", "kingpin", "wheel_bearing", "track_bar"):
        answer = play.judged(joint, 0.001, [])
        assert "No general figure" in answer.cautions[0].text
        assert "a person decides" in answer.cautions[0].text
    assert wrongs("play-limits", joint="lash", play="1") == {"wheel_diameter": "missing"}
