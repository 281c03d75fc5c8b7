"""Life by part number and lot: how many were fitted, how long they ran, and what was found.

Counts and exposure only. A rate is told where there are enough finds on enough vehicles to be
more than chance, and never as a ranking: parts differ in vehicle, road and how often they were
looked at. Rows come from the database as columns, and are put together by NumPy.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np
from django.db.models import QuerySet
from numpy.typing import NDArray

from fleet.calc.calendar import start_of_local_day
from fleet.reads.cut import NOW
from fleet.reads.days import zone_of
from fleet.records.inspections import BAD
from fleet.records.models import (
    Finding,
    FindingCode,
    JointKind,
    MeterUnit,
    PartChange,
    Person,
    Yard,
)

DISTANCE, HOURS = "distance", "hours"
# A rate is told from so many finds on so many vehicles (as for intervals, decisions: at least 5).
FEWEST_FINDS = FEWEST_VEHICLES = 5
SAYS_NOTHING = (FindingCode.NOT_REACHED, FindingCode.NOT_FITTED)
WORN = (FindingCode.PLAY, *BAD)

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class PartAsked:
    """Which parts: fitted in these days at the yards' own dates, on meters of one kind."""

    since: date | None = None
    until: date | None = None
    run_in: str = DISTANCE


@dataclass(frozen=True)
class PartLife:
    """One part number and lot at one kind of joint. Runs are metres, or seconds of an hour meter.

    `run_si` is what its parts ran in all; `unknown` of them have no meter at one end and are not
    in it. `shortest_si` is of those taken out, `longest_si` of all.
    """

    kind: JointKind
    number: str
    lot: str
    fitted: int
    in_place: int
    vehicles: int
    unknown: int
    run_si: float
    shortest_si: float | None
    longest_si: float | None
    looks: int
    moved: int
    worn: int
    found_on: int

    @property
    def taken_out(self) -> int:
        return self.fitted - self.in_place

    @property
    def finds(self) -> int:
        return self.moved + self.worn

    @property
    def too_little(self) -> bool:
        """Whether its finds are too few to say a rate."""
        enough = self.finds >= FEWEST_FINDS and self.found_on >= FEWEST_VEHICLES
        return not (enough and self.run_si > 0)


def part_lives(person: Person, yards: Sequence[Yard], asked: PartAsked) -> list[PartLife]:
    """By kind of joint, number and lot; three queries, however many parts."""
    changes = _changes(person, yards, asked)
    if not len(changes["joint"]):
        return []
    runs = _runs(changes, _fitted_in(changes, yards, asked))
    return _lives(runs, _found(person, yards, runs))


def _rows(rows: QuerySet[Any], **columns: str) -> dict[str, NDArray[Any]]:
    """Columns of a query by name."""
    found = list(rows.values_list(*columns.values()))
    by_column = list(zip(*found, strict=True)) if found else [()] * len(columns)
    return {name: np.array(c, dtype=object) for name, c in zip(columns, by_column, strict=True)}


def _changes(person: Person, yards: Sequence[Yard], asked: PartAsked) -> dict[str, NDArray[Any]]:
    """Every part fitted or taken off that stands, by joint and then by time."""
    rows = PartChange.visible_to(person).filter(NOW.stands(), joint__vehicle__yard__in=yards)
    hours = {"joint__vehicle__meter_unit": MeterUnit.HOURS}
    rows = rows.filter(**hours) if asked.run_in == HOURS else rows.exclude(**hours)
    return _rows(
        rows.order_by("joint", "occurred_at", "id"),
        joint="joint_id", vehicle="joint__vehicle_id", kind="joint__kind_id", fitted="fitted",
        at="occurred_at", use="use_si", use_now="joint__vehicle__use__last_use_si",
        number="number", lot="lot", yard="joint__vehicle__yard_id",
    )  # fmt: skip


def _fitted_in(changes: dict[str, NDArray[Any]], yards: Sequence[Yard], asked: PartAsked) -> Any:
    """Which changes lie in the days asked for, each at its own yard's dates."""
    yard, at = changes["yard"].astype(np.int64), _seconds(changes["at"])
    kept = np.full(len(at), True)
    for one in yards:
        first, last = _moments(one, asked)
        kept &= (yard != one.pk) | ((at >= first) & (at < last))
    return kept


def _moments(yard: Yard, asked: PartAsked) -> tuple[float, float]:
    zone = zone_of(yard)
    first, last = -np.inf, np.inf
    if asked.since is not None:
        first = start_of_local_day(asked.since, zone).timestamp()
    if asked.until is not None:
        last = start_of_local_day(asked.until + timedelta(days=1), zone).timestamp()
    return first, last


def _seconds(moments: NDArray[Any]) -> Floats:
    return np.array([moment.timestamp() for moment in moments], dtype=float)


def _runs(changes: dict[str, NDArray[Any]], wanted: NDArray[np.bool_]) -> dict[str, NDArray[Any]]:
    """Each part fitted, until the next change at its joint or until now."""
    joint = changes["joint"].astype(np.int64)
    at, use = _seconds(changes["at"]), changes["use"].astype(float)
    ended = np.append(joint[1:] == joint[:-1], False)
    until = np.where(ended, np.append(at[1:], np.inf), np.inf)
    use_end = np.where(ended, np.append(use[1:], np.nan), changes["use_now"].astype(float))
    kept = changes["fitted"].astype(bool) & wanted
    runs = {
        "joint": joint, "start": at, "end": until, "ended": ended,
        "run": np.maximum(use_end - use, 0.0),
        **{name: changes[name] for name in ("vehicle", "kind", "number", "lot")},
    }  # fmt: skip
    return {name: column[kept] for name, column in runs.items()}


