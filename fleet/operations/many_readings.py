"""Many meter readings in one gesture: judged by the rule of one, stored set by set.

A file that is brought in and a client that sends its readings in bulk both come here. Nothing is
stored unless all can be; what is on file already is counted and left alone.

Judging takes long and storing must not, since on SQLite nobody else writes meanwhile. So all rows
are judged and made ready before the transaction, against what is on file then. In it the vehicles
are locked, and those that anything has happened to since (their version tells) are judged again.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from fleet.operations import projection, state, use, used
from fleet.operations.change import take_ids
from fleet.operations.errors import Problem, Refused
from fleet.operations.insert import insert_written, written
from fleet.operations.judged_readings import Made, Row, Series, Stands, Tally, judge_rows
from fleet.operations.meter_rules import POINT, point_of
from fleet.operations.work import Work, not_there
from fleet.records.models import Hold, MeterReading, Recheck, Vehicle, VehicleUse, Yard

# Vehicles at a time: what is on file of them is held in memory meanwhile.
CHUNK = 200
BATCH = 2_000
READ, NEW_METER = str(MeterReading.Kind.READ), str(MeterReading.Kind.NEW_METER)


@dataclass
class Ready:
    """What will be written of one vehicle, if nothing happens to it before the lock."""

    vehicle: Vehicle
    added: int
    on_file: int
    repeated: int
    # As the database takes them, by moment.
    rows: list[Sequence[Any]] = field(default_factory=list)
    uids: list[UUID] = field(default_factory=list)
    use: VehicleUse | None = None
    rechecks: list[Recheck] = field(default_factory=list)
    # Joints that owe several looks, of which another may have become the next one.
    joints: list[int] = field(default_factory=list)
    trail: list[Any] = field(default_factory=list)


@dataclass
class Judged:
    """All rows judged, nothing stored yet."""

    rows: Sequence[Row]
    tally: Tally = field(default_factory=Tally)
    by_vehicle: dict[int, Ready] = field(default_factory=dict)

    def count(self) -> None:
        """What became of the rows, over all vehicles."""
        ready = self.by_vehicle.values()
        self.tally.added = sum(one.added for one in ready)
        self.tally.on_file = sum(one.on_file for one in ready)
        self.tally.repeated = sum(one.repeated for one in ready)


def judge_many(
    work: Work, rows: Sequence[Row], only: Iterable[int] | None = None, *, store: bool = True
) -> Judged:
    """Judge all rows, or those of some vehicles; with `store` make ready what stands.

    Writes nothing.
    """
    found = Judged(rows)
    wanted = None if only is None else set(only)
    of_vehicle: dict[int, list[int]] = defaultdict(list)
    for index, row in enumerate(rows):
        if wanted is None or row.reading.vehicle_id in wanted:
            of_vehicle[row.reading.vehicle_id].append(index)
    uids = _uids_on_file(row.reading.uid for row in rows)
    for ids in _chunks(sorted(of_vehicle)):
        # Read before all else: what happens to one of them from here on moves its version.
        vehicles = _visible(work, ids)
        _refuse_strangers(found.tally, ids, vehicles, of_vehicle)
        stands = _judge(work, found, vehicles, of_vehicle, uids)
        if store and not found.tally.problem_count:
            _make_ready(work, found, stands)
    found.count()
    return found


def store_many(work: Work, judged: Judged) -> Tally:
    """Write what was judged, inside the caller's transaction. Where the tally has problems by
    now, nothing is written and the caller rolls back."""
    if judged.tally.problem_count:
        return judged.tally
    versions = work.lock_versions({row.reading.vehicle_id for row in judged.rows})
    moved = _moved_since(judged, versions)
    if moved:
        again = judge_many(work, judged.rows, moved)
        if again.tally.problem_count:
            return again.tally
        judged.by_vehicle |= again.by_vehicle
        judged.count()
    _store(work, [ready for ready in judged.by_vehicle.values() if ready.rows])
    return judged.tally


def _moved_since(judged: Judged, versions: dict[int, int]) -> set[int]:
    """The vehicles that something has happened to since their rows were judged."""
    ids = {row.reading.vehicle_id for row in judged.rows}
    ready = judged.by_vehicle
    moved = {pk for pk in ids if pk not in ready or versions.get(pk) != ready[pk].vehicle.version}
    if any(row.reading.uid for row in judged.rows):
        taken = _uids_on_file(uid for one in ready.values() for uid in one.uids)
        moved |= {pk for pk, one in ready.items() if not taken.keys().isdisjoint(one.uids)}
    return moved


def _chunks(ids: list[int]) -> Iterator[list[int]]:
    for start in range(0, len(ids), CHUNK):
        yield ids[start : start + CHUNK]


def _visible(work: Work, ids: list[int]) -> dict[int, Vehicle]:
    rows = Vehicle.visible_to(work.actor.person).filter(pk__in=ids)
    found = {v.pk: v for v in rows.only("unit_number", "yard", "meter_unit", "version")}
    yards = Yard.objects.in_bulk({vehicle.yard_id for vehicle in found.values()})
    for vehicle in found.values():
        vehicle.yard = yards[vehicle.yard_id]
    return found


def _refuse_strangers(
    tally: Tally, ids: list[int], vehicles: dict[int, Vehicle], by_vehicle: dict[int, list[int]]
) -> None:
    for vehicle_id in ids:
        if vehicle_id not in vehicles:
            problem = Problem("not_there", not_there(_("vehicle")).problems[0].message, "vehicle")
            for index in by_vehicle[vehicle_id]:
                tally.refuse(index, Refused((problem,)))


def _uids_on_file(uids: Iterable[UUID | None]) -> dict[UUID, int]:
    """Those of these identities that are on file, with their vehicle."""
    wanted = [uid for uid in uids if uid is not None]
    found: dict[UUID, int] = {}
    for start in range(0, len(wanted), BATCH):
        here = MeterReading.objects.filter(uid__in=wanted[start : start + BATCH])
        found.update(here.values_list("uid", "vehicle_id"))
    return found


def _on_file(vehicles: dict[int, Vehicle]) -> dict[int, Series]:
    """What is on file of these vehicles; a withdrawn reading is known, but does not count."""
    found: dict[int, Series] = defaultdict(Series)
    zones = {pk: ZoneInfo(vehicle.yard.time_zone) for pk, vehicle in vehicles.items()}
    rows = MeterReading.objects.filter(vehicle__in=vehicles).exclude(
        kind=MeterReading.Kind.WITHDRAWS
    )
    columns = rows.order_by("vehicle_id", "occurred_at", "id").values_list(
        "vehicle_id", "withdrawn_by", *POINT
    )
    for vehicle_id, withdrawn, *point in columns.iterator(BATCH):
        series, (_pk, when, value, unit, *_rest) = found[vehicle_id], point
        series.known.add((when, value, unit))
        series.known.add((when.astimezone(zones[vehicle_id]).date(), value, unit))
        if withdrawn is None:
            series.points.append(point_of(tuple(point)))
    return found


def _judge(
    work: Work, found: Judged, vehicles: dict[int, Vehicle], of_vehicle: dict[int, list[int]],
    uids: dict[UUID, int],
) -> dict[int, tuple[Stands, Series]]:  # fmt: skip
    on_file, stands = _on_file(vehicles), {}
    for pk, vehicle in vehicles.items():
        mine = ((index, found.rows[index]) for index in of_vehicle[pk])
        here = judge_rows(work, found.tally, vehicle, on_file[pk], mine, uids)
        found.by_vehicle[pk] = Ready(vehicle, len(here.made), here.on_file, here.repeated)
        stands[pk] = here, on_file[pk]
    return stands


def _make_ready(work: Work, found: Judged, stands: dict[int, tuple[Stands, Series]]) -> None:
    ready = [found.by_vehicle[pk] for pk, (here, _series) in stands.items() if here.made]
    for one in ready:
        _make_one_ready(work, one, *stands[one.vehicle.pk])
    _project(ready)


COLUMNS = ("uid", "vehicle", "kind", "occurred_at", "received_at", "tablet", "by", "typed", "value",
           "unit", "use_si", "reason")  # fmt: skip


def _make_one_ready(work: Work, ready: Ready, stands: Stands, series: Series) -> None:
    """The rows as they will be written, the state of the meter after them, the trail's entry."""
    vehicle = ready.vehicle
    ready.rows = list(written(MeterReading, COLUMNS,
                              (columns_of(work, vehicle, one) for one in stands.made)))  # fmt: skip
    ready.uids = [one.uid for one in stands.made]
    ready.use = use.state_from(vehicle, _seen(series, stands.made))
    said = {"readings": len(ready.rows), "use_si": ready.use.last_use_si}
    ready.trail = work.entry_written("record_readings", vehicle, vehicle=vehicle, after=said)


