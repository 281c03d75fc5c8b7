"""Complaints: the worst kinds hold the truck at once, and the unsaid is judged with care."""

from datetime import timedelta
from typing import Any

import pytest

from fleet.operations import complain, vehicles
from fleet.operations.errors import NotThere
from fleet.records.models import Complaint, ComplaintKind, Hold, Ticket, Yard
from tests import build, people
from tests.operations.conftest import RETORQUE, SET_TOE, TRACK_BAR, House
from tests.operations.tables import refusal, row_counts, undone

YES, NO, UNSAID = True, False, None
HOLDS: list[tuple[str, dict[str, bool | None], bool]] = [
    ("axle_oscillation", {}, True),
    ("stiff_or_binding", {}, True),
    ("wheel_off_centre", {"sudden": YES}, True),
    ("wheel_off_centre", {"sudden": UNSAID}, True),
    ("wheel_off_centre", {"sudden": NO}, False),
    ("hit_something", {"steering_changed": YES}, True),
    ("hit_something", {"steering_changed": UNSAID}, True),
    ("hit_something", {"steering_changed": NO}, False),
    # What else was said changes nothing for these.
    ("wheel_shake", {"sudden": YES, "stopped_only_when_slowed": YES}, False),
    ("wander", {"after_bump": YES}, False),
    ("pull", {"under_braking": YES}, False),
    ("clunk", {"steering_changed": YES}, False),
]


def report(house: House, kind: str = "axle_oscillation", **said: Any) -> Complaint:
    given = complain.Report(house.vehicle.pk, kind, **said)
    return complain.report_complaint(house.driver, given, at=house.now).row


def test_every_kind_of_complaint_is_tried() -> None:
    assert {kind for kind, _said, _held in HOLDS} == set(ComplaintKind.values)


def test_which_complaints_hold_the_truck_at_once(house: House, subtests: pytest.Subtests) -> None:
    for kind, said, held in HOLDS:
        with subtests.test(kind=kind, said=said), undone():
            complaint = report(house, kind, **said)
            assert complaint.held is held
            holds = Hold.objects.filter(vehicle=house.vehicle, lifted_at=None)
            assert [hold.complaint for hold in holds] == [complaint] * held


SPEEDS = [
    ("45 mph", "us", 45 * 0.44704),  # 1 mph = 0.44704 m/s exactly (NIST SP 811, from memory)
    ("45", "us", 45 * 0.44704),
    ("45mph", "us", 45 * 0.44704),
    ("72 km/h", "us", 20.0),
    ("72", "metric", 20.0),
    ("72 KM/H", "metric", 20.0),
    ("45 mph", "metric", 45 * 0.44704),
    ("", "us", None),
    ("   ", "us", None),
]


def test_speed_is_read_in_the_unit_typed_else_in_the_yards(
    house: House, subtests: pytest.Subtests
) -> None:
    for typed, units, expected in SPEEDS:
        with subtests.test(typed=typed, units=units), undone():
            Yard.objects.update(units=units)
            complaint = report(house, speed_typed=typed)
            assert complaint.speed_typed == typed.strip()
            assert complaint.speed_m_s == (expected and pytest.approx(expected))


@pytest.mark.parametrize("typed", ["fast", "45 knots", "-45 mph", "1e400", "900 mph", "45" * 20])
def test_a_speed_that_can_be_none_is_refused_and_nothing_is_written(
    house: House, typed: str
) -> None:
    before = row_counts()
    assert {field for _code, field in refusal(lambda: report(house, speed_typed=typed))} == {
        "speed_typed"
    }
    assert row_counts() == before


def test_a_kind_that_is_not_on_the_list_is_refused(house: House) -> None:
    assert refusal(lambda: report(house, "hunch")) == {("kind_unknown", "kind")}


