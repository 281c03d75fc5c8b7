"""The file as it stood on a day: nothing later is in it, and states are those of then."""

from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from fleet.operations.holds import Check, lift_hold, place_hold
from fleet.operations.inspect import Sheet, record_inspection
from fleet.operations.meters import Reading, record_meter, withdraw_reading
from fleet.operations.repair import drop_line
from fleet.papers import vehicle_file
from fleet.reads.cut import HAPPENED, KNOWN, Cut
from fleet.reads.joint_states import FIELDS, live_rechecks, work_out
from fleet.reads.reports.vehicle_record import VehicleRecord
from fleet.records.models import Joint, JointState, Recheck
from tests.operations.conftest import RETORQUE, TRACK_BAR, House
from tests.papers.conftest import Record

# What a day's state keeps that is worked out anew with each meter reading.
PROJECTED = ("due_recheck", "interval_from", "interval_from_use_si", "interval_to_on",
             "interval_to_use_si")  # fmt: skip


def day(house: House) -> Any:
    return house.now.astimezone(ZoneInfo(house.yard.time_zone)).date()


def mark(record: VehicleRecord, kind: str = "track_bar_frame_end") -> str:
    return next(one.state.mark for one in record.joints if one.joint.kind.code == kind)


def late_sheet(house: House, code: str, when: datetime) -> Any:
    """A sheet that reaches the server now and tells of another day."""
    wrench: dict[str, Any] = {"torque": "125 lbf·ft", "tool_id": house.tool.pk}
    more = {"degrees": "15"} if code == "moved" else {}
    look = house.look("track_bar_frame_end", code, method="wrench", **wrench, **more)
    sheet = Sheet(house.vehicle.pk, "retorque", (look,), at_wheel="a helper", occurred_at=when)
    return record_inspection(house.technician, sheet, at=house.now).row


def test_what_came_later_is_not_in_it(house: House, record: Record) -> None:
    house.later(days=2)
    house.tight()
    then = day(house)
    house.later(days=5)
    house.moved()
    stood = record(until=then).record
    assert mark(stood) == "tight"
    assert [sheet.occurred_at.date() for sheet in stood.inspections] == [then]
    assert len(stood.torques) == 1
    assert mark(record().record) == "moved"


def test_a_fact_that_came_late_was_not_known_then_though_it_had_happened(
    house: House, record: Record
) -> None:
    house.later(days=2)
    house.tight()
    then, evening = day(house), house.now + timedelta(hours=2)
    house.later(days=3)
    late_sheet(house, "moved", evening)
    known = record(until=then, basis=KNOWN).record
    happened = record(until=then, basis=HAPPENED).record
    assert (mark(known), len(known.inspections)) == ("tight", 1)
    assert (mark(happened), len(happened.inspections)) == ("moved", 2)


def test_the_day_ends_at_the_yards_midnight(house: House, record: Record) -> None:
    """START is nine in the morning at the yard; fifteen hours later the next day begins there."""
    first = day(house)
    house.now += timedelta(hours=14, minutes=59)
    house.tight()
    house.now += timedelta(minutes=2)
    house.moved()
    assert day(house) == first + timedelta(days=1)
    assert mark(record(until=first).record) == "tight"
    assert mark(record(until=day(house)).record) == "moved"


def test_states_of_any_past_moment_are_those_that_were_kept_then(house: House) -> None:
    """Looks, repairs, parts, drops and late arrivals: rebuilt for each moment they equal the rows
    that the server kept at that moment."""
    ids = list(Joint.objects.values_list("pk", flat=True))
    kept: list[tuple[datetime, dict[int, Any], set[int]]] = []

    def keep() -> None:
        columns = [name for name in FIELDS if name not in PROJECTED]
        rows = JointState.objects.values_list("joint", *columns)
        live = Recheck.objects.filter(state__in=Recheck.LIVE).values_list("pk", flat=True)
        kept.append((house.now, {row[0]: row[1:] for row in rows}, set(live)))
        house.later(days=3)

    keep()
    house.tight()
    keep()
    house.repair(("replace_track_bar", "track_bar_frame_end", TRACK_BAR))
    keep()
    house.moved()
    keep()
    ticket = house.ticket(("retorque", "track_bar_axle_end"))
    line = house.line(ticket, "retorque")
    house.record(line, RETORQUE)
    house.record(line, RETORQUE, torque="120 lbf·ft")
    keep()
    drop_line(house.technician, line.pk, "wrong joint", at=house.now)
    keep()
    late_sheet(house, "tight", house.now - timedelta(days=7))
    keep()
    for moment, states, live in kept:
        cut = Cut(moment + timedelta(seconds=1))
        assert told(work_out(ids, cut)) == states, moment
        assert set(live_rechecks(cut).values_list("pk", flat=True)) == live, moment


