"""New fasteners, lock nuts, threads and angle bolts: what a line's fastener has to be.

That slicker threads clamp harder at the same torque follows from T = K D F with the ranges of K in
fleet/calc/fastener_tables.py (published tables and an engineering page, cited there). A thread in
another condition than the figure is meant for is refused on a hold joint and needs a reason
elsewhere (own).
"""

from typing import Any

import pytest

from fleet.operations import line_view, lines, looks, specs
from fleet.operations.errors import Refused
from fleet.operations.line_torque import threads_differ
from fleet.reads.rules import rules
from fleet.records.models import Hold, TorqueReading, TorqueSpec
from tests.operations.conftest import RETORQUE, START, TRACK_BAR, House, a_spec
from tests.operations.tables import refusal, undone

FRAME, DAMPER, STUD = "track_bar_frame_end", "damper_link_end", "tie_rod_at_drag_link"


def put(house: House, kind: str, **changed: Any) -> None:
    specs.set_spec(house.manager, a_spec(house.design, kind, **changed), at=START)


def lacks(house: House, action: str, kind: str, typed: dict[str, Any]) -> set[tuple[str, str]]:
    """What one line's own close names; other lines and steps are left out."""
    ticket = house.ticket((action, kind))
    line = house.line(ticket, action)
    house.record(line, typed)
    line.refresh_from_db()
    if line.state == "complete":
        return set()
    view = next(v for v in line_view.views(ticket) if v.line.pk == line.pk)
    return {(p.code, p.field) for p in lines.lacks(view, house.vehicle)}


# New fastener each time ------------------------------------------------------------------------

NEW = [
    # action, what was typed of the fastener, what is named
    ("replace_track_bar", {}, {("missing", "new_fastener")}),
    ("replace_track_bar", {"new_fastener": "no"}, {("must", "new_fastener")}),
    ("replace_track_bar", {"new_fastener": "yes"}, set()),
    ("retorque", {}, {("missing", "new_fastener")}),
    ("retorque", {"new_fastener": "no"}, {("must", "new_fastener")}),
    ("retorque", {"new_fastener": "yes"}, set()),
    # A wrench that clicked without turning it took nothing apart.
    ("retorque", {"turned": "no", "degrees": ""}, set()),
]


def test_a_figure_that_asks_for_a_new_fastener_is_asked_for_and_takes_no_no(
    house: House, subtests: pytest.Subtests
) -> None:
    put(house, FRAME, new_fastener=True)
    usual = {"replace_track_bar": TRACK_BAR, "retorque": RETORQUE}
    for action, typed, named in NEW:
        with subtests.test(action=action, typed=typed), undone():
            assert lacks(house, action, FRAME, {**usual[action], **typed}) == named


def test_without_such_a_figure_nobody_is_asked(house: House) -> None:
    assert lacks(house, "replace_track_bar", FRAME, TRACK_BAR) == set()


def test_the_axle_nuts_own_figure_asks_for_its_own_new_nut(house: House) -> None:
    put(house, "axle_nut", new_fastener=True)
    rule, joint = rules("action")["unit_hub"], house.joint("unit_bearing", "left")
    asked = line_view.fields_for(rule, house.vehicle, joint, looks.target_specs(house.vehicle))
    must = {field["name"]: field.get("must") for field in asked}
    assert (must["axle_nut_new_fastener"], must["new_fastener"]) == ("yes", None)


# Angle and to-yield bolts ----------------------------------------------------------------------


def test_an_angle_bolt_is_refused_on_a_retorque_line_and_says_why(house: House) -> None:
    put(house, FRAME, angle_degrees=90.0)
    ticket = house.ticket()
    with pytest.raises(Refused, match="stretched when it was tightened and is replaced"):
        house.add_line(ticket, "retorque", FRAME)


def test_an_angle_that_came_on_file_later_keeps_the_line_open(house: House) -> None:
    ticket = house.ticket(("retorque", FRAME))
    put(house, FRAME, angle_degrees=90.0)
    house.record(house.line(ticket, "retorque"), RETORQUE, new_fastener="yes")
    assert ("never_retorqued", "torque") in refusal(lambda: house.close(ticket))


def test_our_own_wrench_after_a_shop_is_not_put_on_an_angle_bolt(house: House) -> None:
    put(house, FRAME, angle_degrees=90.0)
    typed = {"what": "new bar", "done_by": "an outside shop", "sheet": "77",
             "new_fastener": "yes", "own_check": "wrench", "torque": "125 lbf·ft",
             "tool": "TW-1", "thread_condition": "dry"}  # fmt: skip
    with undone():
        assert lacks(house, "outside_shop", FRAME, typed) == {("never_retorqued", "own_check")}
    looked = {name: typed[name] for name in ("what", "done_by", "sheet", "new_fastener")}
    assert lacks(house, "outside_shop", FRAME, {**looked, "own_check": "look"}) == set()


def test_a_bolt_turned_on_by_an_angle_is_new_where_it_is_put_in(house: House) -> None:
    put(house, FRAME, angle_degrees=90.0)
    with undone():
        named = lacks(house, "replace_track_bar", FRAME, {**TRACK_BAR, "new_fastener": "no"})
        assert named == {("must", "new_fastener")}
    assert lacks(house, "replace_track_bar", FRAME, {**TRACK_BAR, "new_fastener": "yes"}) == set()


# Lock nuts -------------------------------------------------------------------------------------

