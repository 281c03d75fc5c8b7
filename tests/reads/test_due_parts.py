"""The due list in pages: the same rows in the same order as the plain list, and counts that say
where they stop."""

from datetime import timedelta
from typing import Any

import pytest
from django.test import RequestFactory
from django.utils import timezone

from fleet.operations.meters import Reading, record_meter
from fleet.reads import due_parts
from fleet.reads.due import overdue, owed, owed_or_done
from fleet.reads.due_filter import DueFilter
from fleet.reads.due_parts import LongPaginator, PartsPaginator, in_parts
from fleet.records.models import Person, Recheck, Vehicle, Yard
from tests import build, people
from tests.build import NOW
from tests.operations.conftest import RETORQUE, make_house

CHOICES = ("", "when=late", "when=week", "when=later", "when=held", "when=laid_up",
           "when=put_off", "kind=annual", "meter=stale", "meter=fresh", "assigned_to=null",
           "yard=alder", "state=missed", "vehicle=b-2", "within=5")  # fmt: skip


@pytest.fixture
def manager(db: None) -> Person:
    return people.manager()


@pytest.fixture
def fleet(manager: Person) -> list[Recheck]:
    """Late, missed, soon, later, by the meter, laid up, sold, held: at yards with other days."""
    made: list[Recheck] = []
    for number, zone in enumerate(("America/Denver", "Pacific/Auckland", "Pacific/Honolulu")):
        yard = build.yard("Alder" if not number else f"Yard {number}", time_zone=zone)
        for nth, status in enumerate(("in_service", "in_service", "laid_up", "out")):
            laid = {"laid_up_on": NOW.date()} if status == "laid_up" else {}
            of = build.vehicle(yard, f"B-{number * 4 + nth}", status=status, **laid)
            build.meter(of, 48_000, manager)
            made += _rows(of)
    build.hold(made[0].vehicle, manager)
    return made


def _rows(of: Vehicle) -> list[Recheck]:
    days = {-3: "missed", -1: "owed", 0: "owed", 1: "owed", 7: "owed", 8: "owed", 40: "owed"}
    made = [
        build.recheck(of, due_in=day, state=state, kind="annual", ladder=f"x{day}")
        for day, state in days.items()
    ]
    return [*made, build.recheck(of, due_in=3, state="done", ladder="x3", done_at=NOW)]


def plain(person: Person, asked: str) -> list[int]:
    """By the filter alone, over the list that was always there."""
    return list(_filter(person, asked, owed(person)).qs.values_list("pk", flat=True))


def parts(person: Person, asked: str) -> Any:
    chosen = _filter(person, asked, owed_or_done(person))
    rows = chosen.qs
    when = chosen.form.cleaned_data.get("when")
    return in_parts(rows, when, list(Yard.visible_to(person)), timezone.now())


def _filter(person: Person, asked: str, rows: Any) -> DueFilter:
    request = RequestFactory().get(f"/due/?{asked}")
    request.user = person
    return DueFilter(request.GET, queryset=rows, request=request)


@pytest.mark.parametrize("asked", CHOICES)
def test_each_choice_gives_what_the_plain_list_gives(
    manager: Person, fleet: list[Recheck], asked: str
) -> None:
    wanted = plain(manager, asked)
    found = parts(manager, asked)
    assert found.head(1_000) == wanted
    assert found.count() == len(wanted)
    assert [row.pk for row in found.rows(wanted)] == wanted


def test_what_the_meter_makes_late_falls_in_the_range_that_late_is_looked_for_in(
    db: None,
) -> None:
    """By the operations: a reading past its use moves the day it falls on to that reading's."""
    house = make_house()
    house.repair(("retorque", "track_bar_frame_end", RETORQUE))
    row = Recheck.objects.get(
        ladder="track_bar", state="owed", joint__kind__code="track_bar_frame_end"
    )
    house.later(days=1)
    record_meter(house.manager, Reading(house.vehicle.pk, "48,400"), at=house.now)
    row.refresh_from_db()
    assert row.due_on is not None
    assert row.due_on > house.now.date() + timedelta(days=1)
    late = overdue(Recheck.objects.all(), [house.yard], house.now)
    assert row in late
    assert row.falls_on <= house.now.date() + timedelta(days=due_parts.MARGIN)


class TestPages:
    def test_beyond_what_is_counted_it_says_more_and_any_page_may_be_asked_for(
        self, manager: Person, fleet: list[Recheck], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(due_parts, "COUNTED", 10)
        wanted = plain(manager, "")
        pages = LongPaginator(parts(manager, ""), 4)
        page = pages.get_page("2")
        assert ([row.pk for row in page], page.has_next()) == (wanted[4:8], True)
        assert (pages.count, pages.more) == (10, True)
        deep = LongPaginator(parts(manager, ""), 4).get_page(9)
        assert [row.pk for row in deep] == wanted[32:36]
        assert (deep.has_previous(), deep.next_page_number()) == (True, 10)

    @pytest.mark.parametrize("asked", ["99", "9999999999999"])
    def test_a_page_past_the_end_gives_the_last_or_the_first_where_it_is_no_number(
        self, manager: Person, fleet: list[Recheck], asked: str
    ) -> None:
        wanted = plain(manager, "")
        page = LongPaginator(parts(manager, ""), 50).get_page(asked)
        last = wanted[50:] if asked == "99" else wanted[:50]
        assert [row.pk for row in page] == last

    def test_all_that_there_is_is_counted_below_a_thousand(
        self, manager: Person, fleet: list[Recheck]
    ) -> None:
        pages = LongPaginator(parts(manager, "when=late"), 5)
        pages.get_page(1)
        assert (pages.count, pages.more) == (len(plain(manager, "when=late")), False)

    def test_with_nothing_there_is_one_empty_page(self, manager: Person) -> None:
        page = LongPaginator(parts(manager, ""), 50).get_page(3)
        assert (list(page), page.number, page.has_other_pages()) == ([], 1, False)

    def test_the_api_counts_all(
        self, manager: Person, fleet: list[Recheck], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(due_parts, "COUNTED", 10)
        pages = PartsPaginator(parts(manager, ""), 4)
        assert (pages.count, len(pages.page(3))) == (len(plain(manager, "")), 4)