def told(rows: list[JointState]) -> dict[int, Any]:
    kept = [f for f in JointState._meta.concrete_fields if f.name in FIELDS]
    names = [field.attname for field in kept if field.name not in PROJECTED]
    return {row.joint_id: tuple(getattr(row, name) for name in names) for row in rows}


def test_what_was_owed_then_is_owed_though_it_is_done_now(house: House, record: Record) -> None:
    house.repair(("replace_track_bar", "track_bar_frame_end", TRACK_BAR))
    then = day(house)
    assert {row.state for row in record(until=then).record.owed} == {"owed"}
    owed = {row.pk for row in record(until=then).record.owed}
    house.later(days=6)
    record_meter(house.technician, Reading(house.vehicle.pk, "48,090"), at=house.now)
    house.tight()
    now = {row.pk for row in record().record.owed}
    assert owed - now != set(), "the look paid what was owed"
    assert {row.pk for row in record(until=then).record.owed} == owed


def test_a_correction_stands_from_its_own_day_on(house: House, record: Record) -> None:
    ticket = house.ticket(("retorque", "track_bar_frame_end"))
    line = house.line(ticket, "retorque")
    house.record(line, RETORQUE)
    then = day(house)
    house.later(days=1)
    house.record(line, RETORQUE, torque="118 lbf·ft")
    before, after = record(until=then), record()
    assert [pull.typed for pull in before.record.torques] == ["125 lbf·ft"]
    assert before.record.corrections == []
    assert [pull.typed for pull in after.record.torques] == ["118 lbf·ft"]
    [row] = after.corrections().rows
    assert "125" in str(row[2])
    assert "118" in str(row[3])


def test_a_line_dropped_later_was_on_the_ticket_then(house: House, record: Record) -> None:
    ticket = house.ticket(("retorque", "track_bar_frame_end"))
    line = house.line(ticket, "retorque")
    house.record(line, RETORQUE)
    then = day(house)
    house.later(days=1)
    drop_line(house.technician, line.pk, "wrong joint", at=house.now)
    assert "Dropped" not in str(record(until=then).repairs().rows)
    assert "Dropped: wrong joint" in str(record().repairs().rows)


def test_a_hold_lifted_since_held_then(house: House, record: Record) -> None:
    placed = place_hold(house.driver, house.vehicle.pk, "Bent", at=house.now).row
    then = day(house)
    house.later(days=2)
    check = Check(dry_steer=True, note="Looked over.")
    lift_hold(house.manager, placed.pk, check, at=house.now)
    assert "still held" in str(record(until=then).holds().rows)
    assert "second check Manager" in str(record().holds().rows)


def test_a_withdrawn_reading_counted_until_it_was_withdrawn(house: House, record: Record) -> None:
    house.later(days=1)
    made = record_meter(house.technician, Reading(house.vehicle.pk, "48,050"), at=house.now).row
    then = day(house)
    house.later(days=1)
    withdraw_reading(house.manager, made.pk, "misread", at=house.now)
    assert record(until=then).record.meter == made
    now = record().record
    assert now.meter is not None
    assert now.meter != made
    assert [one.kind for one in now.corrections] == ["withdrawn"]


def test_the_document_says_which_of_the_two_it_is(house: House, record: Record) -> None:
    then = day(house)
    known = vehicle_file.as_it_stood(record(until=then).record)
    assert known.startswith("As it was known at the end of Sep 1, 2026 (America/Denver)")
    happened = vehicle_file.as_it_stood(record(until=then, basis=HAPPENED).record)
    assert happened.startswith("What had happened by the end of Sep 1, 2026")
    assert "whole file" in vehicle_file.as_it_stood(record().record)


def test_days_leave_out_what_lies_before_them(house: House, record: Record) -> None:
    house.later(days=2)
    house.tight()
    house.later(days=10)
    since = day(house)
    house.moved()
    found = record(since=since).record
    assert len(found.inspections) == 1
    assert len(found.torques) == 1
    assert mark(found) == "moved"
