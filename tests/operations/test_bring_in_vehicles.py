"""Vehicles brought in from a file: the same vehicles as made one by one, all or nothing."""

from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.operations.actor import Actor
from fleet.operations.bring_in import BroughtIn, import_vehicles
from fleet.operations.errors import NotAllowed, Refused
from fleet.operations.once import Request
from fleet.operations.vehicles import NewVehicle, add_vehicle
from fleet.records.models import Joint, JointState, Recheck, TrailEntry, Vehicle, VehicleUse, Yard
from tests import build, people

NOW = datetime(2026, 11, 25, 19, 0, tzinfo=UTC)
TITLES = "unit number,VIN,design,yard,duty,meter unit,meter,lift,drop arm,in fleet since\n"
# The check digit is right; the maker is invented.
VIN = "1ZVAB12C1XD123456"

Bring = Callable[..., BroughtIn]


@pytest.fixture
def yard(db: None) -> Yard:
    return build.yard()


@pytest.fixture
def boss(yard: Yard) -> Actor:
    who = people.manager()
    for key, miles, days in (("gravel", 4000, 120), ("plough", 2500, 90), ("annual", None, 365)):
        build.rule("routine", key, {"miles": miles, "days": days, "hours": 130}, who)
    build.design()
    return Actor(who)


@pytest.fixture
def bring(boss: Actor) -> Bring:
    def bring_in(*lines: str, dry_run: bool = False, **more: Any) -> BroughtIn:
        data = TITLES + "".join(f"{line}{',' * (9 - line.count(','))}\n" for line in lines)
        return import_vehicles(boss, data.encode(), at=NOW, dry_run=dry_run, **more)

    return bring_in


def told(report: BroughtIn) -> list[tuple[int | None, str]]:
    return [(problem.row, problem.column) for problem in report.problems]


def test_a_dry_run_writes_nothing(bring: Bring) -> None:
    report = bring("B-1,,Foothill 3/4,Alder,gravel,mi,1200", dry_run=True)
    assert (report.added, report.fine, report.written) == (1, True, False)
    assert not Vehicle.objects.exists()


def test_a_vehicle_comes_in_as_if_added_by_hand(bring: Bring, boss: Actor, yard: Yard) -> None:
    facts = {"lift_m": 0.0508, "drop_arm": True, "in_fleet_since": date(2024, 3, 1)}
    new = NewVehicle("A-1", build.design().pk, yard.pk, "plough", "mi", "1200", facts)
    add_vehicle(boss, new, at=NOW)
    assert bring("B-1,,foothill 3/4,alder,plow,miles,1200,2 in,yes,2024-03-01").written
    hand, file = (_told_of(number) for number in ("A-1", "B-1"))
    assert hand == file


def _told_of(number: str) -> list[Any]:
    """All that is on file of a vehicle, but for its number and keys."""
    vehicle = Vehicle.objects.get(unit_number=number)
    of = {"vehicle": vehicle}
    owed = ("kind", "ladder", "due_on", "due_use_si", "start_use_si", "falls_on", "started_at")
    seen = ("typed", "value", "unit", "use_si", "kind", "occurred_at")
    trail = TrailEntry.objects.filter(vehicle_id=vehicle.pk).order_by("verb")
    skipped = {"id", "unit_number", "vin"}
    own = {f.name: getattr(vehicle, f.name) for f in Vehicle._meta.fields if f.name not in skipped}
    return [
        own,
        list(Joint.objects.filter(**of).order_by("place").values_list("place", "kind", "side")),
        JointState.objects.filter(joint__vehicle=vehicle).count(),
        list(VehicleUse.objects.filter(**of).values_list("last_at", "last_use_si")),
        list(Recheck.objects.filter(**of).order_by("kind").values_list(*owed)),
        list(vehicle.readings.values_list(*seen)),
        list(trail.values_list("verb", "subject")),
    ]


def test_every_problem_is_listed_by_row_and_column_and_nothing_comes_in(
    bring: Bring, yard: Yard
) -> None:
    build.vehicle(yard, "A-1", vin=VIN)
    report = bring(
        ",,Foothill 3/4,Alder,gravel,mi",
        "B/2,,Foothil 3/4,Aldr,gravle,mils",
        "B-3,1ZVOB12C1XD12345,Foothill 3/4,Alder,gravel,mi,12 hours,2 yards,perhaps,1.3.2024",
        f"B-4,{VIN},Foothill 3/4,Alder,gravel,mi",
        f"{'B' * 21},,Foothill 3/4,Alder,gravel,mi",
        "B-5,,Foothill 3/4,Alder,gravel,mi,12 hours",
        "B-6,,Foothill 3/4,Alder,gravel,mi",
        "B-7,,Foothill 3/4,Alder,gravel,mi",
        "b-6,,Foothill 3/4,Alder,gravel,km",
        "..,,Foothill 3/4,Alder,gravel,mi",
    )
    assert told(report) == [
        (2, "unit number"),
        (3, "design"), (3, "yard"), (3, "duty"), (3, "meter unit"),
        (4, "lift"), (4, "drop arm"), (4, "in fleet since"),
        (5, "VIN"),
        (6, "unit number"),
        (7, "meter"),
        (10, "unit number"),
        (11, "unit number"),
    ]  # fmt: skip
    words = {(p.row, p.column): str(p.message) for p in report.problems}
    assert "Did you mean “Foothill 3/4”?" in words[3, "design"]
    assert "Did you mean “Alder”?" in words[3, "yard"].replace("alder", "Alder")
    assert "highway, gravel, off-road, plow" in words[3, "duty"]
    assert "2026-11-25" in words[4, "in fleet since"]
    assert "Row 8 has this unit number too" in words[10, "unit number"]
    assert Vehicle.objects.count() == 1


