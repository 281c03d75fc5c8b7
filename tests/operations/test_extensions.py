"""An extension on the wrench: the tool is judged by what it said, the fastener by what came.

The figure on file is 115 to 135 lbf·ft. TW-1 reaches from 30 to 250 lbf·ft and is 18 in from
drive to grip: with 3 in the fastener gets 7/6 of what it says, with 4.5 in 5/4.
"""

from typing import Any

import pytest

from fleet.operations import foretell, tools
from fleet.reads.pulls import as_pulled
from fleet.records.models import JointState, TicketLine, TorqueReading, TrailEntry
from tests.operations.conftest import RETORQUE, START, House, a_tool
from tests.operations.tables import refusal, row_counts, undone

FRAME = "track_bar_frame_end"
LBF_FT = 1.3558179483314003
SHORT, LONG = "3 in", "4 1/2 in"


@pytest.fixture
def measured(house: House) -> House:
    tools.set_lever(house.manager, house.tool.pk, "18 in", at=START)
    house.tool.refresh_from_db()
    return house


def record(house: House, **typed: Any) -> TorqueReading:
    ticket = house.ticket(("retorque", FRAME))
    house.record(house.line(ticket, "retorque"), RETORQUE, **typed)
    return TorqueReading.objects.latest("id")


def test_a_line_keeps_what_the_wrench_said_and_what_came_to_the_fastener(measured: House) -> None:
    reading = record(measured, torque="108 lbf·ft", extension=SHORT)
    assert (reading.typed, reading.extension_typed) == ("108 lbf·ft", SHORT)
    assert reading.extension_m == pytest.approx(0.0762)
    assert reading.torque_nm == pytest.approx(126 * LBF_FT)
    assert reading.band == "inside"
    told = "108 lbf·ft with 3 in extension: 126 lbf·ft at the bolt"
    assert as_pulled(reading) == told


def test_without_an_extension_nothing_is_added(measured: House) -> None:
    reading = record(measured)
    assert (reading.extension_typed, reading.extension_m) == ("", None)
    assert reading.torque_nm == pytest.approx(125 * LBF_FT)
    assert as_pulled(reading) == "125 lbf·ft"


CLOSES = [
    # what the wrench said, the extension, what the close names
    pytest.param("108", SHORT, set(), id="within the figure at the bolt"),
    pytest.param("98", SHORT, {("torque_below", "torque")}, id="below it all the same"),
    pytest.param("125", SHORT, {("torque_above", "new_fastener")}, id="above it at the bolt alone"),
    pytest.param("125", "0", set(), id="at a right angle it adds nothing"),
]


@pytest.mark.parametrize(("said", "extension", "named"), CLOSES)
def test_the_band_is_of_the_fastener_s_torque(
    measured: House, said: str, extension: str, named: set[tuple[str, str]]
) -> None:
    ticket = measured.ticket(("retorque", FRAME))
    line = measured.line(ticket, "retorque")
    measured.record(line, RETORQUE, torque=f"{said} lbf·ft", extension=extension)
    assert refusal(lambda: measured.close(ticket)) - {("second_check_missing", "")} == named
    complete = TicketLine.objects.get(pk=line.pk).state == TicketLine.State.COMPLETE
    assert complete == (not named)


def test_what_is_out_of_band_is_told_with_the_torque_at_the_bolt(measured: House) -> None:
    ticket = measured.ticket(("retorque", FRAME))
    measured.record(measured.line(ticket, "retorque"), RETORQUE, torque="90", extension=SHORT)
    with pytest.raises(Exception, match=r"90 with 3 in extension: 105 lbf·ft at the bolt is below"):
        measured.close(ticket)


def test_the_tool_s_range_is_of_what_the_wrench_said(measured: House) -> None:
    """240 lbf·ft stays within reach though 300 come to the bolt; 28 is below its range."""
    with undone():
        assert record(measured, torque="240 lbf·ft", extension=LONG).torque_nm == pytest.approx(
            300 * LBF_FT
        )
    found = refusal(lambda: record(measured, torque="28 lbf·ft", extension=LONG))
    assert found == {("tool_range", "tool")}


def test_a_comparison_is_good_at_what_the_wrench_said(measured: House) -> None:
    old = a_tool(measured.manager, measured.yard, "TW-9", good_until=START.date().replace(month=4))
    tools.set_lever(measured.manager, old.pk, "18 in", at=START)
    tools.compare(measured.technician, old.pk, measured.tool.pk, "108 lbf·ft",
                  ("108", "109", "107"), at=measured.now)  # fmt: skip
    reading = record(measured, torque="108 lbf·ft", extension=SHORT, tool=old.code)
    assert reading.tool_in_date


REFUSED = {
    "the tool's length is not on file": ("", SHORT, "no_tool_length"),
    "longer than the tool": ("18 in", "20 in", "extension_too_long"),
    "what is no length": ("18 in", "a bit", "missing_number"),
    "longer than anybody's": ("18 in", "4 ft", "too_large"),
}


def test_a_line_s_extension_is_refused_beside_its_field(
    house: House, subtests: pytest.Subtests
) -> None:
    line = house.line(house.ticket(("retorque", FRAME)), "retorque")
    for name, (lever, extension, code) in REFUSED.items():
        with subtests.test(name), undone():
            if lever:
                tools.set_lever(house.manager, house.tool.pk, lever, at=START)
            before = row_counts()
            found = refusal(lambda e=extension: house.record(line, RETORQUE, extension=e))
            assert found == {(code, "extension")}
            assert row_counts() == before


