"""Moved to the yard only: decided by a trained person, bounded, and the hold stays."""

from datetime import timedelta
from typing import Any

import pytest

from fleet.operations import complain, holds, meters, vehicles, yard_moves
from fleet.operations.errors import Refused
from fleet.operations.work import Work
from fleet.reads.yard_moves import Standing, move_on, standing
from fleet.records.models import Hold, TrailEntry, YardMove, YardMoveEnd
from tests import build, people
from tests.operations.conftest import House
from tests.operations.tables import refusal, row_counts


def hold(house: House, text: str = "Bent") -> Hold:
    return holds.place_hold(house.driver, house.vehicle.pk, text, at=house.now).row


def oscillated(house: House) -> None:
    report = complain.Report(house.vehicle.pk, "axle_oscillation")
    complain.report_complaint(house.driver, report, at=house.now)


def decide(house: House, by: Any = None, **changed: Any) -> YardMove:
    given = {"route": "County road 7", "speed_typed": "20 mph", **changed}
    leave = yard_moves.Leave(house.vehicle.pk, **given)
    return yard_moves.decide_move(by or house.technician, leave, at=house.now).row


def end(house: House, move: YardMove, how: str = "arrived", **more: Any) -> YardMoveEnd:
    ended = yard_moves.End(how, **more)
    return yard_moves.end_move(house.driver, move.pk, ended, at=house.now).row


def read(house: House, typed: str) -> None:
    meters.record_meter(house.driver, meters.Reading(house.vehicle.pk, typed), at=house.now)


def used_holds(house: House) -> int:
    return Hold.objects.filter(reason="used_while_held", lifted_at=None).count()


# Who decides what ------------------------------------------------------------------------------


def test_it_has_a_route_a_speed_a_time_and_a_name_and_the_hold_stays(house: House) -> None:
    held = hold(house)
    move = decide(house, hours=2)
    assert (move.route, move.speed_typed) == ("County road 7", "20 mph")
    assert move.speed_m_s == pytest.approx(8.9408)  # 1 mph = 0.44704 m/s exactly
    assert move.until - house.now == timedelta(hours=2)
    assert move.by == house.technician.person
    held.refresh_from_db()
    assert held.lifted_at is None
    told = TrailEntry.objects.get(verb="decide_move")
    assert (told.actor_id, told.vehicle_id) == (house.technician.person.pk, house.vehicle.pk)


def test_it_lasts_as_long_as_the_fleet_allows_unless_a_shorter_time_is_said(house: House) -> None:
    hold(house)
    assert decide(house).until - house.now == timedelta(hours=24)


def test_a_bare_speed_is_in_the_yards_unit_and_kept_as_typed(house: House) -> None:
    hold(house)
    move = decide(house, speed_typed=" 20 ")
    assert move.speed_typed == "20"
    assert move.speed_m_s == pytest.approx(8.9408)


def test_what_is_missing_is_named_all_at_once(house: House, subtests: pytest.Subtests) -> None:
    hold(house)
    before = row_counts()
    cases: list[tuple[dict[str, Any], set[tuple[str, str]]]] = [
        ({"route": " "}, {("route_missing", "route")}),
        ({"route": "x" * 201}, {("too_long", "route")}),
        ({"speed_typed": ""}, {("speed_missing", "speed_typed")}),
        ({"speed_typed": "0 mph"}, {("speed_missing", "speed_typed")}),
        ({"speed_typed": "20 knots"}, {("speed_unit", "speed_typed")}),
        ({"speed_typed": "999 mph"}, {("speed_too_fast", "speed_typed")}),
        ({"hours": 0.0}, {("hours_wrong", "hours")}),
        ({"hours": 24.5}, {("hours_wrong", "hours")}),
        ({"hours": float("nan")}, {("hours_wrong", "hours")}),
        ({"route": "", "speed_typed": "", "hours": -1.0},
         {("route_missing", "route"), ("speed_missing", "speed_typed"), ("hours_wrong", "hours")}),
    ]  # fmt: skip
    for changed, named in cases:
        with subtests.test(changed=changed):
            assert refusal(decide, house, **changed) == named
            assert row_counts() == before


def test_only_a_trained_person_decides(house: House) -> None:
    hold(house)
    newcomer = type(house.driver)(people.person("Newcomer", "technician", house.yard))
    assert refusal(decide, house, newcomer) == {("not_trained", "")}
    # A manager is not trained by being one.
    assert refusal(decide, house, house.manager) == {("not_trained", "")}


def test_a_truck_that_nothing_holds_needs_no_leave(house: House) -> None:
    assert refusal(decide, house) == {("not_held", "")}
    vehicles.let_go(house.manager, house.vehicle.pk, "sold", at=house.now)
    assert refusal(decide, house) == {("out_of_fleet", "")}


