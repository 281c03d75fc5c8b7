"""Welding: on a bracket only, by a named qualified welder; on a frame rail as its maker says.

Never on a bar, link, knuckle, arm or rod end (common practice, no source). Crack checks follow.
"""

from typing import Any

from fleet.operations import line_view, lines
from fleet.records.models import Recheck, TicketLine
from tests.operations.conftest import SET_TOE, House
from tests.operations.tables import refusal, undone

BRACKET = "track_bar_axle_bracket"
WELDED = {
    "fastened": "welded", "weld_on": "bracket", "welder": "1",
    "welder_qualification": "certificate W-7", "allowed_parts_only": True, "battery_off": True,
    "shielded": True,
}  # fmt: skip
PART = {"what": "axle bracket", "part_number": "AB-1", "part_lot": "L1", "as_found": "cracked"}
HOLE = {
    "as_found": "play", "hole_first": "0.602 in", "hole_second": "0.571 in",
    "bolt_shank": "0.548 in", "sleeve_length": "2.36 in", "bracket_gap": "2.41 in",
    "method": "weld_washer", "welded": "yes",
    **{name: said for name, said in WELDED.items() if name != "fastened"},
}  # fmt: skip


def named(house: House, line: TicketLine) -> set[tuple[str, str]]:
    view = next(v for v in line_view.views(line.ticket) if v.line.pk == line.pk)
    return {(p.code, p.field) for p in lines.lacks(view, house.vehicle)}


def lacks(house: House, action: str, kind: str, typed: dict[str, Any]) -> set[tuple[str, str]]:
    with undone():
        line = house.line(house.ticket((action, kind)), action)
        house.record(line, typed)
        return named(house, line)


def test_a_bracket_welded_on_names_its_welder_and_what_was_shielded(house: House) -> None:
    assert lacks(house, "replace_part", BRACKET, {**PART, **WELDED}) == set()
    for name in ("welder", "welder_qualification", "weld_on"):
        typed = {**PART, **WELDED, name: ""}
        assert lacks(house, "replace_part", BRACKET, typed) == {("missing", name)}
    for name in ("allowed_parts_only", "battery_off", "shielded"):
        typed = {**PART, **WELDED, name: False}
        assert lacks(house, "replace_part", BRACKET, typed) == {("must", name)}


def test_a_frame_rail_is_welded_by_its_makers_procedure_only(house: House) -> None:
    rail = {**PART, **WELDED, "weld_on": "frame_rail"}
    assert lacks(house, "replace_part", BRACKET, rail) == {("missing", "frame_procedure")}


def test_no_other_part_is_put_in_by_welding(house: House) -> None:
    """An arm, a clamp or a coupling: the choice is not there."""
    for kind in ("pitman_arm", "tie_rod_clamps", "steering_coupling"):
        with undone():
            line = house.line(house.ticket(("replace_part", kind)), "replace_part")
            found = refusal(lambda line=line: house.record(line, {**PART, "fastened": "welded"}))
            assert found == {("not_a_choice", "fastened")}


def test_a_weld_washer_is_not_put_on_without_welding(house: House) -> None:
    assert lacks(house, "repair_hole", BRACKET, HOLE) == set()
    typed = {**{n: s for n, s in HOLE.items() if n not in WELDED}, "welded": "no"}
    assert lacks(house, "repair_hole", BRACKET, typed) == {("weld_missing", "welded")}


def test_crack_checks_follow(house: House) -> None:
    ticket = house.ticket(("replace_part", BRACKET))
    house.record(house.line(ticket, "replace_part"), {**PART, **WELDED})
    for line in ticket.lines.filter(action="set_toe"):
        house.record(line, SET_TOE)
    house.check(ticket)
    house.test_drive(ticket)
    house.close(ticket)
    owed = Recheck.objects.get(ladder="hole_repaired")
    assert (owed.kind, owed.joint) == ("cracks", house.joint(BRACKET))
