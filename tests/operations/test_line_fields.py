"""What each line must record before it is complete, read from the rules themselves.

The rows of the table of actions are data (fixtures/rules/actions.json). For every action a whole
entry makes the line complete, and each required field that is left out is named.
"""

import json
from collections.abc import Iterator
from typing import Any

import pytest

from fleet.calc import requirements
from fleet.operations import line_view, lines, repair
from fleet.operations.reference import FIXTURES
from fleet.reads.rules import RuleNow, rules
from fleet.records.models import Joint, LineEntry, Ticket, TicketLine, Vehicle
from tests.operations.conftest import SET_TOE, START, TRACK_BAR, House
from tests.operations.tables import heavy_truck, refusal, row_counts, undone

ACTIONS: dict[str, Any] = json.loads((FIXTURES / "rules/actions.json").read_text())
# The choice to make where the first on the list would be refused or say less.
CHOOSE = {"own_check": "wrench", "toe_basis": "spec", "wheel_off": "yes"}


def sample(field: dict[str, Any]) -> str | bool:
    """A value that a careful person could have typed."""
    kind = field["type"]
    if kind == "choice":
        codes = [choice["code"] for choice in field["choices"]]
        return CHOOSE.get(field["name"], str(codes[0]))
    if kind == "torque" and field.get("max") == 2000:
        return "125 lbf·ft"
    middle = (field.get("min", 0) + field.get("max", 10)) / 2
    typed: dict[str, str | bool] = {
        "confirm": True, "count": str(int(field.get("min", 1))), "number": f"{middle:.2f}",
        "degrees": f"{middle:.1f}°", "length": f"{middle * 1000:.1f} mm",
        "pressure": "241 kPa", "person": "R. Voss", "text": "as the manual says",
        "tool": "TW-1", "torque": f"{middle:.2f} N·m",
    }  # fmt: skip
    return typed[kind]


def whole(fields: list[Any], wanted: Any = None) -> dict[str, Any]:
    """Every required field that applies, and what `wanted` needs to apply itself."""
    by_name = {field["name"]: field for field in fields}
    chosen: dict[str, Any] = {}
    while wanted is not None and "when" in wanted:
        asked = wanted["when"]
        chosen[asked["field"]] = asked["in"][0] if "in" in asked else asked["is"]
        wanted = by_name[asked["field"]]
    typed = {
        field["name"]: chosen.get(field["name"], sample(field))
        for field in fields
        if field.get("required") or field["name"] in chosen
    }
    read = requirements.read_fields(fields, typed)
    assert not read.problems, read.problems
    return {name: typed[name] for name in read.values}


class Fleet:
    """Two trucks that between them have a joint for every action."""

    def __init__(self, house: House) -> None:
        self.house, self.vehicles = house, (house.vehicle, heavy_truck(house))

    def place(self, action: str) -> tuple[Vehicle, Joint | None]:
        kinds = ACTIONS[action]["kinds"]
        if not kinds:
            return self.house.vehicle, None
        wanted = ["track_bar_frame_end"] if kinds == "any" else kinds
        joint = Joint.objects.filter(
            kind__code__in=wanted, vehicle__in=self.vehicles
        ).select_related("kind", "vehicle").first()  # fmt: skip
        assert joint is not None, f"no joint for {action}"
        return Vehicle.objects.select_related("design__linkage").get(pk=joint.vehicle_id), joint


def asked(rule: RuleNow, vehicle: Vehicle, joint: Joint | None) -> list[Any]:
    """The fields of a line where no figure is on file."""
    return line_view.fields_for(rule, vehicle, joint, {})


@pytest.fixture
def fleet(house: House) -> Fleet:
    return Fleet(house)


def test_a_whole_entry_completes_the_line_of_every_action(
    fleet: Fleet, subtests: pytest.Subtests
) -> None:
    table = rules("action")
    for action in ACTIONS:
        with subtests.test(action), undone():
            vehicle, joint = fleet.place(action)
            new = repair.NewTicket(vehicle.pk, lines=((action, joint.pk if joint else None),))
            ticket = repair.open_ticket(fleet.house.technician, new, at=START).row
            line = ticket.lines.get(action=action)
            typed = whole(asked(table[action], vehicle, joint))
            by_name = {field["name"] for field in table[action].data["fields"]}
            if "out_of_band_reason" in by_name:
                # No figure is on file for most joints: it says where the wrench's stands.
                typed["out_of_band_reason"] = "Ridgeline manual, page 12"
            repair.record_line(fleet.house.technician, repair.Entry(line.pk, typed), at=START)
            line.refresh_from_db()
            assert line.state == "complete", named(line)


