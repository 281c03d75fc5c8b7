"""The second check: by nobody who did a line of the ticket."""

from typing import Any

import pytest

from fleet.operations import repair
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