def test_what_to_do_about_a_tool_without_a_length(house: House) -> None:
    line = house.line(house.ticket(("retorque", FRAME)), "retorque")
    wanted = "Put the tool's length on file, drive to grip, or take a straight socket."
    with pytest.raises(Exception, match=wanted):
        house.record(line, RETORQUE, extension=SHORT)
    # At a right angle nothing is added, so nothing has to be known.
    house.record(line, RETORQUE, extension="0 in")


def pull(house: House, code: str = "tight", **typed: Any) -> Any:
    said = {"method": "wrench", "tool_id": house.tool.pk, "thread_condition": "dry", **typed}
    return house.look(FRAME, code, **said)


def test_a_look_is_judged_by_what_came_to_the_fastener(measured: House) -> None:
    look = pull(measured, torque="108 lbf·ft", extension=SHORT)
    measured.inspect(look, kind="retorque")
    reading = TorqueReading.objects.get()
    assert (reading.typed, reading.extension_typed, reading.band) == ("108 lbf·ft", SHORT, "inside")
    assert reading.torque_nm == pytest.approx(126 * LBF_FT)
    assert JointState.objects.get(joint=measured.joint()).last_torque == reading
    short = pull(measured, torque="95 lbf·ft", extension=SHORT)
    assert refusal(lambda: measured.inspect(short)) == {("torque_below", "findings.0.torque")}


def test_a_look_with_an_extension_is_refused_where_it_can_t_be_reckoned(house: House) -> None:
    look = pull(house, torque="108 lbf·ft", extension=SHORT)
    assert refusal(lambda: house.inspect(look)) == {("no_tool_length", "findings.0.extension")}
    tools.set_lever(house.manager, house.tool.pk, "18 in", at=START)
    for extension, code in (("20 in", "extension_too_long"), ("a bit", "missing_number")):
        look = pull(house, torque="108 lbf·ft", extension=extension)
        assert refusal(lambda one=look: house.inspect(one)) == {(code, "findings.0.extension")}


def test_the_range_of_a_look_s_tool_is_of_what_it_said(measured: House) -> None:
    far = pull(measured, "moved", degrees="5", torque="28 lbf·ft", extension=LONG)
    assert refusal(lambda: measured.inspect(far)) == {("tool_range", "findings.0.tool")}


def test_what_a_look_would_say_is_foretold_with_the_torque_at_the_bolt(measured: House) -> None:
    look = pull(measured, "moved", degrees="5", torque="125 lbf·ft", extension=SHORT)
    person = measured.technician.person
    (told,) = foretell.foretell(person, measured.vehicle, (look,), measured.now)
    assert told.band == "above"
    assert told.at_bolt == "with 3 in extension: 145.8 lbf·ft at the bolt"


def test_a_tool_s_length_is_measured_and_what_was_pulled_before_stays(measured: House) -> None:
    before = record(measured, torque="108 lbf·ft", extension=SHORT)
    tools.set_lever(measured.manager, measured.tool.pk, "460 mm", at=measured.now)
    measured.tool.refresh_from_db()
    assert (measured.tool.lever_typed, measured.tool.lever_m) == ("460 mm", 0.46)
    kept = TorqueReading.objects.get(pk=before.pk)
    assert kept.torque_nm == before.torque_nm
    entry = TrailEntry.objects.filter(verb="set_lever").latest("id")
    assert (entry.before, entry.after) == ({"lever": "18 in"}, {"lever": "460 mm"})


LENGTHS = [("", "lever_missing"), ("1 in", "lever_wrong"), ("18 ft", "lever_wrong"),
           ("long", "missing_number")]  # fmt: skip


@pytest.mark.parametrize(("typed", "code"), LENGTHS)
def test_a_length_that_no_wrench_has_is_refused(house: House, typed: str, code: str) -> None:
    found = refusal(tools.set_lever, house.manager, house.tool.pk, typed, at=START)
    assert found == {(code, "lever")}


def test_a_new_tool_may_come_with_its_length(house: House) -> None:
    new = tools.NewTool("TW-7", "half-inch", "set", "30 lbf·ft", "250 lbf·ft", house.yard.pk,
                        lever_typed="18 1/2 in")  # fmt: skip
    tool = tools.add_tool(house.manager, new, at=START).row
    assert tool.lever_typed == "18 1/2 in"
    assert tool.lever_m == pytest.approx(0.4699)


HUB = {
    "part_number": "H-1", "part_lot": "L2", "as_found": "worn_out", "torque": "125 lbf·ft",
    "tool": "TW-1", "thread_condition": "dry", "axle_nut_fitted": "yes",
    "axle_nut_torque": "150 lbf·ft", "axle_nut_tool": "TW-1", "before_weight": True,
    "wheel_off": "no", "axle_nut_extension": SHORT,
}  # fmt: skip


def test_each_wrench_of_a_line_has_its_own_extension(measured: House) -> None:
    ticket = measured.ticket()
    measured.add_line(ticket, "unit_hub", "unit_bearing", "left")
    measured.record(measured.line(ticket, "unit_hub"), HUB)
    pulled = {one.joint.kind.code: one for one in TorqueReading.objects.all()}
    assert pulled["hub_bolts"].extension_m is None
    assert pulled["axle_nut"].torque_nm == pytest.approx(175 * LBF_FT)