def named(line: TicketLine) -> list[str]:
    job_line = next(v for v in line_view.views(line.ticket) if v.line.pk == line.pk)
    vehicle = Vehicle.objects.select_related("design__linkage").get(pk=line.ticket.vehicle_id)
    return [problem.code + " " + problem.field for problem in lines.lacks(job_line, vehicle)]


def required(fleet: Fleet) -> Iterator[tuple[str, Vehicle, Joint | None, list[Any], Any]]:
    table = rules("action")
    for action in ACTIONS:
        vehicle, joint = fleet.place(action)
        fields = asked(table[action], vehicle, joint)
        for field in fields:
            if field.get("required"):
                yield action, vehicle, joint, fields, field


def lacking(vehicle: Vehicle, joint: Joint | None, action: str, typed: Any) -> set[Any]:
    rule = rules("action")[action]
    data = requirements.read_fields(asked(rule, vehicle, joint), typed).values
    line = TicketLine(action=action, joint=joint, entry=LineEntry(data=data))
    found = lines.lacks(line_view.LineView(line, rule), vehicle)
    assert all(problem.line and str(problem.message) for problem in found)
    return {(problem.code, problem.field) for problem in found}


def test_each_required_field_that_is_left_out_is_named(
    fleet: Fleet, subtests: pytest.Subtests
) -> None:
    for action, vehicle, joint, fields, field in required(fleet):
        with subtests.test(action=action, field=field["name"]):
            typed = whole(fields, field)
            assert field["name"] in typed
            assert lacking(vehicle, joint, action, typed) == set()
            del typed[field["name"]]
            assert lacking(vehicle, joint, action, typed) == {("missing", field["name"])}


def test_what_has_to_be_confirmed_is_not_confirmed_by_a_no(
    fleet: Fleet, subtests: pytest.Subtests
) -> None:
    for action, vehicle, joint, fields, field in required(fleet):
        if field.get("must") is True:
            with subtests.test(action=action, field=field["name"]):
                typed = {**whole(fields, field), field["name"]: False}
                assert lacking(vehicle, joint, action, typed) == {("must", field["name"])}


# A few words of the table of actions beside the fields that stand for them.
WORDS = {
    "replace_rod_end": [
        "part_number", "part_lot", "as_found", "threads_counted", "stud_length", "thread_hand",
        "least_engagement", "mid_travel", "clamps_clear", "torque", "tool", "thread_condition",
        "new_pin", "taper_clean", "greased", "full_lock", "hoses_clear"],
    "replace_track_bar": [
        "hole_looked", "shank_looked", "sleeve_looked", "bracket_looked", "ride_height",
        "axle_left", "axle_right", "wheel_centre_looked"],
    "retorque": ["tool", "torque", "turned", "degrees", "thread_condition"],
    "repair_hole": [
        "hole_first", "hole_second", "bolt_shank", "sleeve_length", "bracket_gap", "method",
        "welder", "welder_qualification", "battery_off", "shielded", "frame_procedure"],
    "set_toe": [
        "found_rear", "found_front", "left_rear", "left_front", "same_mark", "rolled",
        "toe_height", "toe_span", "ride_height", "gear_centred", "wheel_centred", "read_again"],
    "centre_wheel": [
        "turns_lock_to_lock", "gear_on_centre", "degrees_before", "degrees_after",
        "clamps_torqued", "spline_not_moved", "angle_sensor"],
    "replace_ball_joint": ["seated_by", "nut_order", "torque", "new_pin", "turning_effort"],
    "replace_kingpin": ["seated_by", "nut_order", "turning_effort", "greased_raised"],
    "unit_hub": ["torque", "axle_nut_torque", "before_weight"],
    "adjustable_hub": ["end_play", "lock", "seated_turning"],
    "replace_link": ["part_number", "torque", "ride_height", "tool"],
    "replace_u_bolts": ["new_each_time", "crosswise", "loaded"],
    "adjust_gear": ["linkage_sound", "drag_link_off", "preload", "preload_per_service", "no_bind"],
    "tyre_or_wheel": ["pressure", "balance", "run_out_checked", "replaced"],
    "grease": ["joints_greased", "clean_grease", "boot_whole"],
    "full_alignment": [
        "caster_left", "caster_right", "camber_left", "camber_right", "toe_total", "done_by",
        "sheet", "caster_spec_low", "camber_spec_high", "toe_spec_low"],
    "clean_protect": ["what"],
    "outside_shop": ["what", "done_by", "sheet", "own_check"],
}  # fmt: skip