def test_a_text_longer_than_its_column_is_refused_by_name(house: House) -> None:
    found = refusal(lambda: report(house, tyre_pressures="x" * 81, load="y" * 81))
    assert found == {("too_long", "tyre_pressures"), ("too_long", "load")}


def test_a_truck_that_has_left_takes_no_complaint(house: House) -> None:
    vehicles.let_go(house.manager, house.vehicle.pk, "sold", at=house.now)
    assert refusal(lambda: report(house)) == {("out_of_fleet", "")}


def test_a_complaint_keeps_the_meter_and_the_rule_it_was_judged_by(house: House) -> None:
    complaint = report(house)
    assert complaint.use_si == 77_248_512  # 48,000 mi in metres
    assert complaint.rule_version == 1


def test_the_driver_gets_an_answer_back(house: House) -> None:
    complaint = report(house)
    answer = complain.answer_complaint(
        house.technician, complaint.pk, " The track bar was loose. ", at=house.now
    ).row
    assert list(complaint.answers.all()) == [answer]
    assert answer.text == "The track bar was loose."
    told = refusal(complain.answer_complaint, house.technician, complaint.pk, "  ", at=house.now)
    assert told == {("text_missing", "text")}


def test_nobody_answers_a_complaint_of_another_yard(house: House) -> None:
    stranger = type(house.driver)(people.stranger(build.yard("Birch")))
    complaint = report(house)
    answer = complain.answer_complaint
    refusal(answer, stranger, complaint.pk, "Seen.", at=house.now, raising=NotThere)


def test_the_first_work_after_a_complaint_takes_it_and_its_hold_along(house: House) -> None:
    complaint = report(house)
    house.later(hours=1)
    house.inspect(house.look("damper_link_end", "worn_out"))
    ticket = Ticket.objects.get()
    assert ticket.complaint == complaint
    assert {hold.ticket for hold in Hold.objects.filter(lifted_at=None)} == {ticket}


def test_a_complaint_after_the_road_test_undoes_the_second_check(house: House) -> None:
    """A hold placed while a ticket is on its way out is not lifted by what was passed before."""
    ticket = house.ticket(("retorque", "track_bar_frame_end"))
    house.record(house.line(ticket, "retorque"), RETORQUE)
    house.check(ticket)
    house.test_drive(ticket)
    house.later(minutes=5)
    report(house)
    ticket.refresh_from_db()
    assert ticket.state == "open"
    assert refusal(lambda: house.close(ticket)) == {("second_check_missing", "")}
    assert Hold.objects.get(lifted_at=None).ticket == ticket


def test_a_complaint_that_comes_to_an_open_ticket_is_answered_by_it(house: House) -> None:
    """The damper alone does not lift the hold of an oscillation that was reported meanwhile."""
    ticket = house.ticket(("replace_damper", "damper_link_end"))
    report(house)
    typed = {
        "part_number": "D-1", "part_lot": "L1", "as_found": "worn_out", "torque": "60 lbf·ft",
        "tool": "TW-1", "thread_condition": "dry", "full_lock": True, "hoses_clear": True,
        "out_of_band_reason": "Foothill manual, page 12",
    }  # fmt: skip
    house.record(house.line(ticket, "replace_damper"), typed)
    assert ("not_enough", "") in refusal(lambda: house.close(ticket))
    for action, kind, data in (("replace_track_bar", "track_bar_frame_end", TRACK_BAR),
                               ("set_toe", None, SET_TOE)):  # fmt: skip
        if kind:
            house.add_line(ticket, action, kind)
        house.record(house.line(ticket, action), data)
    house.check(ticket)
    house.test_drive(ticket)
    assert house.close(ticket).state == "closed"
    assert not Hold.objects.filter(lifted_at=None).exists()


def test_a_report_that_a_tablet_kept_is_dated_when_it_was_felt(house: House) -> None:
    complaint = report(house, occurred_at=house.now - timedelta(hours=9))
    assert complaint.received_at - complaint.occurred_at == timedelta(hours=9)