def columns_of(work: Work, vehicle: Vehicle, made: Made) -> tuple[Any, ...]:
    """A reading that stands, by COLUMNS."""
    reading, figure = made.one.row.reading, made.one.figure
    tablet = work.actor.tablet.pk if work.actor.tablet else None
    kind = NEW_METER if reading.new_meter else READ
    return (
        made.uid, vehicle.pk, kind, made.one.when, work.at, tablet, work.actor.person.pk,
        reading.typed, figure.value, str(figure.unit), made.use, reading.reason,
    )  # fmt: skip


def _seen(series: Series, made: list[Made]) -> list[use.Seen]:
    """The last readings, newest first, those on file with the new; a new one has no id yet and
    is named by its place among them, below zero."""
    last = [
        (point.key, point.when, point.use, use.kind_seen(point.new_meter))
        for point in series.points[-use.MOST_READINGS :]
    ]
    last += [
        (-1 - place, one.one.when, one.use, use.kind_seen(one.one.row.reading.new_meter))
        for place, one in enumerate(made)
    ]
    last.sort(key=lambda seen: seen[1])
    return last[: -1 - use.MOST_READINGS : -1]


def _project(ready: list[Ready]) -> None:
    """What the vehicles owe, with the dates that their meters now say."""
    uses = {one.vehicle.pk: one.use for one in ready if one.use is not None}
    live = projection.live_of(uses)
    at_joint = Counter(recheck.joint_id for recheck in live if recheck.joint_id)
    by_pk = {one.vehicle.pk: one for one in ready}
    for recheck in projection.moved(live, uses):
        mine = by_pk[recheck.vehicle_id]
        mine.rechecks.append(recheck)
        if recheck.joint_id and at_joint[recheck.joint_id] > 1:
            mine.joints.append(recheck.joint_id)


