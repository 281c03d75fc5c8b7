"""One vehicle's file asked for, answered, withdrawn: who may, and what it says."""

from datetime import timedelta
from typing import Any

import pytest

from fleet.operations import files
from fleet.operations.actor import Actor
from fleet.records.models import FileAnswer, FileRequest, TrailEntry
from tests import people
from tests.operations.conftest import House
from tests.operations.tables import refusal, row_counts


def ask(house: House, by: Actor, **changed: Any) -> FileRequest:
    values = {"why": "yearly audit", "wanted_by": house.now.date() + timedelta(days=9)}
    asked = files.Ask(house.vehicle.pk, **{**values, **changed})
    return files.ask_for_file(by, asked, at=house.now).row


@pytest.fixture
def auditor(house: House) -> Actor:
    return Actor(people.reader(house.yard))


def test_a_reader_asks_in_their_own_name(house: House, auditor: Actor) -> None:
    row = ask(house, auditor)
    assert (row.who, row.vehicle, row.end) == ("Reader", house.vehicle, None)
    entry = TrailEntry.objects.get(verb="ask_for_file")
    assert (entry.vehicle_id, entry.reason) == (house.vehicle.pk, "yearly audit")


def test_a_manager_writes_down_who_asks_outside_the_fleet(house: House, auditor: Actor) -> None:
    row = ask(house, house.manager, asker="Ida Fennwick, county office")
    assert (row.who, row.by) == ("Ida Fennwick, county office", house.manager.person)
    unnamed, named = {("asker_missing", "asker")}, {("asker_not_wanted", "asker")}
    assert refusal(ask, house, house.manager, asker=" ") == unnamed
    assert refusal(ask, house, auditor, asker="Somebody else") == named


WRONG = [
    ({"why": " "}, {("why_missing", "why")}),
    ({"why": "x" * 301}, {("too_long", "why")}),
    ({"wanted_by": -1}, {("wanted_past", "wanted_by")}),
    ({"until": 1}, {("day_to_come", "until")}),
    ({"since": 1}, {("day_to_come", "since")}),
    ({"since": -3, "until": -9}, {("days_swapped", "until")}),
]


@pytest.mark.parametrize(("changed", "named"), WRONG)
def test_what_for_of_which_days_and_by_when(
    house: House, auditor: Actor, changed: dict[str, Any], named: set[tuple[str, str]]
) -> None:
    before, today = row_counts(), house.now.date()
    days = {k: today + timedelta(days=v) for k, v in changed.items() if isinstance(v, int)}
    assert refusal(ask, house, auditor, **{**changed, **days}) == named
    assert row_counts() == before


def test_today_is_the_yards_day(house: House, auditor: Actor) -> None:
    """An evening in Denver is the next day in UTC."""
    house.now = house.now.replace(day=2, hour=4)
    ask(house, auditor, wanted_by=house.now.date() - timedelta(days=1))


def test_an_answer_says_what_was_handed_over_and_ends_it(house: House, auditor: Actor) -> None:
    asked = ask(house, auditor)
    given = (asked.pk, "Printed, 9 pages")
    assert refusal(files.answer_file, house.manager, asked.pk, " ", at=house.now) == {
        ("text_missing", "text")
    }
    row = files.answer_file(house.manager, *given, at=house.later(days=1)).row
    assert (row.kind, row.by, row.text) == ("answered", house.manager.person, "Printed, 9 pages")
    asked.refresh_from_db()
    assert asked.end == row
    over = {("request_over", "")}
    assert refusal(files.answer_file, house.manager, *given, at=house.now) == over
    assert refusal(files.withdraw_file, auditor, asked.pk, "late", at=house.now) == over
    assert FileAnswer.objects.count() == 1


def test_it_is_withdrawn_by_who_asked_or_by_a_manager(house: House, auditor: Actor) -> None:
    other = Actor(people.person("Second reader", "reader", house.yard))
    first, second = ask(house, auditor), ask(house, auditor)
    assert refusal(files.withdraw_file, other, first.pk, "mine", at=house.now) == {
        ("not_yours", "")
    }
    assert refusal(files.withdraw_file, auditor, first.pk, " ", at=house.now) == {
        ("reason_missing", "reason")
    }
    mine = files.withdraw_file(auditor, first.pk, "asked twice", at=house.now).row
    theirs = files.withdraw_file(house.manager, second.pk, "audit called off", at=house.now).row
    assert {mine.kind, theirs.kind} == {"withdrawn"}
