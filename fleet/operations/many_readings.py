"""Many meter readings in one gesture: judged by the rule of one, stored set by set.

A file that is brought in and a client that sends its readings in bulk both come here. Nothing is
stored unless all can be; what is on file already is counted and left alone.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from fleet.calc.meter_series import MOST_A_DAY_SI, MeterPoint, Placed, place_readings
from fleet.operations import use, used
from fleet.operations.errors import Problem, Refused
from fleet.operations.insert import insert
from fleet.operations.meter_rules import (
    POINT,
    Figure,
    Said,
    cannot_be,
    point_of,
    read_figure,
    said_by,
)
from fleet.operations.meters import Reading, accepts, kind_of
from fleet.operations.work import Work, not_there
from fleet.records.base import new_uid
from fleet.records.models import Hold, MeterReading, Vehicle

# Vehicles at a time: what is on file of them is held in memory meanwhile.
CHUNK = 50
BATCH = 2_000
# More than this is told by number only.
MOST_PROBLEMS = 500
# A client's clock may run ahead of the server's by so much.
AHEAD = timedelta(minutes=5)
EARLIEST = 1980
MOST_REASON = 200


@dataclass(frozen=True, slots=True)
class Row:
    """A reading to take; with `day` no time was said, and the same figure that day is the same."""

    reading: Reading
    day: date | None = None


@dataclass
class Tally:
    """What became of the rows. A problem stands with the index of its row."""

    added: int = 0
    on_file: int = 0
    repeated: int = 0
    problems: list[tuple[int, Problem]] = field(default_factory=list)
    problem_count: int = 0

    def refuse(self, index: int, refused: Refused) -> None:
        self.problem_count += len(refused.problems)
        room = MOST_PROBLEMS - len(self.problems)
        self.problems += [(index, problem) for problem in refused.problems[: max(room, 0)]]

    @property
    def full(self) -> bool:
        return len(self.problems) >= MOST_PROBLEMS


@dataclass(frozen=True, slots=True)
class Taken:
    """A row that is neither on file nor said before, with its figure read."""

    index: int
    row: Row
    figure: Figure
    when: datetime


@dataclass(frozen=True, slots=True)
class Made:
    """A row that stands, with its continuous use and the identity it will have."""

    vehicle_id: int
    one: Taken
    use: int
    uid: UUID


Key = tuple[datetime | date, Decimal, str]


@dataclass
class Series:
    """One vehicle's readings on file: as points of the rule, and as what repeats are known by."""

    points: list[MeterPoint] = field(default_factory=list)
    known: set[Key] = field(default_factory=set)


def take_many(work: Work, rows: Sequence[Row], *, store: bool) -> Tally:
    """Judge all rows and, with `store`, write them inside the caller's transaction.

    The caller rolls back where the tally has problems.
    """
    tally = Tally()
    by_vehicle: dict[int, list[int]] = defaultdict(list)
    for index, row in enumerate(rows):
        by_vehicle[row.reading.vehicle_id].append(index)
    uids = _uids_on_file(rows)
    for ids in _chunks(sorted(by_vehicle)):
        vehicles = work.lock_all(ids) if store else _visible(work, ids)
        _refuse_strangers(tally, ids, vehicles, by_vehicle)
        series = _on_file(vehicles)
        made: list[Made] = []
        for vehicle in vehicles.values():
            here = series[vehicle.pk]
            taken = _new_ones(work, tally, vehicle, here, _rows_of(rows, by_vehicle, vehicle), uids)
            made += _placed(work, tally, vehicle, here, taken)
        tally.added += len(made)
        if store and not tally.problem_count:
            _store(work, vehicles, made)
    return tally


def _chunks(ids: list[int]) -> Iterator[list[int]]:
    for start in range(0, len(ids), CHUNK):
        yield ids[start : start + CHUNK]


def _visible(work: Work, ids: list[int]) -> dict[int, Vehicle]:
    rows = Vehicle.visible_to(work.actor.person).filter(pk__in=ids)
    return {vehicle.pk: vehicle for vehicle in rows.select_related("yard")}


def _rows_of(
    rows: Sequence[Row], by_vehicle: dict[int, list[int]], vehicle: Vehicle
) -> Iterator[tuple[int, Row]]:
    return ((index, rows[index]) for index in by_vehicle[vehicle.pk])


def _refuse_strangers(
    tally: Tally, ids: list[int], vehicles: dict[int, Vehicle], by_vehicle: dict[int, list[int]]
) -> None:
    for vehicle_id in ids:
        if vehicle_id not in vehicles:
            problem = Problem("not_there", not_there(_("vehicle")).problems[0].message, "vehicle")
            for index in by_vehicle[vehicle_id]:
                tally.refuse(index, Refused((problem,)))


def _uids_on_file(rows: Sequence[Row]) -> dict[UUID, int]:
    """The identities that clients made and that are on file, with their vehicle."""
    wanted = [row.reading.uid for row in rows if row.reading.uid is not None]
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