def test_what_one_column_hides_is_told_when_it_is_right(bring: Bring) -> None:
    report = bring("B/2,1ZVOB12C1XD12345,Foothill 3/4,Alder,gravel,mi,12 hours")
    assert told(report) == [(2, "unit number"), (2, "VIN"), (2, "VIN"), (2, "meter")]


def test_the_same_file_again_doubles_nothing(bring: Bring) -> None:
    lines = (f"B-1,{VIN},Foothill 3/4,Alder,gravel,mi,1200", "B-2,,Foothill 3/4,Alder,gravel,mi")
    assert bring(*lines).added == 2
    again = bring(*lines, "B-3,,Foothill 3/4,Alder,gravel,h")
    assert (again.added, again.on_file, again.written) == (1, 2, True)
    assert Vehicle.objects.get(unit_number="B-1").readings.count() == 1


def test_a_number_on_file_with_another_vin_or_design_is_another_vehicle(
    bring: Bring, yard: Yard
) -> None:
    build.vehicle(yard, "A-1", vin=VIN)
    build.design("Ridge 1")
    report = bring(
        "a-1,1ZVAB12C5XD123458,Foothill 3/4,Alder,gravel,mi", "A-1,,Ridge 1,Alder,gravel,mi"
    )
    assert told(report) == [(2, "VIN"), (3, "design")]


def test_a_row_said_twice_counts_once_and_a_vin_said_twice_is_refused(bring: Bring) -> None:
    row = f"B-1,{VIN},Foothill 3/4,Alder,gravel,mi"
    assert bring(row, row, dry_run=True).repeated == 1
    report = bring(row, row.replace("B-1", "B-2"))
    assert told(report) == [(3, "VIN")]
    assert "Row 2 has this VIN too" in str(report.problems[0].message)


def test_a_yard_outside_the_managers_own_is_not_there(bring: Bring, yard: Yard) -> None:
    build.yard("Mesa Tank")
    actor = Actor(people.person("Yard manager", "manager", yard))
    data = (TITLES + "B-1,,Foothill 3/4,Mesa Tank,gravel,mi,,,,\n").encode()
    assert told(import_vehicles(actor, data, at=NOW, dry_run=True)) == [(2, "yard")]


def test_only_those_who_may_bring_in(boss: Actor, yard: Yard) -> None:
    with pytest.raises(NotAllowed):
        import_vehicles(Actor(people.technician(yard)), b"", at=NOW, dry_run=True)


def test_a_request_is_answered_again(bring: Bring) -> None:
    row, request = "B-1,,Foothill 3/4,Alder,gravel,mi", Request("k", "h")
    assert not bring(row, request=request).replayed
    again = bring(row, request=request)
    assert (again.added, again.replayed) == (1, True)


def test_a_failure_in_the_middle_leaves_nothing(
    bring: Bring, boss: Actor, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No rule for its duty on file: found out after vehicles and joints have been written."""
    with pytest.raises(KeyError):
        bring("B-1,,Foothill 3/4,Alder,gravel,mi", "B-2,,Foothill 3/4,Alder,highway,mi")
    assert not Vehicle.objects.exists()
    assert not Joint.objects.exists()


def test_a_unit_number_that_no_address_can_hold_is_refused_by_every_door(
    boss: Actor, yard: Yard
) -> None:
    for number in ("A/1", "..", "A\\1", "A\x001"):
        new = NewVehicle(number, build.design().pk, yard.pk, "gravel", "mi")
        with pytest.raises(Refused):
            add_vehicle(boss, new, at=NOW)


def test_queries_do_not_grow_with_the_rows(bring: Bring) -> None:
    counts = []
    for name, count in (("C", 3), ("D", 12), ("E", 30)):
        lines = [f"{name}-{n},,Foothill 3/4,Alder,gravel,mi,100" for n in range(count)]
        with CaptureQueriesContext(connection) as queries:
            assert bring(*lines).added == count
        counts.append(len(queries))
    assert counts[0] == counts[1] == counts[2] <= 30
