"""The second check: nobody who did a line, or, last, oneself with leave."""

from typing import Any

import pytest

from fleet.operations import complain, repair
from fleet.operations.errors import Refused
from fleet.records.models import (
    Finding,
    Person,
    SecondCheck,
    Ticket,
)
from tests import people
from tests.operations.conftest import RETORQUE, SET_TOE, TRACK_BAR, House
from tests.operations.tables import refusal, row_counts, state_of, undone, worked

FRAME = "track_bar_frame_end"
CLEANED = {"what": "washed"}


CHECKS: list[tuple[str, dict[str, Any], set[tuple[str, str]]]] = [
    # who, how, what the sheet says, what is named
    ("technician", {}, {("same_person", "")}),
    ("technician", {"how": "witness"}, {("same_person", "")}),
    ("colleague", {}, set()),
    ("colleague", {"dry_steer": False}, {("dry_steer_missing", "dry_steer")}),
    ("colleague", {"passed": False}, {("note_missing", "note")}),
    ("colleague", {"passed": False, "note": "nut looks dry"}, set()),
    ("colleague", {"how": "witness"}, set()),
    ("colleague", {"how": "distance"}, set()),
    ("untrained", {}, set()),
    ("untrained", {"how": "witness"}, {("not_trained", "how")}),
    ("untrained", {"how": "distance"}, {("not_trained", "how")}),
    ("colleague", {"how": "by ear"}, {("how_unknown", "how")}),
    ("manager", {}, set()),
]


def test_who_may_make_the_second_check_and_how(house: House, subtests: pytest.Subtests) -> None:
    ticket = worked(house)
    untrained = type(house.driver)(people.person("Newcomer", "technician", house.yard))
    for who, given, named in CHECKS:
        by = untrained if who == "untrained" else getattr(house, who)
        with subtests.test(who=who, given=given), undone():
            if named:
                before = row_counts()
                assert refusal(house.check, ticket, by, **given) == named
                assert row_counts() == before
            else:
                house.check(ticket, by, **given)


def test_having_found_the_fault_or_held_the_wheel_does_not_bar(house: House) -> None:
    finder = Person.objects.get(pk=house.colleague.person.pk)
    look = house.look(FRAME, "play", method="dry_steer")
    house.technician, house.colleague = house.colleague, house.technician
    house.inspect(look, second_person_id=finder.pk)
    house.technician, house.colleague = house.colleague, house.technician
    ticket = Ticket.objects.get()
    house.record(house.line(ticket, "replace_track_bar"), TRACK_BAR)
    house.record(house.line(ticket, "set_toe"), SET_TOE)
    assert Finding.objects.get().by == house.colleague.person
    house.check(ticket, house.colleague)
    assert state_of(ticket) == "checked"


@pytest.mark.parametrize("named", ["Colleague", "colleague"])
def test_who_did_a_line_that_another_entered_is_barred_too(house: House, named: str) -> None:
    ticket = house.ticket(("retorque", FRAME))
    entry = repair.Entry(house.line(ticket, "retorque").pk, RETORQUE, done_by=named)
    repair.record_line(house.technician, entry, at=house.now)
    assert refusal(lambda: house.check(ticket)) == {("same_person", "")}


def test_the_second_check_asks_for_all_that_the_work_lacks(house: House) -> None:
    ticket = house.ticket(("retorque", FRAME))
    named = refusal(lambda: house.check(ticket))
    assert {("missing", "torque"), ("missing", "tool"), ("missing", "turned")} <= named


def test_it_is_passed_once(house: House) -> None:
    ticket = worked(house)
    house.check(ticket)
    assert refusal(lambda: house.check(ticket)) == {("already_checked", "")}
    assert SecondCheck.objects.count() == 1


def test_a_failed_check_opens_the_ticket_again(house: House) -> None:
    ticket = worked(house)
    house.check(ticket)
    house.check(ticket, passed=False, note="nut looks dry")
    assert state_of(ticket) == "open"
    house.check(ticket)
    assert state_of(ticket) == "checked"


# The last resort of a small crew ---------------------------------------------------------------


def self_check(house: House, ticket: Ticket, **changed: Any) -> set[tuple[str, str]]:
    given = {
        "how": "self", "note": "witness mark, with a mirror", "dry_steer": True, "passed": True,
        "allowed_by_id": house.manager.person.pk, **changed,
    }  # fmt: skip
    try:
        house.check(ticket, house.technician, **given)
    except Refused as refused:
        return {(problem.code, problem.field) for problem in refused.problems}
    return set()


def test_by_oneself_only_with_leave_after_a_pause_by_another_method(
    house: House, subtests: pytest.Subtests
) -> None:
    ticket = worked(house)
    cases: list[tuple[dict[str, float], dict[str, Any], set[tuple[str, str]]]] = [
        ({"minutes": 29}, {}, {("pause_missing", "how")}),
        ({"minutes": 30}, {}, set()),
        ({"hours": 1}, {"note": ""}, {("note_missing", "note")}),
        ({"hours": 1}, {"allowed_by_id": None}, {("leave_missing", "allowed_by")}),
        ({"hours": 1}, {"allowed_by_id": house.colleague.person.pk},
         {("leave_missing", "allowed_by")}),
    ]  # fmt: skip
    start = house.now
    for pause, changed, named in cases:
        house.now = start
        house.later(**pause)
        with subtests.test(pause=pause, changed=changed), undone():
            assert self_check(house, ticket, **changed) == named


def test_it_is_named_so_in_the_file(house: House) -> None:
    ticket = worked(house)
    house.later(hours=1)
    assert self_check(house, ticket) == set()
    check = SecondCheck.objects.get()
    assert (check.how, check.allowed_by) == ("self", house.manager.person)


BARRED = ("self_check_barred", "how")


def test_never_by_oneself_after_oscillation(house: House) -> None:
    report = complain.Report(house.vehicle.pk, "axle_oscillation")
    complain.report_complaint(house.driver, report, at=house.now)
    ticket = worked(house)
    house.later(hours=1)
    assert BARRED in self_check(house, ticket)


def test_never_by_oneself_after_a_crack(house: House) -> None:
    house.inspect(house.look(FRAME, "cracked", method="look"))
    house.later(hours=1)
    assert BARRED in self_check(house, Ticket.objects.get())


def test_never_by_oneself_after_opened_steering(house: House) -> None:
    ticket = house.ticket(("set_toe", None))
    house.record(house.line(ticket, "set_toe"), SET_TOE)
    house.later(hours=1)
    assert BARRED in self_check(house, ticket)
