"""The Yard page: what must not go out today, what is late, and what waits for whom."""

from datetime import timedelta

import pytest

from fleet.records.models import Person, Ticket, Yard
from tests import build, crowd, people
from tests.build import NOW
from tests.web.conftest import SIZES, Get, Queries


def test_a_new_fleet_reads_as_words_and_not_as_emptiness(get: Get, manager: Person) -> None:
    page = get(manager, "/").text
    assert "No vehicle is held." in page
    assert "Nothing is late." in page
    assert "Nothing falls due within a week." in page
    assert "No repair waits for its second check." in page
    assert "No joint keeps coming loose." in page
    assert "Every meter was read lately." in page
    assert "Every torque tool in use is in date." in page


def test_somebody_posted_nowhere_is_told_so(get: Get, db: None) -> None:
    assert "You are not posted to a yard yet." in get(people.technician(), "/").text


def test_a_held_vehicle_says_why_since_when_and_by_which_ticket(
    get: Get, manager: Person, alder: Yard
) -> None:
    truck = build.vehicle(alder, "AB-7")
    job = build.ticket(truck, manager)
    build.hold(truck, manager, NOW - timedelta(days=3), ticket=job)
    page = get(manager, "/").text
    assert "1 vehicle must not go out." in page
    assert "Play at the track bar, frame end" in page
    assert "Nov 22, 2026, 12:00" in page
    assert f"ticket {job.pk}" in page


def test_a_vehicle_used_while_held_is_named(get: Get, manager: Person, alder: Yard) -> None:
    truck = build.vehicle(alder, "AB-8")
    build.hold(truck, manager, reason="used_while_held", text="Driven 12 mi while held")
    page = get(manager, "/")
    assert [hold.vehicle for hold in page.context["day"].used_while_held] == [truck]
    assert "Driven 12 mi while held" in page.text


def test_late_by_date_by_meter_or_marked_missed(get: Get, manager: Person, alder: Yard) -> None:
    by_date = build.recheck(build.vehicle(alder), due_in=-1)
    marked = build.recheck(build.vehicle(alder), due_in=-9, state="missed")
    far = build.vehicle(alder)
    build.meter(far, 5000, manager)
    by_meter = build.recheck(far, due_in=30, due_use_si=7_000_000)
    today = build.recheck(build.vehicle(alder), due_in=0)
    day = get(manager, "/").context["day"]
    assert [item.recheck for item in day.overdue] == [marked, by_date, by_meter]
    assert [item.recheck for item in day.this_week] == [today]


def test_days_stand_still_for_a_vehicle_laid_up_but_legal_dates_do_not(
    get: Get, manager: Person, alder: Yard
) -> None:
    parked = build.vehicle(alder, status="laid_up", laid_up_on=NOW.date())
    build.recheck(parked, due_in=-5)
    annual = build.recheck(parked, due_in=-5, kind="annual", ladder="annual")
    day = get(manager, "/").context["day"]
    assert [item.recheck for item in day.overdue] == [annual]


def test_due_within_a_week_counts_from_the_yards_own_day(get: Get, db: None) -> None:
    """At noon in Denver it is already tomorrow east of the date line."""
    far_east = build.yard("Far East", time_zone="Pacific/Kiritimati")
    who = people.technician(far_east)
    late = build.recheck(build.vehicle(far_east), due_in=0)
    seventh = build.recheck(build.vehicle(far_east), due_in=8)
    build.recheck(build.vehicle(far_east), due_in=9)
    day = get(who, "/").context["day"]
    assert [item.recheck for item in day.overdue] == [late]
    assert [item.recheck for item in day.this_week] == [seventh]


def test_what_waits_for_a_second_check_and_what_is_past_it(
    get: Get, manager: Person, alder: Yard
) -> None:
    trucks = [build.vehicle(alder) for _ in range(3)]
    waiting, open_line, released = (build.ticket(truck, manager) for truck in trucks)
    build.line(waiting, build.joint(trucks[0]), state="complete")
    build.line(open_line, build.joint(trucks[1]))
    Ticket.objects.filter(pk=released.pk).update(state="released")
    day = get(manager, "/").context["day"]
    assert day.waiting.rows == [waiting]
    assert day.past_check.rows == [released]


