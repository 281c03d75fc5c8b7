"""Vehicles that join the fleet, one or thousands, with all that belongs to them from their first
day: joints, what the meter says, the standing rechecks, entries in the trail.

Made ready before the transaction where there is time for it, so that it is short; the ids are
known only in it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db import DEFAULT_DB_ALIAS, connections, models

from fleet.operations import rechecks, use
from fleet.operations.change import take_ids
from fleet.operations.errors import Refused
from fleet.operations.insert import insert_written, written
from fleet.operations.judged_readings import Row, Series, Tally, judge_rows
from fleet.operations.many_readings import COLUMNS, columns_of
from fleet.operations.meters import Reading
from fleet.operations.new_joints import make_joints_of
from fleet.operations.work import TRAIL_COLUMNS, Work
from fleet.reads.rules import RuleNow, rules
from fleet.records.models import MeterReading, Recheck, Vehicle, VehicleUse, Yard

Values = list[Any]
VEHICLE = [f.name for f in Vehicle._meta.concrete_fields]
RECHECK = [f.name for f in Recheck._meta.concrete_fields]
USE = ["vehicle", *use.FIELDS]
SUBJECT, OF_VEHICLE = TRAIL_COLUMNS.index("subject_id"), TRAIL_COLUMNS.index("vehicle_id")


@dataclass
class NewOne:
    """A vehicle with what will be written of it, where an id is wanting."""

    vehicle: Vehicle
    columns: Values
    use: Values
    reading: Values | None = None
    rechecks: list[Values] = field(default_factory=list)
    # First its own, then one for each recheck; then for the reading, if there is one.
    trail: list[Values] = field(default_factory=list)


def make_ready(work: Work, built: Sequence[Vehicle], meters: Sequence[str]) -> list[NewOne]:
    """All that will be written of vehicles that `build` has let pass, each with what its meter
    says (or nothing). Writes nothing."""
    yards = Yard.objects.in_bulk({vehicle.yard_id for vehicle in built})
    routine = rules("routine")
    found = []
    for vehicle, meter in zip(built, meters, strict=True):
        vehicle.yard = yards[vehicle.yard_id]
        found.append(_ready(work, vehicle, meter, routine))
    return found


def _ready(work: Work, vehicle: Vehicle, meter: str, routine: dict[str, RuleNow]) -> NewOne:
    tally = Tally()
    typed = [(0, Row(Reading(0, meter)))] if meter.strip() else []
    stands = judge_rows(work, tally, vehicle, Series(), typed, {})
    if tally.problem_count:
        raise Refused(tuple(problem for _index, problem in tally.problems))
    seen = [(0, made.one.when, made.use, use.kind_seen(False)) for made in stands.made]
    state = use.state_from(vehicle, seen)
    owed = rechecks.routine_of(work, vehicle, routine, state)

    def say(verb: str, row: models.Model, **after: Any) -> Values:
        return work.entry_written(verb, row, vehicle=vehicle, after=after)

    trail = [say("add_vehicle", vehicle, unit=vehicle.unit_number)]
    trail += [say("make_recheck", one, **rechecks.said_of(one)) for one in owed]
    reading = None
    if stands.made:
        [row] = written(MeterReading, COLUMNS, [columns_of(work, vehicle, stands.made[0])])
        reading = list(row)
        trail.append(say("record_readings", vehicle, readings=1, use_si=state.last_use_si))
    columns = [_all_columns(recheck) for recheck in owed]
    return NewOne(vehicle, _all_columns(vehicle), _use(state), reading, columns, trail)


def _use(state: VehicleUse) -> Values:
    [row] = written(VehicleUse, USE, [[None, *(getattr(state, name) for name in use.ATTRIBUTES)]])
    return list(row)


def _all_columns(row: models.Model) -> Values:
    """Every column as the record's own save would write it."""
    return [_saved(field, getattr(row, field.attname)) for field in row._meta.concrete_fields]


def _saved(field: "models.Field[Any, Any]", value: Any) -> Any:
    plain = str(value) if isinstance(value, models.Choices) else value
    return field.get_db_prep_save(plain, connections[DEFAULT_DB_ALIAS])


def store(work: Work, new: Sequence[NewOne]) -> list[Vehicle]:
    """Write them, inside the caller's transaction."""
    for one, pk in zip(new, take_ids(Vehicle, len(new)), strict=True):
        one.vehicle.pk = one.columns[0] = one.use[0] = pk
        for entry in one.trail:
            entry[OF_VEHICLE] = entry[SUBJECT] = pk
    # The ids first: nothing else can be asked on the connection while rows go in.
    readings, owed = _readings(new), _rechecks(new)
    insert_written(Vehicle, VEHICLE, (one.columns for one in new))
    make_joints_of([one.vehicle for one in new])
    insert_written(MeterReading, ("id", *COLUMNS), readings)
    insert_written(VehicleUse, USE, (one.use for one in new))
    insert_written(Recheck, RECHECK, owed)
    work.trail_written(entry for one in new for entry in one.trail)
    return [one.vehicle for one in new]


def _readings(new: Sequence[NewOne]) -> list[Values]:
    read = [(one, one.reading) for one in new if one.reading is not None]
    rows = []
    for (one, columns), pk in zip(read, take_ids(MeterReading, len(read)), strict=True):
        columns[COLUMNS.index("vehicle")] = one.vehicle.pk
        one.use[USE.index("last_reading")] = pk
        rows.append([pk, *columns])
    return rows


def _rechecks(new: Sequence[NewOne]) -> list[Values]:
    """Each has its entry in the trail at its own place behind the vehicle's."""
    ids = iter(take_ids(Recheck, sum(len(one.rechecks) for one in new)))
    for one in new:
        for row, entry in zip(one.rechecks, one.trail[1:], strict=False):
            row[0] = entry[SUBJECT] = next(ids)
            row[RECHECK.index("vehicle")] = one.vehicle.pk
    return [row for one in new for row in one.rechecks]
