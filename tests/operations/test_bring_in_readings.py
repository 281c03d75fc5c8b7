"""Meter readings brought in: judged as one by one, all or nothing, safe to repeat."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fleet.operations.actor import Actor
from fleet.operations.bring_in import BroughtIn, Recorded, import_readings, record_readings
from fleet.operations.errors import KeyReused, NotAllowed, Refused
from fleet.operations.meters import Reading, record_meter, withdraw_reading
from fleet.operations.once import Request
from fleet.records.models import Hold, MeterReading, Recheck, TrailEntry, Vehicle, VehicleUse, Yard
from tests import build, people

NOW = datetime(2026, 11, 25, 19, 0, tzinfo=UTC)
TITLES = "unit number,read on,meter,unit,new meter,reason\n"

Bring = Callable[..., BroughtIn]


@pytest.fixture
def yard(db: None) -> Yard:
    return build.yard()


@pytest.fixture
def truck(yard: Yard) -> Vehicle:
    return build.vehicle(yard, "A-1")


@pytest.fixture
def boss(yard: Yard) -> Actor:
    return Actor(people.manager())


@pytest.fixture
def bring(boss: Actor, truck: Vehicle) -> Bring:
    def bring_in(*lines: str, dry_run: bool = False, **more: Any) -> BroughtIn:
        data = TITLES + "".join(f"{line}{',' * (5 - line.count(','))}\n" for line in lines)
        return import_readings(boss, data.encode(), at=NOW, dry_run=dry_run, **more)

    return bring_in


def told(report: BroughtIn) -> list[tuple[int | None, str]]:
    return [(problem.row, problem.column) for problem in report.problems]


def test_a_dry_run_says_what_would_come_in_and_writes_nothing(bring: Bring) -> None:
    report = bring("A-1,2026-11-20,100", "A-1,2026-11-21,120", dry_run=True)
    assert (report.rows, report.added, report.fine, report.written) == (2, 2, True, False)
    assert not MeterReading.objects.exists()


def test_readings_come_in_with_what_was_typed_their_unit_and_continuous_use(
    bring: Bring, truck: Vehicle
) -> None:
    report = bring("A-1,2026-11-20 08:15,100", "A-1,2026-11-21,193.1 km", "A-1,2026-11-22,3,,yes")
    assert report.written
    assert list(
        MeterReading.objects.order_by("occurred_at").values_list("typed", "unit", "use_si", "kind")
    ) == [
        ("100", "mi", 160_934, "read"),
        ("193.1 km", "km", 193_100, "read"),
        ("3", "mi", 193_100, "new_meter"),
    ]
    # The yard is in Denver: its noon is 19:00 in UTC.
    assert MeterReading.objects.get(typed="193.1 km").occurred_at.hour == 19
    assert VehicleUse.objects.get(vehicle=truck).last_use_si == 193_100


def test_every_problem_is_listed_by_row_and_column_and_nothing_comes_in(bring: Bring) -> None:
    report = bring(
        "A-9,2026-11-20,100",
        "A-1,20/11/2026,100,furlong",
        "A-1,2026-11-26,100",
        "A-1,2026-11-20,1e400",
        "A-1,2026-11-20,99999999",
        "A-1,2026-11-20,12 hours",
        "A-1,2026-02-30,100,,maybe",
        "A-1,1066-10-14,100",
        "A-1,2026-11-21 10:00,500",
        "A-1,2026-11-22 10:00,400",
        "A-1,2026-11-23 10:00,99000",
    )
    assert sorted(told(report)) == sorted([
        (2, "unit number"), (3, "unit"), (4, "read on"), (5, "meter"), (6, "meter"), (7, "meter"),
        (8, "new meter"), (9, "read on"), (11, "meter"), (12, "meter"),
    ])  # fmt: skip
    words = {problem.row: str(problem.message) for problem in report.problems}
    assert "Did you mean “A-1”?" in words[2]
    assert "The meter read 500 miles on Nov 21, 2026" in words[11]
    assert "more than a vehicle runs" in words[12]
    assert not report.written
    assert not MeterReading.objects.exists()


def test_one_slip_is_told_once(bring: Bring) -> None:
    rows = [f"A-1,2026-11-{day:02d} 10:00,{day * 10}" for day in range(1, 20)]
    rows[9] = "A-1,2026-11-10 10:00,10000"
    assert told(bring(*rows, dry_run=True)) == [(11, "meter")]


def test_a_vehicle_of_another_yard_is_not_there(truck: Vehicle) -> None:
    elsewhere = Actor(people.manager(build.yard("Mesa Tank")))
    report = import_readings(
        elsewhere, (TITLES + "A-1,2026-11-20,100,,,\n").encode(), at=NOW, dry_run=False
    )
    assert told(report) == [(2, "unit number")]


def test_only_those_who_may_bring_in(truck: Vehicle, yard: Yard) -> None:
    with pytest.raises(NotAllowed):
        import_readings(Actor(people.technician(yard)), b"", at=NOW, dry_run=True)


def test_the_same_file_again_doubles_nothing(bring: Bring) -> None:
    lines = ("A-1,2026-11-20 08:00,100", "A-1,2026-11-21,120", "A-1,2026-11-25,130")
    assert bring(*lines).added == 3
    again = bring(*lines, "A-1,2026-11-24 18:00,125")
    assert (again.added, again.on_file, again.written) == (1, 3, True)
    assert MeterReading.objects.count() == 4


def test_todays_date_before_noon_is_known_again_later(boss: Actor, truck: Vehicle) -> None:
    data = (TITLES + "A-1,2026-11-25,100,,,\n").encode()
    morning = datetime(2026, 11, 25, 15, 0, tzinfo=UTC)
    assert import_readings(boss, data, at=morning, dry_run=False).added == 1
    assert import_readings(boss, data, at=NOW, dry_run=False).on_file == 1
    assert MeterReading.objects.get().occurred_at == morning


def test_a_row_said_twice_counts_once(bring: Bring) -> None:
    report = bring("A-1,2026-11-20,100", "A-1,2026-11-20,100.0")
    assert (report.added, report.repeated) == (1, 1)


def test_a_withdrawn_reading_does_not_come_back(bring: Bring, boss: Actor) -> None:
    bring("A-1,2026-11-20 08:00,100")
    withdraw_reading(boss, MeterReading.objects.get().pk, "another truck's", at=NOW)
    assert bring("A-1,2026-11-20 08:00,100").on_file == 1


def test_a_manager_may_take_with_a_reason_what_the_checks_refuse(bring: Bring) -> None:
    lines = ["A-1,2026-11-20 08:00,100", "A-1,2026-11-20 18:00,9000,,,moved on a trailer ship"]
    assert bring(lines[0], lines[1].rsplit(",", 1)[0]).problem_count == 1
    assert bring(*lines).written


def test_what_is_owed_is_projected_again_once(bring: Bring, truck: Vehicle) -> None:
    owed = build.recheck(truck, start_use_si=0, due_use_si=200_000, due_in=400)
    days = range(1, 25)
    bring(*[f"A-1,2026-11-{day:02d} 12:00,{day * 5}" for day in days])
    owed.refresh_from_db()
    assert owed.use_on is not None
    assert owed.due_on is not None
    assert owed.falls_on == owed.use_on < owed.due_on
    assert Recheck.objects.count() == 1


def test_a_meter_that_moved_while_held_raises_it(bring: Bring, boss: Actor, truck: Vehicle) -> None:
    build.hold(truck, boss.person, at=NOW - timedelta(days=5))
    report = bring(
        "A-1,2026-11-19 08:00,100", "A-1,2026-11-22 08:00,101", "A-1,2026-11-23 08:00,160"
    )
    assert told(report) == []
    assert Hold.objects.filter(vehicle=truck, reason=Hold.Reason.USED).count() == 1


def test_the_trail_has_one_entry_a_vehicle(bring: Bring, yard: Yard) -> None:
    build.vehicle(yard, "A-2")
    bring("A-1,2026-11-20,100", "A-1,2026-11-21,120", "A-2,2026-11-20,5")
    entries = TrailEntry.objects.filter(verb="record_readings")
    assert sorted(entry.after["readings"] for entry in entries) == [1, 2]
    assert len({entry.gesture for entry in entries}) == 1


def test_long_lists_of_problems_are_cut_and_counted(bring: Bring) -> None:
    report = bring(*["A-9,2026-11-20,100"] * 600, dry_run=True)
    assert (len(report.problems), report.problem_count) == (500, 600)


def test_queries_do_not_grow_with_the_rows(boss: Actor, truck: Vehicle) -> None:
    build.recheck(truck, start_use_si=0, due_use_si=10**9)
    counts = []
    for start, rows in ((1, 3), (4, 30), (34, 300)):
        readings = [
            Reading(truck.pk, str(n), occurred_at=NOW - timedelta(hours=400 - n))
            for n in range(start, start + rows)
        ]
        with CaptureQueriesContext(connection) as queries:
            assert record_readings(boss, readings, at=NOW).added == rows
        counts.append(len(queries))
    assert len(set(counts)) == 1
    assert counts[0] <= 15


# A client's rows


def reading(truck: Vehicle, typed: str, day: int, **more: Any) -> Reading:
    return Reading(truck.pk, typed, occurred_at=datetime(2026, 11, day, 12, tzinfo=UTC), **more)


def test_a_clients_readings_come_in_all_or_none(yard: Yard, truck: Vehicle) -> None:
    client = Actor(people.integrator(yard), "api")
    with pytest.raises(Refused) as refused:
        record_readings(client, [reading(truck, "100", 1), reading(truck, "x", 2)], at=NOW)
    assert [problem.field for problem in refused.value.problems] == ["readings.1.meter"]
    assert not MeterReading.objects.exists()
    done = record_readings(client, [reading(truck, "100", 1), reading(truck, "110", 2)], at=NOW)
    assert done == Recorded(added=2, on_file=0, repeated=0)


def test_a_clients_key_is_answered_again(yard: Yard, truck: Vehicle) -> None:
    client, rows = Actor(people.integrator(yard), "api"), [reading(truck, "100", 1)]
    record_readings(client, rows, at=NOW, request=Request("k", "h"))
    again = record_readings(client, rows, at=NOW, request=Request("k", "h"))
    assert (again.added, again.replayed) == (1, True)
    with pytest.raises(KeyReused):
        record_readings(client, rows, at=NOW, request=Request("k", "other"))
    assert MeterReading.objects.count() == 1


def test_a_clients_own_identity_is_known_again(yard: Yard, truck: Vehicle) -> None:
    client, uid = Actor(people.integrator(yard), "api"), MeterReading().uid
    other = build.vehicle(yard)
    record_readings(client, [reading(truck, "100", 1, uid=uid)], at=NOW)
    again = record_readings(client, [reading(truck, "100", 1, uid=uid)], at=NOW)
    assert again.on_file == 1
    with pytest.raises(Refused, match="another vehicle"):
        record_readings(client, [reading(other, "100", 1, uid=uid)], at=NOW)


def test_readings_of_a_stranger_s_vehicle_or_of_tomorrow_are_refused(truck: Vehicle) -> None:
    client = Actor(people.integrator(build.yard("Mesa Tank")), "api")
    with pytest.raises(Refused) as refused:
        record_readings(client, [reading(truck, "1", 1)], at=NOW)
    assert refused.value.problems[0].code == "not_there"
    own = Actor(people.manager())
    with pytest.raises(Refused, match="not come yet"):
        record_readings(own, [reading(truck, "1", 27)], at=NOW)


STEPS = st.lists(
    st.tuples(
        st.integers(0, 40),  # hours since the first, out of order and at one moment
        st.integers(0, 60),  # what the meter shows
        st.booleans(),  # on file before
        st.integers(0, 9),  # a new meter now and then
    ),
    max_size=9,
    unique_by=lambda step: step[0],
)


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=STEPS)
def test_many_are_judged_as_one_by_one(yard: Yard, boss: Actor, steps: Any) -> None:
    """The same readings in order of time, through the one door and the other."""
    one, many = build.vehicle(yard), build.vehicle(yard)

    def of(vehicle: Vehicle, step: Any) -> Reading:
        hours, shown, _before, chance = step
        when = NOW - timedelta(days=10) + timedelta(hours=hours)
        return Reading(vehicle.pk, str(shown), "", when, chance == 0)

    for step in steps:
        for vehicle in (one, many):
            if step[2]:
                _taken(boss, of(vehicle, step))
    new = sorted(step for step in steps if not step[2])
    taken = [step for step in new if _taken(boss, of(one, step))]
    if len(taken) < len(new):
        with pytest.raises(Refused) as refused:
            record_readings(boss, [of(many, step) for step in new], at=NOW)
        assert len(refused.value.problems) == len(new) - len(taken)
    record_readings(boss, [of(many, step) for step in taken], at=NOW)
    assert _rows(one) == _rows(many)


def _taken(boss: Actor, row: Reading) -> bool:
    try:
        record_meter(boss, row, at=NOW)
    except Refused:
        return False
    return True


def _rows(vehicle: Vehicle) -> list[Any]:
    rows = MeterReading.objects.filter(vehicle=vehicle).order_by("occurred_at")
    return list(rows.values_list("occurred_at", "typed", "value", "use_si", "kind"))
