"""What each finding calls for: noted, a ticket line, or a hold (the table of responses).

The table is data, kept by the fleet; it is (own) unless a source stands beside it. Lines of play
come from 49 CFR Part 570, as read in copies of the eCFR (subpart A: 570.7; subpart B: 570.60).
"""

import json
from typing import Any

import pytest

from fleet.operations.reference import FIXTURES
from fleet.records.models import Finding, Hold, Recheck, Ticket, Vehicle
from tests.operations.conftest import RETORQUE, House
from tests.operations.tables import undone

RESPONSES: dict[str, Any] = json.loads((FIXTURES / "rules/responses.json").read_text())
BAD = ("worn_out", "cracked", "bent", "broken_or_missing")
# One joint of each row of the table, with a method that can see play there.
JOINTS = {
    "track_bar_end": ("track_bar_frame_end", "", "dry_steer"),
    "bracket_gear_hub_stud": ("drag_link_frame_end", "", "dry_steer"),
    "wheel_nuts": ("wheel_nuts", "left", "feel"),
    "other": ("damper_link_end", "", "dry_steer"),
}


def found(house: House, kind: str, side: str, code: str, **typed: Any) -> Finding:
    finding: Finding = house.inspect(house.look(kind, code, side, **typed)).findings.get()
    return finding


def did(finding: Finding) -> str:
    """What came of a finding, as the records show it."""
    if Hold.objects.filter(joint=finding.joint, lifted_at=None).exists():
        return "hold"
    return "line" if finding.lines.exists() else "note"


def test_every_row_of_the_table_is_tried() -> None:
    assert set(JOINTS) == set(RESPONSES)


def test_every_finding_of_every_row_does_what_the_table_says(
    house: House, subtests: pytest.Subtests
) -> None:
    for row, (kind, side, _method) in JOINTS.items():
        for code in (*BAD, "boot_torn", "not_reached", "not_fitted"):
            expected = RESPONSES[row].get(code, "note")
            with subtests.test(row=row, code=code), undone():
                finding = found(house, kind, side, code, reason="mud")
                assert (finding.response, did(finding)) == (expected, expected)


def test_worn_out_cracked_bent_broken_or_missing_hold_at_every_joint(
    house: House, subtests: pytest.Subtests
) -> None:
    for joint in house.vehicle.joints.select_related("kind"):
        code = BAD[joint.pk % len(BAD)]
        with subtests.test(joint=joint.name, code=code), undone():
            finding = found(house, joint.kind.code, joint.side, code)
            assert did(finding) == "hold"


def test_play_by_row_and_answer(house: House, subtests: pytest.Subtests) -> None:
    """Measured play has three answers; unmeasured on a hold joint holds."""
    measured = {"past": "3/8 in", "inside": "1/8 in", "no_limit": "1/8 in", "unmeasured": ""}
    # The drag link's studs have a line of 1/4 in (49 CFR 570.7(b)); the other joints have none.
    answers: dict[str, tuple[str, ...]] = dict.fromkeys(JOINTS, ("no_limit", "unmeasured"))
    answers["bracket_gear_hub_stud"] = ("past", "inside", "unmeasured")
    for row, (kind, side, method) in JOINTS.items():
        for answer in answers[row]:
            expected = RESPONSES[row]["play"][answer]
            with subtests.test(row=row, answer=answer), undone():
                play = measured[answer]
                finding = found(house, kind, side, "play", method=method, play=play)
                assert (finding.answer, did(finding)) == (answer, expected)


def test_any_play_at_a_track_bar_end_holds_measured_or_not(house: House) -> None:
    for play in ("", "1/64 in", "1/2 in"):
        for end in ("track_bar_frame_end", "track_bar_axle_end"):
            with undone():
                finding = found(house, end, "", "play", method="dry_steer", play=play)
                assert did(finding) == "hold"


def test_play_at_a_joint_with_no_general_figure_waits_for_the_maker_or_a_person(
    house: House,
) -> None:
    """Ball joints and wheel bearings: no limit known holds, and says that none is."""
    finding = found(house, "ball_joint_lower", "left", "play", method="bar_under_tyre",
                    play="1/32 in")  # fmt: skip
    assert (finding.answer, did(finding)) == ("no_limit", "hold")
    assert (finding.limit_m, finding.limit_citation) == (None, "")