def test_the_words_of_the_table_stand_as_required_fields(subtests: pytest.Subtests) -> None:
    for action, names in WORDS.items():
        with subtests.test(action):
            asked = {field["name"] for field in ACTIONS[action]["fields"] if field.get("required")}
            assert set(names) <= asked


def test_what_can_t_be_read_is_refused_and_nothing_is_written(house: House) -> None:
    ticket = house.ticket(("replace_track_bar", "track_bar_frame_end"))
    line = house.line(ticket, "replace_track_bar")
    before = row_counts()
    found = refusal(
        lambda: house.record(line, TRACK_BAR, torque="1e400", axle_left="a foot", tool="TW-77",
                             end_kind="magnet", colour="red")
    )  # fmt: skip
    assert found == {
        ("exponent", "torque"), ("missing_number", "axle_left"), ("tool_unknown", "tool"),
        ("not_a_choice", "end_kind"), ("field_unknown", "colour"),
    }  # fmt: skip
    assert row_counts() == before


def test_a_missing_figure_leaves_the_line_open_and_is_named_with_its_line(house: House) -> None:
    ticket = house.ticket(("replace_track_bar", "track_bar_frame_end"))
    line = house.line(ticket, "replace_track_bar")
    house.record(line, TRACK_BAR, torque="")
    line.refresh_from_db()
    assert line.state == "open"
    view = next(view for view in line_view.views(ticket) if view.line.pk == line.pk)
    (problem,) = lines.lacks(view, house.vehicle)
    assert problem.line == "Replace track bar: Track bar, frame end"
    assert problem.line_id == line.pk
    assert "Torque as left" in problem.message


def test_recording_again_stands_in_place_of_the_earlier_and_keeps_it(house: House) -> None:
    ticket = house.ticket(("set_toe", None))
    line = house.line(ticket, "set_toe")
    first = house.record(line, SET_TOE, left_front="46")
    house.later(minutes=20)
    second = house.record(line, SET_TOE)
    line.refresh_from_db()
    assert (line.entry, second.replaces) == (second, first)
    assert LineEntry.objects.filter(line=line).count() == 2


def test_a_heated_part_that_stays_holds_the_truck_and_its_line_stays_open(house: House) -> None:
    ticket = house.ticket(("replace_track_bar", "track_bar_frame_end"))
    line = house.line(ticket, "replace_track_bar")
    house.record(line, TRACK_BAR, heat_used="kept")
    line.refresh_from_db()
    assert line.state == "open"
    assert ticket.holds.get(lifted_at=None).joint == line.joint
    for heat in ("part_replaced", "maker_allows", "no"):
        leave = {"heat_leave": "Foothill manual, page 9"} if heat == "maker_allows" else {}
        house.record(line, TRACK_BAR, heat_used=heat, **leave)
        line.refresh_from_db()
        assert line.state == "complete"
    # The maker's leave is named: where it stands in the service information.
    house.record(line, TRACK_BAR, heat_used="maker_allows")
    line.refresh_from_db()
    assert line.state == "open"


def test_an_outside_shop_s_line_on_a_hold_joint_needs_our_own_wrench_or_look(
    house: House,
) -> None:
    ticket = house.ticket(("outside_shop", "pitman_arm"))
    line = house.line(ticket, "outside_shop")
    typed = {"what": "arm replaced", "done_by": "an outside shop", "sheet": "77"}
    for own, state in (("not_hold", "open"), ("look", "complete")):
        house.record(line, typed, own_check=own)
        line.refresh_from_db()
        assert line.state == state


def test_the_part_put_in_place_is_kept_with_its_lot(house: House) -> None:
    ticket = house.ticket(("replace_track_bar", "track_bar_frame_end"))
    house.record(house.line(ticket, "replace_track_bar"), TRACK_BAR)
    part = house.joint().part_changes.get()
    assert (part.number, part.lot) == ("TB-114", "L7")
    assert house.joint().state.part == part


def test_no_line_twice_and_no_work_on_the_wrong_joint(house: House) -> None:
    ticket = house.ticket(("retorque", "track_bar_frame_end"))
    cases = {
        ("retorque", "track_bar_frame_end"): ("line_twice", "action"),
        ("replace_u_bolts", "track_bar_frame_end"): ("joint_wrong", "joint"),
        ("retorque", None): ("joint_wrong", "joint"),
        ("set_toe", "track_bar_frame_end"): ("joint_not_wanted", "joint"),
        ("polish", None): ("action_unknown", "action"),
    }
    before = row_counts()
    for (action, kind), expected in cases.items():
        assert refusal(house.add_line, ticket, action, kind) == {expected}
    assert row_counts() == before
    assert Ticket.objects.get().lines.count() == 1
