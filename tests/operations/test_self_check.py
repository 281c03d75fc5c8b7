"""The last resort of a small crew: one's own work checked again, with a manager's leave."""

from datetime import timedelta
from typing import Any

import pytest

from fleet.operations import complain, leaves
from fleet.operations.errors import Refused
from fleet.records.models import SecondCheck, SelfCheckLeave, Ticket, TrailEntry
from tests import build, people
from tests.operations.conftest import SET_TOE, House
from tests.operations.tables import refusal, row_counts, undone, worked

FRAME = "track_bar_frame_end"


def self_check(house: House, ticket: Ticket, **changed: Any) -> set[tuple[str, str]]:
    given = {
        "how": "self", "note": "witness mark, with a mirror", "dry_steer": True, "passed": True,
        **changed,
    }  # fmt: skip
    try:
        house.check(ticket, house.technician, **given)
    except Refused as refused:
        return {(problem.code, problem.field) for problem in refused.problems}
    return set()


def allow(house: House, ticket: Ticket, who: Any = None, **changed: Any) -> SelfCheckLeave:
    person = (who or house.technician).person
    asked = leaves.SelfCheck(**{"person_id": person.pk, "reason": "Alone at the yard", **changed})
    return leaves.allow_self_check(house.manager, ticket.pk, asked, at=house.now).row


def test_by_oneself_only_with_leave_after_a_pause_by_another_method(
    house: House, subtests: pytest.Subtests
) -> None:
    ticket = worked(house)
    allow(house, ticket)
    cases: list[tuple[dict[str, float], dict[str, Any], set[tuple[str, str]]]] = [
        ({"minutes": 29}, {}, {("pause_missing", "how")}),
        ({"minutes": 30}, {}, set()),
        ({"hours": 1}, {"note": ""}, {("note_missing", "note")}),
    ]
    start = house.now
    for pause, changed, named in cases:
        house.now = start
        house.later(**pause)
        with subtests.test(pause=pause, changed=changed), undone():
            assert self_check(house, ticket, **changed) == named


LEAVE_MISSING = {("leave_missing", "how")}


def test_without_a_managers_leave_it_is_refused_with_what_to_do(house: House) -> None:
    ticket = worked(house)
    house.later(hours=1)
    with pytest.raises(Refused, match="A manager has to allow you a self re-check"):
        house.check(ticket, house.technician, how="self", note="with a mirror")
    allow(house, ticket, house.colleague)
    assert self_check(house, ticket) == LEAVE_MISSING


def test_leave_is_for_one_ticket(house: House) -> None:
    allow(house, worked(house))
    other = build.ticket(build.vehicle(house.yard, "B-2", design=house.design),
                         house.technician.person, house.now)  # fmt: skip
    house.later(hours=1)
    assert self_check(house, other) >= LEAVE_MISSING


def test_leave_lapses_after_the_fleets_time_and_counts_from_when_it_was_given(
    house: House, subtests: pytest.Subtests
) -> None:
    ticket = worked(house)
    before = house.now
    house.later(hours=1)
    given = house.now
    assert allow(house, ticket).until - given == timedelta(hours=24)
    cases: list[tuple[timedelta, timedelta, set[tuple[str, str]]]] = [
        # entered after so long, checked after so long, what is named
        (timedelta(hours=23), timedelta(hours=23), set()),
        (timedelta(hours=24), timedelta(hours=24), LEAVE_MISSING),
        (timedelta(hours=30), timedelta(hours=2), set()),
        (timedelta(hours=1), before - given + timedelta(minutes=40), LEAVE_MISSING),
    ]
    for entered, checked, named in cases:
        house.now = given + entered
        with subtests.test(entered=entered, checked=checked), undone():
            assert self_check(house, ticket, occurred_at=given + checked) == named


def test_leave_that_was_taken_back_stands_no_more(house: House) -> None:
    ticket = worked(house)
    leave = allow(house, ticket)
    house.later(hours=1)
    leaves.take_leave_back(house.manager, leave.pk, "Colleague is back", at=house.now)
    assert self_check(house, ticket) == LEAVE_MISSING
    again = refusal(leaves.take_leave_back, house.manager, leave.pk, "once more", at=house.now)
    assert again == {("taken_back", "")}
    allow(house, ticket)
    assert self_check(house, ticket) == set()


