"""The fleet's reports against the records: counted by sets, held against a plain count."""

from datetime import UTC, date, datetime, timedelta
from random import Random
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.reads.reports.fleet_state import fleet_rows, not_looked_at_since, stands
from fleet.reads.reports.kept import KeptRow, kept_on_time
from fleet.reads.reports.part_life import HOURS, PartAsked, PartLife, part_lives
from fleet.records.models import Finding, PartChange, Person, Vehicle, Yard
from tests import build, people
from tests.build import NOW

MILE = 1609.344


@pytest.fixture
def alder(db: None) -> Yard:
    return build.yard("Alder")


@pytest.fixture
def manager(alder: Yard) -> Person:
    return people.manager()


def ago(days: float) -> datetime:
    return NOW - timedelta(days=days)


def lives(manager: Person, asked: PartAsked | None = None) -> list[PartLife]:
    return part_lives(manager, list(Yard.objects.order_by("name")), asked or PartAsked())


def one(manager: Person, **asked: Any) -> PartLife:
    [found] = lives(manager, PartAsked(**asked))
    return found


def fitted(joint: Any, by: Person, days: float, miles: float, **more: Any) -> PartChange:
    said = {"number": "TB-1", "lot": "L7", **more}
    return build.part(joint, by, ago(days), use_si=round(miles * MILE), **said)


def test_a_part_runs_from_its_fitting_to_the_next_change_or_to_now(
    alder: Yard, manager: Person
) -> None:
    truck = build.vehicle(alder)
    joint = build.joint(truck)
    build.meter(truck, 10_000, manager)
    fitted(joint, manager, 90, 1_000)
    fitted(joint, manager, 60, 4_000)
    fitted(joint, manager, 30, 9_000, fitted=False, number="", lot="")
    fitted(joint, manager, 20, 9_500)
    found = one(manager)
    assert (found.fitted, found.in_place, found.taken_out, found.vehicles) == (3, 1, 2, 1)
    assert found.run_si / MILE == pytest.approx(3_000 + 5_000 + 500, abs=1)
    assert (found.shortest_si or 0) / MILE == pytest.approx(3_000, abs=1)
    assert (found.longest_si or 0) / MILE == pytest.approx(5_000, abs=1)


def test_a_check_counts_for_the_part_that_was_in_place(alder: Yard, manager: Person) -> None:
    truck = build.vehicle(alder)
    joint = build.joint(truck)
    build.meter(truck, 10_000, manager)
    build.finding(joint, manager, "play", ago(100))  # before any part on record
    fitted(joint, manager, 90, 1_000, lot="L1")
    build.finding(joint, manager, "moved", ago(80))
    build.finding(joint, manager, "not_reached", ago(79), reason="skid plate")
    build.finding(joint, manager, "worn_out", ago(60.5))
    fitted(joint, manager, 60, 4_000, lot="L2")
    build.finding(joint, manager, "tight", ago(10), method="wrench")
    first, second = lives(manager)
    assert (first.lot, first.looks, first.moved, first.worn, first.found_on) == ("L1", 2, 1, 1, 1)
    assert (second.lot, second.looks, second.finds) == ("L2", 1, 0)


def test_without_a_meter_a_part_is_counted_and_runs_nowhere(alder: Yard, manager: Person) -> None:
    build.part(build.joint(build.vehicle(alder)), manager, ago(5), number="TB-1", lot="L7")
    found = one(manager)
    assert (found.fitted, found.unknown, found.run_si, found.longest_si) == (1, 1, 0.0, None)


def test_what_a_line_took_back_was_never_fitted(alder: Yard, manager: Person) -> None:
    truck = build.vehicle(alder)
    line = build.line(build.ticket(truck, manager), build.joint(truck))
    entry = build.entry(line, manager, {})
    build.part(build.joint(truck), manager, ago(5), number="TB-1", line_entry=entry)
    assert len(lives(manager)) == 1
    line.state = "dropped"
    line.save()
    assert lives(manager) == []


def test_hour_meters_are_told_apart(alder: Yard, manager: Person) -> None:
    grader = build.vehicle(alder, meter_unit="h")
    build.meter(grader, 500, manager)
    build.part(build.joint(grader), manager, ago(9), number="TB-1", lot="L7", use_si=400 * 3600)
    assert lives(manager) == []
    assert one(manager, run_in=HOURS).run_si / 3600 == pytest.approx(100)


def test_the_days_are_each_yards_own(alder: Yard, manager: Person) -> None:
    """Half past six in the evening of the 24th in Denver is the 25th in UTC and Tokyo."""
    tokyo = build.yard("Tokyo", time_zone="Asia/Tokyo")
    at = datetime(2026, 11, 25, 1, 30, tzinfo=UTC)
    for yard, lot in ((alder, "denver"), (tokyo, "tokyo")):
        joint = build.joint(build.vehicle(yard))
        PartChange.objects.create(joint=joint, by=manager, occurred_at=at, number="TB-1", lot=lot)
    day = date(2026, 11, 24)
    assert [life.lot for life in lives(manager, PartAsked(day, day))] == ["denver"]
    assert [life.lot for life in lives(manager, PartAsked(since=date(2026, 11, 25)))] == ["tokyo"]


