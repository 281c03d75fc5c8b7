"""What a calendar feed tells: each event, its changes and its end. RFC sections stand beside."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client

from fleet.operations import feed_events
from fleet.operations.feeds import NewFeed
from fleet.records.models import (
    Feed,
    FeedEvent,
    Person,
    Posting,
    Recheck,
    Vehicle,
    Visit,
    VisitPerson,
    VisitWork,
    Yard,
)
from tests import build, people, strict_calendar
from tests.build import NOW
from tests.feeds.conftest import fetched, later, move, only, pay, subscribe
from tests.strict_calendar import NotStrict


def test_it_works(path: str, owed: Recheck) -> None:
    event = only(fetched(path))
    assert event.values["UID"] == str(owed.uid)
    assert event.day() == owed.due_on
    assert event.day("DTEND") - event.day() == timedelta(days=1)
    assert event.text("SUMMARY").startswith("A-101: Track bar, frame end")
    assert "By date: Nov 30, 2026" in event.text("DESCRIPTION")
    assert "service information governs" in event.text("DESCRIPTION")
    assert event.text("LOCATION") == "Alder"
    assert event.values["URL"] == "http://testserver/vehicles/A-101/"
    assert (event.values["SEQUENCE"], event.values["STATUS"]) == ("0", "CONFIRMED")


def test_the_calendar_is_named_and_says_when_to_look_again(path: str, owed: Recheck) -> None:
    """RFC 7986, 5.1 NAME, 5.2 DESCRIPTION, 5.3 UID, 5.4 LAST-MODIFIED, 5.7 REFRESH-INTERVAL."""
    found = fetched(path)
    assert found.text("NAME") == "Alder: what is due"
    assert "Lena" in found.text("DESCRIPTION")
    assert found.values["UID"] == str(Feed.objects.get().uid)
    assert found.values["REFRESH-INTERVAL"] == "PT1H"
    assert found.values["LAST-MODIFIED"] == f"{NOW:%Y%m%dT%H%M%SZ}"
    assert "METHOD" not in found.values


def test_nothing_owed_is_a_calendar_all_the_same(path: str) -> None:
    """RFC 5545, 3.6 asks for a component, but no reader refuses an empty calendar."""
    assert fetched(path).inside == []


def test_a_moved_date_raises_the_sequence_and_keeps_the_uid(path: str, owed: Recheck) -> None:
    """RFC 5545, 3.8.7.4: DTSTART is among what makes a significant revision."""
    before = only(fetched(path))
    move(owed, owed.falls_on + timedelta(days=3))
    with later(hours=2):
        after = only(fetched(path))
    assert after.values["UID"] == before.values["UID"]
    assert after.day() == before.day() + timedelta(days=3)
    assert (before.values["SEQUENCE"], after.values["SEQUENCE"]) == ("0", "1")
    for name in ("DTSTAMP", "LAST-MODIFIED"):
        # 3.8.7.2: with no METHOD, DTSTAMP is when the event was last revised.
        assert after.values[name] == f"{NOW + timedelta(hours=2):%Y%m%dT%H%M%SZ}"
        assert before.values[name] == f"{NOW:%Y%m%dT%H%M%SZ}"


def test_other_words_move_the_moment_and_not_the_sequence(
    path: str, owed: Recheck, lena: Person
) -> None:
    before = only(fetched(path))
    Recheck.objects.update(assigned_to=lena)
    with later(hours=2):
        after = only(fetched(path))
    assert "Assigned to Lena" in after.text("DESCRIPTION")
    assert after.values["SEQUENCE"] == before.values["SEQUENCE"]
    assert after.values["LAST-MODIFIED"] > before.values["LAST-MODIFIED"]


def test_nothing_new_is_the_same_bytes(path: str, owed: Recheck) -> None:
    first = Client().get(path)
    with later(days=1):
        assert Client().get(path).content == first.content


@pytest.mark.parametrize("end", [{"state": "done", "done_at": NOW}, {"state": "dropped"}])
def test_what_is_owed_no_longer_is_told_as_cancelled_for_a_while(
    path: str, owed: Recheck, end: dict[str, Any]
) -> None:
    """RFC 5545, 3.8.1.11 STATUS:CANCELLED, as a change with a SEQUENCE of its own."""
    fetched(path)
    Recheck.objects.filter(pk=owed.pk).update(**end)
    with later(hours=1):
        event = only(fetched(path))
    assert (event.values["STATUS"], event.values["SEQUENCE"]) == ("CANCELLED", "1")
    assert event.text("SUMMARY").startswith("A-101: Track bar, frame end")
    with later(days=35):
        assert only(fetched(path)).values["STATUS"] == "CANCELLED"
    with later(days=36):
        assert fetched(path).inside == []


def test_what_nobody_was_told_of_is_not_cancelled(path: str, owed: Recheck) -> None:
    pay(owed)
    assert fetched(path).inside == []


def test_what_comes_back_goes_on_from_its_sequence(
    path: str, owed: Recheck, truck: Vehicle
) -> None:
    """Laid up, a vehicle's days stand still; brought back long after, they are owed again."""
    fetched(path)
    Vehicle.objects.update(status="laid_up", laid_up_on=NOW.date())
    with later(hours=1):
        assert only(fetched(path)).values["STATUS"] == "CANCELLED"
    with later(days=60):
        assert fetched(path).inside == []
        Vehicle.objects.update(status="in_service", laid_up_on=None)
        event = only(fetched(path))
    assert (event.values["STATUS"], event.values["SEQUENCE"]) == ("CONFIRMED", "2")


