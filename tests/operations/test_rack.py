"""A rack's sheet: toe out of specification does not close; caster and camber out need a reason.

The figures of the design on file and of the sheet are the test's own, invented.
"""

from datetime import timedelta
from typing import Any

import pytest

from fleet.operations import alignment_specs
from fleet.operations.alignment_specs import NewAlignment, Sides
from fleet.records.models import Recheck
from tests.operations.conftest import SET_TOE, House
from tests.operations.tables import refusal, row_counts, undone

RACK: dict[str, Any] = {
    "caster_left": "4.1", "caster_right": "4.4", "caster_spec_low": "3.0",
    "caster_spec_high": "5.5", "camber_left": "0.2", "camber_right": "0.1",
    "camber_spec_low": "-0.5", "camber_spec_high": "0.7", "toe_total": "0.10",
    "toe_spec_low": "0.00", "toe_spec_high": "0.25", "done_by": "Basin Wheel and Axle (invented)",
    "sheet": "BW-1",
}  # fmt: skip
REASON = {("angle_out", "out_of_spec_reason")}
WHY = {"out_of_spec_reason": "Offset joint on order; caster is not adjustable here"}
MANUAL = "Foothill service manual, invented"
CASES: list[tuple[dict[str, Any], set[tuple[str, str]]]] = [
    ({}, set()),
    # At the line is inside.
    ({"caster_left": "3.0", "camber_right": "0.7", "toe_total": "0.25"}, set()),
    ({"caster_left": "2.9"}, REASON),
    ({"caster_right": "5.6"}, REASON),
    ({"camber_left": "-0.6"}, REASON),
    ({"caster_left": "2.9", **WHY}, set()),
    # Toe is set on the tie rod: no reason closes it.
    ({"toe_total": "0.26"}, {("toe_out", "toe_total")}),
    ({"toe_total": "-0.01", **WHY}, {("toe_out", "toe_total")}),
    ({"caster_spec_low": "6"}, {("sides_swapped", "caster_spec_high"), *REASON}),
    ({"done_by": ""}, {("missing", "done_by")}),
    ({"sheet": ""}, {("missing", "sheet")}),
]


def lacks(house: House, **typed: Any) -> set[tuple[str, str]]:
    """What the close of a rack's line names."""
    ticket = house.ticket(("full_alignment", None))
    house.record(house.line(ticket, "full_alignment"), RACK, **typed)
    try:
        return refusal(lambda: house.close(ticket))
    except pytest.fail.Exception:
        return set()


def test_a_racks_figures_are_judged_by_its_sheet(house: House, subtests: pytest.Subtests) -> None:
    for typed, named in CASES:
        with subtests.test(typed=typed), undone():
            assert lacks(house, **typed) == named


def test_what_the_design_has_on_file_counts_beside_the_sheet(house: House) -> None:
    """A sheet printed for another vehicle shows so."""
    on_file = NewAlignment(house.design.pk, caster=Sides("4.2", "5.5", MANUAL))
    alignment_specs.set_alignment(house.manager, on_file, at=house.now)
    with undone():
        assert lacks(house) == REASON  # 4.1 is inside the sheet's 3.0 to 5.5, not the file's
    assert lacks(house, caster_left="4.3") == set()


def test_the_rack_is_done_only_when_its_figures_stand(house: House) -> None:
    house.repair(("set_toe", None, SET_TOE))
    owed = Recheck.objects.get(kind="rack")
    house.later(days=3)
    ticket = house.ticket(("full_alignment", None))
    line = house.line(ticket, "full_alignment")
    house.record(line, RACK, toe_total="0.4")
    assert refusal(lambda: house.close(ticket)) == {("toe_out", "toe_total")}
    owed.refresh_from_db()
    assert owed.state == "owed"
    house.later(minutes=30)
    house.record(line, RACK)
    house.close(ticket)
    owed.refresh_from_db()
    assert (owed.state, owed.done_by_line) == ("done", line)


ALIGNMENTS: list[tuple[dict[str, Any], set[tuple[str, str]]]] = [
    ({"toe": Sides("0", "1/8 in", MANUAL)}, set()),
    ({"camber": Sides("-0.5", "0,7", MANUAL)}, set()),
    ({"caster": Sides("3")}, {("side_missing", "caster_high")}),
    ({"caster": Sides("5", "3", MANUAL)}, {("high_below_low", "caster_high")}),
    ({"caster": Sides("3", "5", " ")}, {("source_missing", "caster_source")}),
    ({"camber": Sides("25", "26", MANUAL)},
     {("degrees_wrong", "camber_low"), ("degrees_wrong", "camber_high")}),
    ({"toe": Sides("a bit", "1/8 in", MANUAL)}, {("missing_number", "toe_low")}),
    ({"caster": Sides("3", "5", "p" * 161)}, {("too_long", "caster_source")}),
]  # fmt: skip


def test_what_a_designs_alignment_is_refused_for(house: House, subtests: pytest.Subtests) -> None:
    for given, named in ALIGNMENTS:
        with subtests.test(given=given), undone():
            before, new = row_counts(), NewAlignment(house.design.pk, **given)
            if named:
                set_it = alignment_specs.set_alignment
                assert refusal(set_it, house.manager, new, at=house.now) == named
                assert row_counts() == before
                continue
            row = alignment_specs.set_alignment(house.manager, new, at=house.now).row
            what, sides = next(iter(given.items()))
            assert getattr(row, f"{what}_source") == sides.source
            assert getattr(row, f"{what}_typed") == f"{sides.low} – {sides.high}"


def test_what_is_left_empty_is_off_file(house: House) -> None:
    row = alignment_specs.set_alignment(
        house.manager, NewAlignment(house.design.pk), at=house.now + timedelta(days=1)
    ).row
    assert (row.toe_low_m, row.toe_typed, row.toe_source) == (None, "", "")
