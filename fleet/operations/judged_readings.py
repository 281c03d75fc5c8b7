"""One vehicle's new readings judged together: which stand, which are on file, which can't be."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from decimal import Decimal
from uuid import UUID

from django.utils.translation import gettext as _

from fleet.calc.meter_series import MOST_A_DAY_SI, MeterPoint, Placed, place_readings
from fleet.operations.errors import Problem, Refused
from fleet.operations.meter_rules import Figure, Said, cannot_be, read_figure, said_by
from fleet.operations.meters import Reading, accepts
from fleet.operations.work import Work
from fleet.records.base import new_uid
from fleet.records.models import Vehicle

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

    one: Taken
    use: int
    uid: UUID


@dataclass
class Stands:
    """What stands of one vehicle's rows, by moment, and how many were known before."""

    made: list[Made]
    on_file: int = 0
    repeated: int = 0


Key = tuple[datetime | date, Decimal, str]


@dataclass
class Series:
    """One vehicle's readings on file: as points of the rule, and as what repeats are known by."""

    points: list[MeterPoint] = field(default_factory=list)
    known: set[Key] = field(default_factory=set)


def judge_rows(
    work: Work, tally: Tally, vehicle: Vehicle, series: Series,
    rows: Iterable[tuple[int, Row]], uids: dict[UUID, int],
) -> Stands:  # fmt: skip
    """Judge one vehicle's rows by the readings on file and by each other; problems are told in
    the tally. `uids` are the identities that are on file, each with its vehicle."""
    found = Stands([])
    taken = _new_ones(work, tally, found, vehicle, series, rows, uids)
    found.made = _placed(work, tally, vehicle, series, taken)
    return found


def _new_ones(
    work: Work, tally: Tally, found: Stands, vehicle: Vehicle, series: Series,
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
            found.on_file += 1
        elif not known.isdisjoint(said) or uid in said:
            found.repeated += 1
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
            rows.append(Made(one, placed.use, one.row.reading.uid or new_uid()))
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
