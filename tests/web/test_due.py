"""Everything owed: what, when by which limit, how far through, and by whom."""

from datetime import timedelta
from typing import Any

import pytest

from fleet.records.models import Person, Yard
from tests import build, crowd, people
from tests.build import NOW
from tests.web.conftest import SIZES, Get, Queries

MILE = 1609.344


def owed(page: Any) -> list[Any]:
    return [item.recheck for item in page.context["items"]]


def test_nothing_owed_says_where_things_will_come_from(get: Get, manager: Person) -> None:
    assert "Repairs, findings and routines put their rechecks here." in get(manager, "/due/").text


def test_a_line_shows_the_first_of_distance_and_date_and_the_projection(
    get: Get, manager: Person, alder: Yard
) -> None:
    build.rule("ladder", "track_bar", {"names": {"en": "Track bar: both ends"}}, manager)
    truck = build.vehicle(alder, "AB-1")
    start = build.meter(truck, 48_000, manager).use_si - round(50 * MILE)
    build.recheck(truck, build.joint(truck), due_in=5, start_use_si=start,
                  due_use_si=start + round(100 * MILE), use_on_low=NOW.date() + timedelta(days=1),
                  use_on=NOW.date() + timedelta(days=2), use_on_high=NOW.date() + timedelta(days=3),
                  falls_on=NOW.date() + timedelta(days=2), assigned_to=manager)  # fmt: skip
    page = get(manager, "/due/")
    for text in ("Nov 27", "in 2 days", "48,050 mi", "Nov 30", "likely Nov 27", "Nov 26 to Nov 28",
                 "50%", "Track bar: both ends", "Track bar, frame end", "Manager"):  # fmt: skip
        assert text in page.text, text
    assert page.context["items"][0].first == "use"


def test_the_whole_front_end_is_named_by_its_routine(
    get: Get, manager: Person, alder: Yard
) -> None:
    build.rule("routine", "gravel", {"names": {"en": "Gravel"}}, manager)
    build.recheck(build.vehicle(alder), kind="routine", ladder="routine")
    page = get(manager, "/due/").text
    assert "whole front end" in page
    assert "Routine: Gravel" in page


def test_an_hour_meter_is_shown_in_hours(get: Get, manager: Person, alder: Yard) -> None:
    loader = build.vehicle(alder, meter_unit="h")
    build.meter(loader, 1_300, manager)
    build.recheck(loader, due_use_si=1_320 * 3600)
    assert "1,320 h" in get(manager, "/due/").text


def test_a_stale_meter_is_marked(get: Get, manager: Person, alder: Yard) -> None:
    truck = build.vehicle(alder)
    build.meter(truck, 10, manager, NOW - timedelta(days=400))
    build.recheck(truck)
    assert "meter not read lately" in get(manager, "/due/").text


def test_the_list_is_in_the_order_things_fall_due_and_filtered(
    get: Get, manager: Person, alder: Yard, mesa: Yard
) -> None:
    here, there = build.vehicle(alder, "AB-1"), build.vehicle(mesa, "MT-1")
    late = build.recheck(here, due_in=-2, state="missed", assigned_to=manager)
    soon = build.recheck(there, due_in=6, kind="look", ladder="rod_end")
    far = build.recheck(there, due_in=90, kind="rack", ladder="steering_opened")
    build.recheck(here, state="done", done_at=NOW, ladder="done")
    assert owed(get(manager, "/due/")) == [late, soon, far]
    assert owed(get(manager, "/due/", yard="mesa-tank")) == [soon, far]
    assert owed(get(manager, "/due/", kind="rack")) == [far]
    assert owed(get(manager, "/due/", state="missed")) == [late]
    assert owed(get(manager, "/due/", vehicle="mt-1")) == [soon, far]
    assert owed(get(manager, "/due/", within="7")) == [late, soon]
    assert owed(get(manager, "/due/", falls_from="2026-11-26", falls_to="2026-12-31")) == [soon]
    assert owed(get(manager, "/due/", assigned_to=str(manager.pk))) == [late]
    assert "Nothing owed fits these choices." in get(manager, "/due/", vehicle="none").text


@pytest.mark.parametrize(
    "query",
    [{"within": "1e400"}, {"within": "-1"}, {"within": "9" * 40}, {"falls_from": "yesterday"},
     {"yard": "none"}, {"assigned_to": "x"}, {"page": "x"}, {"vehicle": "\0"}],
)  # fmt: skip
def test_odd_choices_break_nothing(
    get: Get, manager: Person, alder: Yard, query: dict[str, str]
) -> None:
    build.recheck(build.vehicle(alder))
    get(manager, "/due/", **query)


def test_a_stranger_sees_their_own_yards_only(
    get: Get, alder: Yard, mesa: Yard, manager: Person
) -> None:
    build.recheck(build.vehicle(alder))
    stranger = people.stranger(mesa)
    assert owed(get(stranger, "/due/")) == []
    page = get(stranger, "/due/", yard="alder")
    assert "id_yard_error" in page.text


def test_a_long_list_comes_in_pages(get: Get, manager: Person, alder: Yard) -> None:
    crowd.many(alder, manager, 30)
    assert len(owed(get(manager, "/due/"))) == 50
    assert len(owed(get(manager, "/due/", page="2"))) == 10


@pytest.mark.parametrize("size", SIZES)
def test_the_number_of_queries_does_not_grow(
    queries: Queries, manager: Person, alder: Yard, size: int
) -> None:
    crowd.many(alder, manager, size)
    queries(manager, "/due/", 10)