def test_stale_meters_tools_to_see_to_and_patterns(get: Get, manager: Person, alder: Yard) -> None:
    build.rule("setting", "stale_meter_days", {"value": 45}, manager)
    never, old, fresh = (build.vehicle(alder) for _ in range(3))
    build.meter(old, 100, manager, NOW - timedelta(days=46))
    build.meter(fresh, 100, manager, NOW - timedelta(days=44))
    today = NOW.date()
    out = build.tool(alder, "OUT", today - timedelta(days=1))
    soon = build.tool(alder, "SOON", today + timedelta(days=1))
    doubted = build.tool(alder, "DROPPED", doubted_since=NOW)
    build.tool(alder, "GOOD")
    on = build.joint(fresh)
    pattern = build.pattern(on, [build.finding(on, manager, "moved")] * 2)
    page = get(manager, "/")
    day = page.context["day"]
    assert set(day.stale) == {never, old}
    assert {row.tool: row.standing for row in day.tools} == {
        out: "out", soon: "soon", doubted: "doubted"
    }  # fmt: skip
    assert [row.pattern for row in day.patterns] == [pattern]
    assert "found loose 2 times within 365 days" in page.text


def test_a_yard_shows_its_own_only(get: Get, manager: Person, alder: Yard, mesa: Yard) -> None:
    here, there = build.vehicle(alder, "AB-1"), build.vehicle(mesa, "MT-1")
    for truck in (here, there):
        build.hold(truck, manager)
    page = get(manager, "/yards/mesa-tank/")
    assert page.context["day"].held.rows == [there]
    assert "AB-1" not in page.text


def test_a_strangers_yard_is_not_there(get: Get, alder: Yard, mesa: Yard, manager: Person) -> None:
    build.hold(build.vehicle(alder, "AB-1"), manager)
    stranger = people.stranger(mesa)
    get(stranger, "/yards/alder/", 404)
    assert "AB-1" not in get(stranger, "/").text


def test_a_long_list_shows_ten_and_the_way_to_all(get: Get, manager: Person, alder: Yard) -> None:
    for n in range(12):
        truck = build.vehicle(alder)
        build.hold(truck, manager, NOW - timedelta(hours=n))
        build.recheck(truck, due_in=-1)
    page = get(manager, "/yards/alder/")
    assert len(page.context["day"].held.rows) == 10
    assert 'href="/vehicles/?state=held&amp;yard=alder"' in page.text
    assert "All 12 held vehicles" in page.text
    assert "All 12 late rechecks" in page.text


@pytest.mark.parametrize("size", SIZES)
def test_the_number_of_queries_does_not_grow(
    queries: Queries, manager: Person, alder: Yard, size: int
) -> None:
    crowd.many(alder, manager, size)
    queries(manager, "/", 26)


def test_a_driver_finds_the_yards_vehicles_and_the_number_to_call(
    get: Get, alder: Yard, mesa: Yard, manager: Person
) -> None:
    held, other = build.vehicle(alder, "AB-1"), build.vehicle(alder, "AB-2")
    build.vehicle(mesa, "MT-1")
    build.hold(held, manager)
    driver = people.driver(alder)
    page = get(driver, "/")
    assert [row.unit_number for row in page.context["page"]] == ["AB-1", "AB-2"]
    assert 'href="tel:555-0100"' in page.text
    assert "HELD" in page.text
    assert list(get(driver, "/", q="b-2").context["page"]) == [other]
    assert "No vehicle of your yards has that" in get(driver, "/", q="zz").text


def test_a_driver_with_no_vehicle_is_told(get: Get, mesa: Yard) -> None:
    assert "No vehicle lives in your yards yet." in get(people.driver(mesa), "/").text