def test_play_inside_the_line_makes_a_line_and_a_recheck_at_500_mi_or_30_days(
    house: House,
) -> None:
    finding = found(house, "tie_rod_end", "left", "play", method="dry_steer", play="1/8 in")
    assert (finding.answer, did(finding)) == ("inside", "line")
    owed = Recheck.objects.get(ladder="inside_line")
    assert owed.joint == finding.joint
    assert owed.made_by_finding == finding
    assert owed.due_on is not None
    assert (owed.due_on - finding.occurred_at.date()).days == 30
    assert owed.due_use_si is not None
    assert owed.due_use_si - (finding.use_si or 0) == 804_672  # 500 mi in metres


def test_play_inside_the_line_again_pays_the_recheck_and_makes_the_next(house: House) -> None:
    first = found(house, "tie_rod_end", "left", "play", method="dry_steer", play="1/8 in")
    house.later(days=20)
    again = found(house, "tie_rod_end", "left", "play", method="dry_steer", play="1/8 in")
    paid, owed = Recheck.objects.filter(ladder="inside_line").order_by("id")
    assert (paid.state, paid.done_by_finding) == ("done", again)
    assert (owed.state, owed.made_by_finding) == ("owed", again)
    assert paid.made_by_finding == first
    assert Ticket.objects.get().lines.filter(joint=first.joint).count() == 1


MOVED = [
    # degrees, moved before, row -> response
    ("29.9", False, "track_bar_end", "note"),
    ("30", False, "track_bar_end", "hold"),
    ("1080", False, "track_bar_end", "hold"),
    ("1", True, "track_bar_end", "hold"),
    ("29.9", False, "bracket_gear_hub_stud", "note"),
    ("30", False, "bracket_gear_hub_stud", "hold"),
    ("1", True, "bracket_gear_hub_stud", "hold"),
    ("1", False, "wheel_nuts", "line"),
    ("30", False, "wheel_nuts", "hold"),
    ("1", False, "other", "note"),
    ("30", False, "other", "hold"),
    ("1", True, "other", "hold"),
]


def test_moved_holds_from_30_degrees_or_the_second_time_running(
    house: House, subtests: pytest.Subtests
) -> None:
    for degrees, before, row, expected in MOVED:
        kind, side, _method = JOINTS[row]
        with subtests.test(degrees=degrees, moved_before=before, row=row), undone():
            if before:
                found(house, kind, side, "moved", method="witness_mark", degrees="5")
                house.later(days=1)
            finding = found(house, kind, side, "moved", method="witness_mark", degrees=degrees)
            assert did(finding) == expected


def test_a_tight_look_between_two_moves_breaks_the_run(house: House) -> None:
    """Bedding in at the first retorque is normal; only twice running is not."""
    house.moved()
    house.later(days=4)
    house.tight()
    house.later(days=4)
    house.moved()
    assert not Hold.objects.exists()


def test_a_look_that_could_not_reach_it_does_not_break_the_run(house: House) -> None:
    house.moved()
    house.later(days=4)
    house.inspect(house.look("track_bar_frame_end", "not_reached", reason="mud"))
    house.later(days=4)
    house.moved()
    assert Hold.objects.filter(joint=house.joint(), lifted_at=None).exists()


def test_not_reached_never_counts_as_looked_at(house: House) -> None:
    house.inspect(house.look("track_bar_frame_end", "not_reached", reason="mud"))
    assert house.joint().state.last_look_at is None
    assert house.joint().state.mark == "unknown"