def test_overdue_is_said_in_the_summary(path: str, truck: Vehicle) -> None:
    build.recheck(truck, due_in=-3)
    event = only(fetched(path))
    assert event.text("SUMMARY").startswith("Overdue: A-101")
    assert event.day() == NOW.date() - timedelta(days=3)


def test_the_day_is_a_day_of_the_yard_and_has_no_zone(lena: Person) -> None:
    """RFC 5545, 3.3.4. On both days on which clocks change, on a leap day, over the year's end."""
    yard = build.yard("Mesa", time_zone="Pacific/Auckland")
    Posting.objects.create(person=lena, yard=yard)
    days = [date(2027, 4, 4), date(2027, 9, 26), date(2026, 12, 31), date(2027, 2, 28)]
    truck = build.vehicle(yard)
    for number, day in enumerate(days):
        build.recheck(truck, due_on=day, falls_on=day, ladder=f"ladder_{number}")
    found = fetched(subscribe(lena, NewFeed("yard", yard_id=yard.pk)))
    assert [event.day() for event in found.inside] == sorted(days)
    assert all(event.day("DTEND") - event.day() == timedelta(days=1) for event in found.inside)


def test_a_leap_day(path: str, truck: Vehicle) -> None:
    leap = date(2028, 2, 29)
    with time_machine.travel(datetime(2028, 2, 1, 12, tzinfo=UTC), tick=False):
        build.recheck(truck, due_on=leap, falls_on=leap)
        event = only(fetched(path))
    assert (event.values["DTSTART"], event.values["DTEND"]) == ("20280229", "20280301")


def test_words_are_escaped_and_folded_whatever_they_are(path: str, alder: Yard) -> None:
    """RFC 5545, 3.1 folding and 3.3.11 escaping; the strict reader checks every line."""
    Yard.objects.update(name="Río; Álamo, «Alto»\\Bajo: " + "ñ" * 40)
    truck = build.vehicle(alder, "A;1,\\x")
    build.recheck(truck)
    found = fetched(path)
    place = only(found).text("LOCATION")
    assert place == Yard.objects.get().name
    assert only(found).text("SUMMARY").startswith("A;1,\\x: ")
    assert found.text("NAME").startswith("Río; Álamo, «Alto»\\Bajo: ñ")


def test_it_speaks_its_owners_language(path: str, lena: Person, owed: Recheck) -> None:
    Person.objects.filter(pk=lena.pk).update(language="es")
    answer = Client().get(path, headers={"Accept-Language": "en"})
    assert "Rige la información" in strict_calendar.read(answer.content).inside[0].text(
        "DESCRIPTION"
    )