def test_two_at_once_there_are_not(house: House) -> None:
    hold(house)
    first = decide(house, hours=1)
    assert refusal(decide, house, house.colleague) == {("move_stands", "")}
    house.later(hours=1)
    second = decide(house)
    assert (first.follows, second.follows) == (None, first)


# After an oscillation it is towed --------------------------------------------------------------


def test_after_an_oscillation_the_answer_is_tow_it(house: House) -> None:
    oscillated(house)
    with pytest.raises(Refused, match="Tow it: its axle has oscillated"):
        decide(house)
    both = {("tow_it", "why_not_towed"), ("tow_it", "tow_ruled_out")}
    assert refusal(decide, house) == both
    words = "The ford is up: no tow truck reaches it before night"
    assert refusal(decide, house, why_not_towed=words) == {("tow_it", "tow_ruled_out")}
    no_words = refusal(decide, house, why_not_towed=" 42. ", tow_ruled_out=True)
    assert no_words == {("tow_it", "why_not_towed")}
    move = decide(house, why_not_towed=words, tow_ruled_out=True)
    assert (move.after_oscillation, move.why_not_towed) == (True, words)
    assert TrailEntry.objects.get(verb="decide_move").reason == words


def test_an_oscillation_that_holds_it_no_more_asks_nothing(house: House) -> None:
    build.complaint(house.vehicle, house.driver.person)
    hold(house)
    assert not decide(house).after_oscillation


def test_an_oscillation_on_the_way_takes_the_leave_back(house: House) -> None:
    hold(house)
    move = decide(house)
    house.later(minutes=10)
    oscillated(house)
    move.refresh_from_db()
    assert (move.end.how, move.end.occurred_at) == ("taken_back", house.now)
    assert "Whole axle oscillating" in move.end.note
    assert refusal(decide, house) >= {("tow_it", "why_not_towed")}


@pytest.mark.parametrize("reason", ["missed", "lapsed"])
def test_a_hold_of_the_clock_tells_nothing_new_of_the_truck(house: House, reason: str) -> None:
    hold(house)
    move = decide(house)
    work = Work(house.manager, house.now)
    holds.place(work, house.vehicle, reason, "Late")
    assert standing(move, house.now) == Standing.STANDS


# How it ends -----------------------------------------------------------------------------------


def test_it_lapses_and_reads_so_while_the_truck_is_held(house: House) -> None:
    hold(house)
    decide(house, hours=1)
    move = move_on(house.vehicle)
    assert move is not None
    assert standing(move, house.now + timedelta(minutes=59)) == Standing.STANDS
    assert standing(move, house.now + timedelta(hours=1)) == Standing.LAPSED


def test_the_driver_says_that_it_has_arrived(house: House) -> None:
    hold(house)
    move = decide(house)
    start = house.now
    house.later(hours=1)
    early = refusal(end, house, move, occurred_at=start - timedelta(minutes=1))
    assert early == {("before_leave", "occurred_at")}
    row = end(house, move, occurred_at=start + timedelta(minutes=40))
    assert row.occurred_at == start + timedelta(minutes=40)
    assert refusal(end, house, move) == {("move_over", "")}
    assert used_holds(house) == 0
    decide(house, house.colleague)


def test_it_is_taken_back_with_a_reason(house: House) -> None:
    hold(house)
    move = decide(house)
    house.later(minutes=5)
    assert refusal(end, house, move, "taken_back") == {("note_missing", "note")}
    assert refusal(end, house, move, "flew") == {("how_unknown", "how")}
    long = refusal(end, house, move, "taken_back", note="x" * 301)
    assert long == {("too_long", "note")}
    row = end(house, move, "taken_back", note="The bridge is closed")
    # It ends when it is taken back, whatever is said.
    assert row.occurred_at == house.now
    found = move_on(house.vehicle)
    assert found is not None
    assert standing(found, house.now) == Standing.TAKEN_BACK


def test_what_has_lapsed_is_not_taken_back(house: House) -> None:
    hold(house)
    move = decide(house, hours=1)
    house.later(hours=2)
    assert refusal(end, house, move, "taken_back", note="late") == {("move_over", "")}
    decide(house)
    assert refusal(end, house, move) == {("move_over", "")}


def test_when_nothing_holds_it_any_more_its_leave_is_over(house: House) -> None:
    held = hold(house)
    move = decide(house)
    check = holds.Check(dry_steer=True, note="Looked over.")
    holds.lift_hold(house.manager, held.pk, check, at=house.now)
    move.refresh_from_db()
    assert move.end.how == "taken_back"
    assert move_on(house.vehicle) is None
    house.later(hours=1)
    hold(house, "Bent again")
    # What was decided for another hold is not shown beside this one.
    assert move_on(house.vehicle) is None
    decide(house)