# 49 CFR Part 570 as read: rim or steering wheel in metres, the line as printed, a play that is
# past it and one that is not. At the line is inside: the rules say "not exceed".
LINES = [
    pytest.param("linkage", 4_000, 0.4064, "1/4 in", "9/32 in", "49 CFR 570.7(b)",
                 id="49 CFR 570.7(b): 1/4 in to 10,000 lb, whatever the rim"),
    pytest.param("linkage", 4_000, 0.5715, "1/4 in", "9/32 in", "49 CFR 570.7(b)",
                 id="49 CFR 570.7(b): 1/4 in to 10,000 lb on a 22.5 in rim too"),
    pytest.param("linkage", 6_000, 0.4064, "1/4 in", "9/32 in", "49 CFR 570.60(b)",
                 id="49 CFR 570.60(b) Table 3: 1/4 in at a 16 in rim"),
    pytest.param("linkage", 6_000, 0.4445, "3/8 in", "13/32 in", "49 CFR 570.60(b)",
                 id="49 CFR 570.60(b) Table 3: 3/8 in at a 17.5 in rim"),
    pytest.param("linkage", 6_000, 0.5715, "1/2 in", "17/32 in", "49 CFR 570.60(b)",
                 id="49 CFR 570.60(b) Table 3: 1/2 in at a 22.5 in rim"),
    pytest.param("lash", 4_000, 0.4064, "2 in", "2 1/16 in", "49 CFR 570.7(a)",
                 id="49 CFR 570.7(a): 2 in at a 16 in wheel"),
    pytest.param("lash", 4_000, 0.4572, "2 1/4 in", "2 5/16 in", "49 CFR 570.7(a)",
                 id="49 CFR 570.7(a): 2 1/4 in at an 18 in wheel"),
    pytest.param("lash", 6_000, 0.508, "2 1/2 in", "2 9/16 in", "49 CFR 570.60(a)",
                 id="49 CFR 570.60(a) Table 2: 2 1/2 in at a 20 in wheel"),
    pytest.param("lash", 6_000, 0.5588, "2 3/4 in", "2 13/16 in", "49 CFR 570.60(a)",
                 id="49 CFR 570.60(a) Table 2: 2 3/4 in at a 22 in wheel"),
]  # fmt: skip


@pytest.mark.parametrize(("what", "kilograms", "diameter_m", "at", "past", "cited"), LINES)
def test_measured_play_is_judged_by_the_published_line_and_cites_it(
    house: House, what: str, kilograms: int, diameter_m: float, at: str, past: str, cited: str
) -> None:
    column = "wheel_diameter_m" if what == "linkage" else "steering_wheel_m"
    Vehicle.objects.update(gross_weight_kg=kilograms, **{column: diameter_m})
    kind = "tie_rod_at_drag_link" if what == "linkage" else "gear_lash"
    for play, answer in ((at, "inside"), (past, "past")):
        with undone():
            finding = found(house, kind, "", "play", method="dry_steer", play=play)
            assert finding.answer == answer
            assert finding.limit_citation.startswith(cited)
            assert finding.limit_m == pytest.approx(_metres(at))


def _metres(inches: str) -> float:
    """As a hand would: whole inches and a fraction, 25.4 mm each."""
    total = 0.0
    for part in inches.removesuffix(" in").split():
        above, _slash, below = part.partition("/")
        total += float(above) / float(below or 1)
    return total * 0.0254


def test_the_lower_line_stands_where_a_heavy_vehicles_rim_is_not_known(house: House) -> None:
    Vehicle.objects.update(gross_weight_kg=6_000, wheel_diameter_m=None)
    finding = found(house, "tie_rod_end", "left", "play", method="dry_steer", play="5/16 in")
    assert finding.answer == "past"
    assert finding.limit_m == pytest.approx(0.00635)  # 1/4 in


def test_lash_has_no_line_where_the_steering_wheel_was_never_measured(house: House) -> None:
    finding = found(house, "gear_lash", "", "play", method="dry_steer", play="1 in")
    assert (finding.answer, did(finding)) == ("no_limit", "hold")


def test_nothing_is_ever_called_good() -> None:
    """A legal line is not a service limit."""
    words = {str(label).lower() for _value, label in Finding.Answer.choices}
    assert not any("good" in text or "ok" in text.split() for text in words)


def test_moved_after_a_repair_that_looked_for_the_cause_still_counts(house: House) -> None:
    house.moved()
    house.later(days=1)
    house.repair(("retorque", "track_bar_frame_end", RETORQUE))
    house.later(days=4)
    house.moved()
    assert Hold.objects.filter(joint=house.joint(), lifted_at=None).exists()