def _store(work: Work, ready: list[Ready]) -> None:
    """Write the rows, then what follows from them, once for each vehicle."""
    ids = take_ids(MeterReading, sum(len(one.rows) for one in ready))
    rows = (row for one in ready for row in one.rows)
    numbered = ((pk, *row) for pk, row in zip(ids, rows, strict=True))
    insert_written(MeterReading, ("id", *COLUMNS), numbered)
    use.keep(_named(ready, ids))
    projection.keep(recheck for one in ready for recheck in one.rechecks)
    state.refresh([joint for one in ready for joint in one.joints])
    _notice_use_while_held(work, ready)
    work.trail_written(one.trail for one in ready)


def _named(ready: list[Ready], ids: list[int]) -> Iterator[VehicleUse]:
    """The states of the meters, now that the new readings have their ids."""
    first = 0
    for one in ready:
        if one.use is not None:
            if one.use.last_reading_id is not None and one.use.last_reading_id < 0:
                one.use.last_reading_id = ids[first - 1 - one.use.last_reading_id]
            yield one.use
        first += len(one.rows)


def _notice_use_while_held(work: Work, ready: list[Ready]) -> None:
    held = set(Hold.objects.filter(lifted_at=None).values_list("vehicle", flat=True))
    for one in ready:
        if one.vehicle.pk in held:
            newest = MeterReading.objects.get(uid=one.uids[-1])
            used.notice_use_while_held(work, one.vehicle, newest)