def test_too_little_is_said_until_five_finds_on_five_vehicles(alder: Yard, manager: Person) -> None:
    for number in range(5):
        assert not number or one(manager).too_little
        truck = build.vehicle(alder)
        build.meter(truck, 10_000, manager)
        fitted(build.joint(truck), manager, 90, 1_000)
        build.finding(build.joint(truck), manager, "moved", ago(10 + number))
    assert not one(manager).too_little


def test_by_sets_it_counts_what_a_plain_loop_counts(alder: Yard, manager: Person) -> None:
    seeded = Random(7)
    trucks = [build.vehicle(alder) for _ in range(4)]
    for truck in trucks:
        build.meter(truck, 20_000, manager)
        for kind in ("track_bar_frame_end", "track_bar_axle_end"):
            joint, miles = build.joint(truck, kind), 0
            for day in sorted(seeded.sample(range(5, 900), 6), reverse=True):
                miles += seeded.randint(10, 2_000)
                what = seeded.choice(["fit", "fit", "off", "moved", "play", "no_play", "cracked"])
                if what in ("fit", "off"):
                    named = {"number": seeded.choice("AB"), "lot": seeded.choice("12")}
                    fitted(joint, manager, day, miles, fitted=what == "fit", **named)
                else:
                    build.finding(joint, manager, what, ago(day))
    found = {(life.kind.code, life.number, life.lot): life for life in lives(manager)}
    assert found.keys() == {key for key, _run in plainly()}
    for key, life in found.items():
        runs = [run for at, run in plainly() if at == key]
        assert life.fitted == len(runs)
        assert life.in_place == sum(run["in_place"] for run in runs)
        assert life.run_si == pytest.approx(sum(run["si"] for run in runs))
        assert life.longest_si == pytest.approx(max(run["si"] for run in runs))
        assert life.looks == sum(len(run["codes"]) for run in runs)
        assert life.moved == sum(run["codes"].count("moved") for run in runs)


def plainly() -> list[tuple[tuple[str, str, str], dict[str, Any]]]:
    """Every run by a loop over rows: slow, and easy to see through."""
    runs = []
    for change in PartChange.objects.filter(fitted=True).select_related("joint__kind"):
        later = PartChange.objects.filter(joint=change.joint, occurred_at__gt=change.occurred_at)
        end = later.order_by("occurred_at").first()
        seen = Finding.objects.filter(joint=change.joint, occurred_at__gt=change.occurred_at)
        if end is not None:
            seen = seen.filter(occurred_at__lt=end.occurred_at)
        last = end.use_si if end else change.joint.vehicle.use.last_use_si
        run = {"in_place": end is None, "si": float((last or 0) - (change.use_si or 0)),
               "codes": list(seen.values_list("code", flat=True))}  # fmt: skip
        runs.append(((change.joint.kind.code, change.number, change.lot), run))
    return runs


def kept(manager: Person, **days: Any) -> list[KeptRow]:
    yards = list(Yard.objects.order_by("name"))
    return kept_on_time(manager, yards, days.get("since"), days.get("until"), NOW)


def told(rows: list[KeptRow]) -> list[tuple[str, str, int, int, int]]:
    return [(r.yard.name, r.month.isoformat()[:7], r.in_time, r.late, r.missed) for r in rows]


def test_each_recheck_counts_once_in_its_month(alder: Yard, manager: Person) -> None:
    truck = build.vehicle(alder)

    def owed(ladder: str, **more: Any) -> None:
        build.recheck(truck, ladder=ladder, **more)

    owed("a", state="done", done_at=ago(40), due_on=ago(30).date())
    owed("b", state="done", done_at=ago(40), due_on=ago(60).date())  # late, by its date alone
    owed("c", state="done", done_at=ago(3), fell_due_at=ago(40))
    owed("d", state="missed", fell_due_at=ago(5), due_in=-6)
    owed("e", due_in=-2)  # overdue, and the night's work has not run
    owed("f", due_in=9)  # not due yet
    owed("g", state="dropped", due_in=-9)
    assert told(kept(manager)) == [("Alder", "2026-10", 1, 2, 0), ("Alder", "2026-11", 0, 0, 2)]
    assert [(row.owed, round(row.share, 2)) for row in kept(manager)] == [(3, 0.33), (2, 0.0)]


def test_what_was_put_off_is_kept_by_the_day_that_its_rule_had_set(
    alder: Yard, manager: Person
) -> None:
    truck = build.vehicle(alder)
    off: dict[str, Any] = {
        "put_off_by": manager, "put_off_reason": "no bay", "due_on": ago(2).date(),
    }  # fmt: skip
    for ladder, ruled in (("a", ago(9)), ("b", ago(3))):
        build.recheck(truck, ladder=ladder, state="done", done_at=ago(4), ruled_on=ruled.date(),
                      **off)  # fmt: skip
    assert told(kept(manager)) == [("Alder", "2026-11", 1, 1, 0)]