def test_taking_back_says_why_and_only_what_stands(house: House) -> None:
    leave = allow(house, worked(house))
    take = leaves.take_leave_back
    assert refusal(take, house.manager, leave.pk, " ", at=house.now) == {
        ("reason_missing", "reason")
    }
    house.later(hours=25)
    assert refusal(take, house.manager, leave.pk, "late", at=house.now) == {("lapsed", "")}


def test_a_manager_allows_it_to_another_who_works_here_and_says_why(
    house: House, subtests: pytest.Subtests
) -> None:
    ticket = worked(house)
    elsewhere = people.stranger(build.yard("Birch"))
    gone = people.person("Gone", "technician", house.yard, is_active=False)
    cases: list[tuple[dict[str, Any], set[tuple[str, str]]]] = [
        ({"reason": "  "}, {("reason_missing", "reason")}),
        ({"reason": "x" * 301}, {("too_long", "reason")}),
        ({"person_id": None}, {("person_wrong", "person")}),
        ({"person_id": house.manager.person.pk}, {("person_wrong", "person")}),
        ({"person_id": house.driver.person.pk}, {("person_wrong", "person")}),
        ({"person_id": elsewhere.pk}, {("person_wrong", "person")}),
        ({"person_id": gone.pk}, {("person_wrong", "person")}),
    ]
    before = row_counts()
    for changed, named in cases:
        with subtests.test(changed=changed):
            assert refusal(allow, house, ticket, **changed) == named
            assert row_counts() == before
    allow(house, ticket)
    assert refusal(allow, house, ticket) == {("leave_stands", "person")}
    house.check(ticket)
    assert refusal(allow, house, ticket, house.colleague) == {("already_checked", "")}


def test_it_is_named_so_in_the_file(house: House) -> None:
    ticket = worked(house)
    leave = allow(house, ticket)
    house.later(hours=1)
    assert self_check(house, ticket) == set()
    check = SecondCheck.objects.get()
    assert (check.how, check.leave, leave.by) == ("self", leave, house.manager.person)
    assert (leave.technician, leave.reason) == (house.technician.person, "Alone at the yard")
    told = TrailEntry.objects.get(verb="allow_self_check")
    assert (told.actor_id, told.reason) == (house.manager.person.pk, "Alone at the yard")


def test_a_check_by_another_needs_no_leave_and_names_none(house: House) -> None:
    ticket = worked(house)
    allow(house, ticket)
    house.check(ticket)
    assert SecondCheck.objects.get().leave is None


BARRED = ("self_check_barred", "how")


def test_never_by_oneself_after_oscillation(house: House) -> None:
    report = complain.Report(house.vehicle.pk, "axle_oscillation")
    complain.report_complaint(house.driver, report, at=house.now)
    ticket = worked(house)
    house.later(hours=1)
    assert BARRED in self_check(house, ticket)
    assert refusal(allow, house, ticket) == {BARRED}


def test_never_by_oneself_after_a_crack(house: House) -> None:
    house.inspect(house.look(FRAME, "cracked", method="look"))
    house.later(hours=1)
    assert BARRED in self_check(house, Ticket.objects.get())
    assert refusal(allow, house, Ticket.objects.get()) == {BARRED}


def test_never_by_oneself_after_opened_steering(house: House) -> None:
    ticket = house.ticket(("set_toe", None))
    house.record(house.line(ticket, "set_toe"), SET_TOE)
    house.later(hours=1)
    assert BARRED in self_check(house, ticket)
    assert refusal(allow, house, ticket) == {BARRED}


def test_leave_given_before_the_steering_was_opened_helps_nobody(house: House) -> None:
    ticket = worked(house)
    allow(house, ticket)
    house.add_line(ticket, "set_toe", None)
    house.record(house.line(ticket, "set_toe"), SET_TOE)
    house.later(hours=1)
    assert BARRED in self_check(house, ticket)