def _new_ones(
    work: Work, tally: Tally, vehicle: Vehicle, series: Series,
    rows: Iterable[tuple[int, Row]], uids: dict[UUID, int],
) -> list[Taken]:  # fmt: skip
    """The rows of one vehicle that are neither on file nor said before in the same gesture."""
    taken: list[Taken] = []
    said: set[Key | UUID] = set()
    for index, row in rows:
        try:
            one = _read(work, vehicle, index, row, uids)
        except Refused as refused:
            tally.refuse(index, refused)
            continue
        known, uid = _keys(one), row.reading.uid
        if uid in uids or not known.isdisjoint(series.known):
            tally.on_file += 1
        elif not known.isdisjoint(said) or uid in said:
            tally.repeated += 1
        else:
            taken.append(one)
            said |= known | ({uid} if uid else set())
    return taken


def _keys(one: Taken) -> set[Key]:
    when = one.row.day or one.when
    return {(when, one.figure.value, one.figure.unit)}


def _read(work: Work, vehicle: Vehicle, index: int, row: Row, uids: dict[UUID, int]) -> Taken:
    reading = row.reading
    figure = read_figure(vehicle, reading.typed, reading.unit)
    when = reading.occurred_at or work.at
    if when > work.at + AHEAD and row.day is None:
        raise Refused((Problem("not_yet", _("This moment has not come yet."), "at"),))
    if when.year < EARLIEST:
        message = _("This is too long ago. Type a date like 2026-11-25.")
        raise Refused((Problem("too_long_ago", message, "at"),))
    if len(reading.reason) > MOST_REASON:
        message = _("At most %(most)s characters.") % {"most": MOST_REASON}
        raise Refused((Problem("too_long", message, "reason"),))
    if uids.get(reading.uid, vehicle.pk) != vehicle.pk if reading.uid else False:
        message = _("This identity is on file for another vehicle. Make a new one.")
        raise Refused((Problem("uid_taken", message, "uid"),))
    return Taken(index, row, figure, min(when, work.at))


def _placed(
    work: Work, tally: Tally, vehicle: Vehicle, series: Series, taken: list[Taken]
) -> list[Made]:
    """Judge one vehicle's new readings together; those that stand, by moment."""
    new = [
        # Below zero, so that a row is told from a reading on file.
        MeterPoint(
            one.when, one.figure.si, new_meter=one.row.reading.new_meter,
            accepted=accepts(work.actor, one.row.reading), key=-1 - place,
        )
        for place, one in enumerate(taken)
    ]  # fmt: skip
    rows = []
    for placed in place_readings(series.points, new, MOST_A_DAY_SI[vehicle.meter_unit]):
        one = taken[-1 - placed.key]
        if not placed.problem:
            rows.append(Made(vehicle.pk, one, placed.use, one.row.reading.uid or new_uid()))
        elif tally.full:
            tally.problem_count += 1
        else:
            tally.refuse(one.index, cannot_be(placed, _said(placed, taken), vehicle))
    return rows


def _said(placed: Placed, taken: list[Taken]) -> Said | None:
    if placed.against is None:
        return None
    key = placed.against.key
    if key >= 0:
        return said_by(key)
    other = taken[-1 - key]
    return Said(other.row.reading.typed, other.figure.unit, other.when)


COLUMNS = ("uid", "vehicle", "kind", "occurred_at", "received_at", "tablet", "by", "typed", "value",
           "unit", "use_si", "reason")  # fmt: skip


def _columns(work: Work, made: Made) -> tuple[Any, ...]:
    reading, figure = made.one.row.reading, made.one.figure
    tablet = work.actor.tablet.pk if work.actor.tablet else None
    return (
        made.uid, made.vehicle_id, str(kind_of(reading)), made.one.when, work.at, tablet,
        work.actor.person.pk, reading.typed, figure.value, str(figure.unit), made.use,
        reading.reason,
    )  # fmt: skip


def _store(work: Work, vehicles: dict[int, Vehicle], made: list[Made]) -> None:
    """Write the rows, then what follows from them, once for each vehicle."""
    insert(MeterReading, COLUMNS, (_columns(work, one) for one in made))
    last = {one.vehicle_id: one for one in made}  # by moment: the last one stays
    count = Counter(one.vehicle_id for one in made)
    moved = [vehicles[pk] for pk in last]
    use.refresh_all(moved, work.at)
    held = Hold.objects.filter(vehicle__in=moved, lifted_at=None).values_list("vehicle", flat=True)
    for vehicle_id in set(held):
        newest = MeterReading.objects.get(uid=last[vehicle_id].uid)
        used.notice_use_while_held(work, vehicles[vehicle_id], newest)
    work.trail_all(
        work.entry("record_readings", vehicle, vehicle=vehicle,
                   after={"readings": count[vehicle.pk], "use_si": vehicle.use.last_use_si})
        for vehicle in moved
    )  # fmt: skip