def test_a_planned_visit_takes_the_place_of_its_rechecks(
    path: str, owed: Recheck, truck: Vehicle, alder: Yard
) -> None:
    """Its uid, its day, its sequence; taken out, its rechecks are back."""
    build.recheck(truck, ladder="other")
    assert len(fetched(path).inside) == 2
    visit = _planned(truck, owed.falls_on - timedelta(days=1), people.technician(alder))
    found = {each.values["UID"]: each for each in fetched(path).inside}
    event = found.pop(str(visit.uid))
    assert (event.day(), event.values["SEQUENCE"]) == (visit.day, "4")
    assert event.text("SUMMARY") == "A-101: planned visit, 2 rechecks"
    assert "Made by Technician" in event.text("DESCRIPTION")
    assert {each.values["STATUS"] for each in found.values()} == {"CANCELLED"}
    visit.works.update(live=False)
    found = {each.values["UID"]: each for each in fetched(path).inside}
    assert found.pop(str(visit.uid)).values["STATUS"] == "CANCELLED"
    assert {each.values["SEQUENCE"] for each in found.values()} == {"2"}


def test_who_is_named_for_a_visit_finds_it_in_their_own_calendar(
    owed: Recheck, truck: Vehicle, alder: Yard
) -> None:
    who = people.technician(alder)
    path = subscribe(who, NewFeed("person", person_id=who.pk))
    assert fetched(path).inside == []
    visit = _planned(truck, owed.falls_on, who)
    assert only(fetched(path)).values["UID"] == str(visit.uid)


def _planned(truck: Vehicle, day: date, who: Person) -> Visit:
    """All that a truck owes, on one day."""
    visit = Visit.objects.create(
        vehicle=truck, yard=truck.yard, day=day, bay=1, minutes=60, sequence=4, changed_at=NOW
    )
    VisitPerson.objects.create(visit=visit, person=who, minutes=60)
    VisitWork.objects.bulk_create(
        VisitWork(visit=visit, recheck=row, minutes=30) for row in truck.rechecks.all()
    )
    return visit


def test_two_that_fetch_at_once_count_a_change_once(
    path: str, owed: Recheck, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The one that comes second finds the change made when it has the lock."""
    fetched(path)
    move(owed, owed.falls_on + timedelta(days=1))
    store: Callable[..., None] = feed_events._store
    feed = Feed.objects.select_related("owner", "yard").get()

    def late(*given: Any) -> None:
        monkeypatch.setattr(feed_events, "_store", store)
        known, now = given[1], given[2]
        store(feed, known, now, given[3])
        store(feed, feed_events._known(feed, now, given[3]), now, given[3])

    monkeypatch.setattr(feed_events, "_store", late)
    assert only(fetched(path)).values["SEQUENCE"] == "1"
    assert FeedEvent.objects.count() == 1


@pytest.mark.parametrize("size", [1, 40])
def test_a_fetch_asks_as_often_for_many_as_for_one(
    size: int, path: str, alder: Yard, django_assert_num_queries: Any
) -> None:
    truck = build.vehicle(alder)
    for number in range(size):
        build.recheck(truck, ladder=f"ladder_{number}")
    Client().get(path)
    with django_assert_num_queries(7):
        Client().get(path)


@pytest.mark.parametrize(
    "wrong",
    [
        b"BEGIN:VCALENDAR\nVERSION:2.0\nEND:VCALENDAR\n",
        b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nEND:VCALENDAR\r\n",
        b"BEGIN:VCALENDAR\r\nPRODID:a\r\nVERSION:2.0\r\nNAME:a,b\r\nEND:VCALENDAR\r\n",
        b"BEGIN:VCALENDAR\r\nPRODID:" + b"a" * 80 + b"\r\nVERSION:2.0\r\nEND:VCALENDAR\r\n",
    ],
    ids=["bare line ends", "no PRODID", "a comma as it is", "a long line"],
)
def test_the_strict_reader_is_strict(wrong: bytes) -> None:
    with pytest.raises(NotStrict):
        strict_calendar.read(wrong)