def test_a_month_ends_at_the_yards_midnight(alder: Yard, manager: Person) -> None:
    """Summer time still runs on the morning of Nov. 1, so that it is midnight at 06:00 UTC."""
    truck = build.vehicle(alder)
    moments = [datetime(2026, 11, 1, 5, 59, tzinfo=UTC), datetime(2026, 11, 1, 6, 0, tzinfo=UTC)]
    for number, at in enumerate(moments):
        build.recheck(truck, ladder=str(number), state="done", done_at=at)
    months = [row.month for row in kept(manager)]
    assert months == [date(2026, 10, 1), date(2026, 11, 1)]
    assert [row.month for row in kept(manager, since=date(2026, 11, 1))] == months[1:]
    assert [row.month for row in kept(manager, until=date(2026, 10, 31))] == months[:1]


def stood(manager: Person) -> dict[str, Any]:
    rows = fleet_rows(manager, list(Yard.objects.order_by("name")), NOW)
    return {row.vehicle.unit_number: row for row in stands(rows, NOW)}


def test_a_vehicle_shows_its_holds_its_worst_joint_and_what_it_owes(
    alder: Yard, manager: Person
) -> None:
    truck = build.vehicle(alder, "A-1")
    build.vehicle(alder, "A-2")
    build.meter(truck, 9_000, manager)
    build.hold(truck, manager, ago(3))
    build.hold(truck, manager, ago(1))
    build.state(build.joint(truck), mark="moved")
    build.state(build.joint(truck, "track_bar_axle_end"), mark="play")
    build.recheck(truck, ladder="a", due_in=4)
    build.recheck(truck, ladder="b", due_in=-4)
    build.recheck(truck, ladder="annual", kind="annual", state="done", done_at=ago(40))
    row, bare = stood(manager)["A-1"], stood(manager)["A-2"]
    assert (row.holds, row.held_since, row.mark, row.at_mark) == (2, ago(3), "play", 1)
    assert (row.owed, row.overdue, row.last_full_look, row.stale) == (2, 1, ago(40), False)
    assert (bare.holds, bare.owed, bare.mark, bare.last_full_look) == (0, 0, "unknown", None)
    assert bare.stale


def test_a_joint_that_is_not_fitted_is_not_the_worst(alder: Yard, manager: Person) -> None:
    joint = build.joint(build.vehicle(alder, "A-1"))
    build.state(joint, mark="bad")
    joint.fitted = "not_fitted"
    joint.save()
    assert stood(manager)["A-1"].mark == "unknown"


def test_who_had_no_full_look_since_a_day(alder: Yard, manager: Person) -> None:
    for unit, days in (("A-1", 40), ("A-2", 4)):
        truck = build.vehicle(alder, unit)
        build.recheck(truck, ladder="r", kind="routine", state="done", done_at=ago(days))
    build.vehicle(alder, "A-3")
    yards = [alder]
    rows = not_looked_at_since(fleet_rows(manager, yards, NOW), yards, ago(10).date())
    assert [row.unit_number for row in rows] == ["A-1", "A-3"]


def test_a_yard_that_is_not_the_readers_is_in_no_report(alder: Yard, manager: Person) -> None:
    elsewhere = build.yard("Mesa Tank")
    truck = build.vehicle(elsewhere, "M-1")
    fitted(build.joint(truck), manager, 3, 10)
    build.recheck(truck, state="done", done_at=ago(3))
    mine = people.person("Foreman", "manager", alder)
    both = [alder, elsewhere]
    assert part_lives(mine, both, PartAsked()) == []
    assert list(fleet_rows(mine, both, NOW)) == []
    assert kept_on_time(mine, both, None, None, NOW) == []


@pytest.mark.parametrize("size", [3, 30, 300])
def test_queries_do_not_grow_with_the_records(size: int, alder: Yard, manager: Person) -> None:
    truck = build.vehicle(alder)
    build.meter(truck, 9_000, manager)
    joint = build.joint(truck)
    PartChange.objects.bulk_create(
        PartChange(joint=joint, by=manager, occurred_at=ago(n), number=f"P-{n}", use_si=n)
        for n in range(size)
    )
    Vehicle.objects.bulk_create(
        Vehicle(unit_number=f"N-{n}", yard=alder, design=truck.design, duty="gravel",
                meter_unit="mi") for n in range(size)
    )  # fmt: skip
    build.recheck(truck, state="done", done_at=ago(3))
    with CaptureQueriesContext(
        connection,
    ) as captured:
        assert len(lives(manager)) == size
        kept(manager)
        stood(manager)
    assert len(captured) == 3 + 1 + 1 + 1 + 2 + 1