LOCK = [
    (FRAME, "replace_track_bar", TRACK_BAR, {"bolt_nut": "plain"}, set()),
    (FRAME, "replace_track_bar", TRACK_BAR, {"bolt_nut": "lock"}, {("missing", "bolt_nut_uses")}),
    (FRAME, "replace_track_bar", TRACK_BAR, {"bolt_nut": "lock", "bolt_nut_uses": "2"}, set()),
    (FRAME, "retorque", RETORQUE, {"bolt_nut": "lock"}, {("missing", "bolt_nut_uses")}),
    (STUD, "retorque", RETORQUE, {"new_pin": "no_pin"}, {("missing", "lock_nut_uses")}),
    (STUD, "retorque", RETORQUE, {"new_pin": "no_pin", "lock_nut_uses": "1"}, set()),
]


def test_lock_nuts_count_their_uses(house: House, subtests: pytest.Subtests) -> None:
    put(house, STUD)
    for kind, action, usual, typed, named in LOCK:
        with subtests.test(kind=kind, action=action, typed=typed), undone():
            assert lacks(house, action, kind, {**usual, **typed}) == named


# Threads ---------------------------------------------------------------------------------------

REASONED = {"out_of_band_reason": "Could not be cleaned"}
THREADS = [
    # joint, its figure's threads, as recorded, a reason, what is named
    (FRAME, "dry", "dry", {}, set()),
    (FRAME, "dry", "oiled", {}, {("threads_differ", "thread_condition")}),
    (FRAME, "dry", "anti_seize", REASONED, {("threads_differ", "thread_condition")}),
    (FRAME, "oiled", "dry", REASONED, {("threads_differ", "thread_condition")}),
    (FRAME, "threadlocker", "threadlocker", {}, set()),
    (DAMPER, "dry", "oiled", {}, {("threads_differ", "out_of_band_reason")}),
    (DAMPER, "dry", "oiled", REASONED, set()),
    ("sway_bar_mounts", None, "oiled", {}, set()),
]


def test_threads_as_recorded_are_held_against_the_figures(
    house: House, subtests: pytest.Subtests
) -> None:
    for kind, meant, found, more, named in THREADS:
        with subtests.test(kind=kind, meant=meant, found=found, more=more), undone():
            if meant:
                put(house, kind, thread_condition=meant)
            typed = {**RETORQUE, "thread_condition": found, **more}
            assert lacks(house, "retorque", kind, typed) == named


@pytest.mark.parametrize(
    ("meant", "found", "word"),
    [
        ("dry", "oiled", "clamps harder"),
        ("dry", "anti_seize", "clamps harder"),
        ("oiled", "anti_seize", "clamps harder"),
        ("oiled", "dry", "clamps less"),
        ("anti_seize", "oiled", "clamps less"),
        ("dry", "", ""),
        ("dry", "dry", ""),
    ],
)
def test_it_says_which_way_the_clamp_goes(meant: str, found: str, word: str) -> None:
    said = threads_differ(found, TorqueSpec(typed="60 lbf·ft", thread_condition=meant))
    assert word in said
    assert bool(said) is bool(word)


def test_the_axle_nuts_threads_are_its_own(house: House) -> None:
    put(house, "hub_bolts")
    put(house, "axle_nut", thread_condition="oiled")
    typed = {
        "part_number": "H-1", "part_lot": "L2", "as_found": "worn_out", "torque": "125 lbf·ft",
        "tool": "TW-1", "thread_condition": "dry", "axle_nut_fitted": "yes",
        "axle_nut_torque": "125 lbf·ft", "axle_nut_tool": "TW-1", "before_weight": True,
        "axle_nut_thread_condition": "oiled", "wheel_off": "no",
    }  # fmt: skip
    ticket = house.ticket()
    house.add_line(ticket, "unit_hub", "unit_bearing", "left")
    line = house.line(ticket, "unit_hub")
    house.record(line, typed)
    line.refresh_from_db()
    assert line.state == "complete"
    kept = {r.joint.kind.code: r.thread_condition for r in TorqueReading.objects.all()}
    assert kept == {"hub_bolts": "dry", "axle_nut": "oiled"}


# Taper, ride height, wheel nuts ----------------------------------------------------------------


def test_a_pin_hole_above_the_slots_rejects_stud_and_arm_and_holds(house: House) -> None:
    """A worn taper or a wrong part (common practice, no source)."""
    put(house, STUD)
    named = lacks(house, "retorque", STUD, {**RETORQUE, "new_pin": "above_slots"})
    assert named == {("pin_hole_above", "new_pin")}
    assert Hold.objects.get(lifted_at=None).joint == house.joint(STUD)


def test_rubber_ends_are_tightened_at_ride_height(house: House) -> None:
    with undone():
        assert lacks(house, "retorque", FRAME, {**RETORQUE, "ride_height": ""}) == {
            ("missing", "ride_height")
        }
    still = {**RETORQUE, "ride_height": "", "turned": "no", "degrees": ""}
    assert lacks(house, "retorque", FRAME, still) == set()


def test_wheel_nuts_found_loose_ask_for_studs_and_holes(house: House) -> None:
    put(house, "wheel_nuts")
    ticket = house.ticket()
    house.add_line(ticket, "retorque", "wheel_nuts", "left")
    line = house.line(ticket, "retorque")
    for said, state in (("", "open"), (False, "open"), (True, "complete")):
        house.record(line, RETORQUE, studs_looked=said)
        line.refresh_from_db()
        assert line.state == state