def _found(person: Person, yards: Sequence[Yard], runs: dict[str, Any]) -> dict[str, Any]:
    """Checks made while each part was in place, by the run that they fall in."""
    rows = Finding.visible_to(person).filter(
        joint__vehicle__yard__in=yards, joint__in=PartChange.objects.values("joint")
    ).exclude(code__in=SAYS_NOTHING)  # fmt: skip
    seen = _rows(rows.order_by("joint", "occurred_at", "id"),
                 joint="joint_id", at="occurred_at", code="code")  # fmt: skip
    joint, at = seen["joint"].astype(np.int64), _seconds(seen["at"])
    run = _last_started(runs, joint, at)
    known = run >= 0
    known[known] &= at[known] < runs["end"][run[known]]
    return {"run": run[known], "code": seen["code"][known].astype(str)}


def _last_started(runs: dict[str, Any], joint: Ints, at: Floats) -> Ints:
    """The run of the same joint that had started last before each moment; -1 where none had."""
    if not len(runs["joint"]) or not len(joint):
        return np.full(len(joint), -1, dtype=np.int64)
    # Both in one order of joint and time: a run that starts at the very moment comes after.
    keys = np.concatenate([runs["joint"], joint])
    times = np.concatenate([runs["start"], at])
    is_run = np.repeat([True, False], [len(runs["joint"]), len(joint)])
    order = np.lexsort((is_run, times, keys))
    index = np.where(is_run[order], order, -1)
    last = np.maximum.accumulate(np.where(index >= 0, np.arange(len(order)), -1))
    found = np.where(last >= 0, index[np.maximum(last, 0)], -1)
    back = np.empty(len(order), dtype=np.int64)
    back[order] = found
    run = back[len(runs["joint"]) :]
    run[(run >= 0) & (runs["joint"][np.maximum(run, 0)] != joint)] = -1
    return run


def _lives(runs: dict[str, Any], found: dict[str, Any]) -> list[PartLife]:
    """Runs put together by kind, number and lot."""
    keys = np.array(list(zip(runs["kind"], runs["number"], runs["lot"], strict=True)), dtype=object)
    if not len(keys):
        return []
    group, firsts, size = _grouped(keys)
    count = len(firsts)
    run = runs["run"].astype(float)
    unknown = np.isnan(run)
    ended = runs["ended"].astype(bool)
    codes, of = found["code"], group[found["run"]]
    moved, worn = codes == FindingCode.MOVED, np.isin(codes, [str(code) for code in WORN])
    told = {
        "fitted": size,
        "in_place": np.bincount(group[~ended], minlength=count),
        "unknown": np.bincount(group[unknown], minlength=count),
        "run_si": np.bincount(group[~unknown], run[~unknown], minlength=count),
        "shortest_si": _extreme(np.minimum, group, run, ended & ~unknown, count),
        "longest_si": _extreme(np.maximum, group, run, ~unknown, count),
        "looks": np.bincount(of, minlength=count),
        "moved": np.bincount(of[moved], minlength=count),
        "worn": np.bincount(of[worn], minlength=count),
        "vehicles": _distinct(group, runs["vehicle"], count),
        "found_on": _distinct(of[moved | worn], runs["vehicle"][found["run"]][moved | worn], count),
    }
    return _in_order(keys[firsts], told)


def _grouped(keys: NDArray[Any]) -> tuple[Ints, Ints, Ints]:
    """Group of each row, first row and size of each group."""
    kinds = keys[:, 0].astype(np.int64)
    words = np.char.add(np.char.add(keys[:, 1].astype(str), "\x1f"), keys[:, 2].astype(str))
    both = np.rec.fromarrays([kinds, words])
    _values, firsts, group, size = np.unique(
        both, return_index=True, return_inverse=True, return_counts=True
    )
    return group.astype(np.int64), firsts.astype(np.int64), size.astype(np.int64)


def _extreme(least: Any, group: Ints, run: Floats, which: NDArray[np.bool_], count: int) -> Floats:
    """The least or the most of each group; not a number where it has none."""
    start = np.inf if least is np.minimum else -np.inf
    found = np.full(count, start)
    least.at(found, group[which], run[which])
    return np.where(np.isfinite(found), found, np.nan)


def _distinct(group: Ints, what: NDArray[Any], count: int) -> Ints:
    pairs = np.unique(np.stack([group, what.astype(np.int64)]), axis=1)
    return np.bincount(pairs[0], minlength=count)


def _in_order(keys: NDArray[Any], told: dict[str, Any]) -> list[PartLife]:
    kinds = JointKind.objects.in_bulk({int(key[0]) for key in keys})
    lives = [
        PartLife(kind=kinds[int(kind)], number=str(number), lot=str(lot),
                 **{name: _plain(name, column[at]) for name, column in told.items()})
        for at, (kind, number, lot) in enumerate(keys)
    ]  # fmt: skip
    return sorted(lives, key=lambda one: (one.kind.name, one.number, one.lot))


def _plain(name: str, value: Any) -> Any:
    if name.endswith("_si"):
        return None if np.isnan(value) else float(value)
    return int(value)
