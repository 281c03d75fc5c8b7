"""The demo's checks with what they find drawn anew, and judged as the scan judges the record."""

from collections.abc import Iterable
from dataclasses import dataclass, fields, replace
from datetime import datetime
from functools import cached_property
from typing import Any

import numpy as np
from django.utils import timezone

from fleet.calc.history import Rows, tallied, usual_before
from fleet.calc.history.causes import Judged, causes_over_time
from fleet.calc.history.looks import Flags, Floats, Ints
from fleet.operations.demo import inputs
from fleet.operations.demo.life import cause
from fleet.operations.demo.truck import BALL_STUDS
from fleet.reads.history import usual
from fleet.reads.history.columns import Columns
from fleet.reads.history.exposures import exposures_of
from fleet.reads.history.labels import LABELS, families
from fleet.reads.history.rows import numbered, start_of, week_of
from fleet.reads.history.standing import LEVEL
from fleet.reads.history.usual import DISTANCE, DUTIES, HOURS, METERS, SCALES, STRATA, Table, month_number
from fleet.records.models import Baseline, Clock, Joint, TorqueReading, TorqueTool, Vehicle, Yard

SALT_YARD = "salt yard (no cause)"


@dataclass(frozen=True, eq=False)
class Planted:
    """One cause, the name that the scan would give it, and the checks that it touches."""

    name: str
    clock: Clock
    label: str
    member: str
    factor: float
    mine: Flags


@dataclass(frozen=True, eq=False)
class Demo:
    """The demo's checks in order of time; `rate` and `shape` are of what is usual at each."""

    table: Table
    named: Columns
    at: list[datetime]
    spell: Ints
    rate: Floats
    shape: Floats
    planted: list[Planted]

    @cached_property
    def factor(self) -> Floats:
        """What the planted causes multiply each check's hazard by."""
        return self._factor(self.planted)

    @cached_property
    def factor_later(self) -> Floats:
        """The same once a fastener was tightened again, with another tool."""
        return self._factor([one for one in self.planted if one.label != "tool"])

    def _factor(self, causes: list[Planted]) -> Floats:
        found = np.ones(self.rate.size)
        for one in causes:
            found[one.mine] *= one.factor
        return found

    def hazard(self, lower: Floats, upper: Floats, which: Ints) -> Floats:
        """What is usual at these checks between two uses on the clock, without any cause."""
        scale = np.where(self.table.hours[which], SCALES[HOURS], SCALES[DISTANCE])
        shape = self.shape[which]
        spent = (upper / scale) ** shape - (lower / scale) ** shape
        return np.asarray(self.rate[which] * spent)

    def usual(self, one: Planted) -> float:
        """Finds at a cause's checks if there were no cause."""
        mine = np.flatnonzero(one.mine)
        hazard = self.hazard(self.table.lower[mine], self.table.upper[mine], mine)
        return float(-np.expm1(-hazard).sum())


@dataclass(frozen=True)
class Told:
    """Causes of one draw: standing by themselves, found at all, and what else stood at the end;
    and the finds at each cause's checks."""

    alone: list[str]
    found: list[str]
    other: list[str]
    finds: dict[str, int]


def read_demo() -> Demo:
    """The demo's checks as they are on record."""
    exposures = exposures_of()
    table = usual.table_of(exposures)
    yards = dict(Vehicle.objects.values_list("pk", "yard_id"))
    by = dict(TorqueReading.objects.values_list("pk", "by_id"))
    names = ("joint_id", "tool_id", "number", "lot", "practice", "duty")
    named = {name: _column(getattr(one, name) for one in exposures) for name in names}
    named["vehicle__yard_id"] = _column(yards[one.vehicle_id] for one in exposures)
    named["by"] = _column(by.get(one.turning_id, 0) for one in exposures)
    starts = [f"{one.clock} {one.turning_id or one.part_id}" for one in exposures]
    demo = Demo(
        table, named, [one.at for one in exposures],
        np.unique(np.array(starts), return_inverse=True)[1].astype(np.intp),
        np.zeros(len(exposures)), np.ones(len(exposures)), [],
    )  # fmt: skip
    demo = replace(demo, planted=_planted(demo, exposures))
    rate, shape = _usual(demo)
    return replace(demo, rate=rate, shape=shape)


def _column(values: Iterable[Any]) -> Any:
    told = list(values)
    made = np.empty(len(told), dtype=object)
    made[:] = told
    return made


def _planted(demo: Demo, exposures: list[Any]) -> list[Planted]:
    """The causes of fixtures/demo/truth.json as they lie on the record."""
    joints = Joint.objects.select_related("kind", "vehicle").in_bulk()
    joint = [joints[one.joint_id] for one in exposures]
    unit = np.array([one.vehicle.unit_number for one in joint])
    group = np.array([one.kind.group for one in joint])
    tight = ~demo.table.wear
    tool = TorqueTool.objects.get(code=cause("tool")["code"])
    route, lot = cause("route"), cause("lot")
    plough = Vehicle.objects.get(unit_number=route["units"][0])
    salt = Yard.objects.get(name=cause("salt_yard")["yard"])
    number = inputs.read("stories")["renewal"]["part"]
    days = np.array([(timezone.now() - one.at).days for one in exposures])
    on_route = np.isin(unit, route["units"]) & np.isin(group, BALL_STUDS)
    on_route &= days < route["days_ago"]
    found = [
        Planted(f"tool {tool.code}", Clock.TIGHTNESS, "tool", str(tool.pk),
                cause("tool")["factor"], tight & (demo.named["tool_id"] == tool.pk)),
        Planted(f"lot {lot['lot']}", Clock.TIGHTNESS, "lot", f"{number}|{lot['lot']}",
                lot["factor"], tight & (demo.named["lot"] == lot["lot"])),
        Planted("plow route", Clock.WEAR, "yard_duty", f"{plough.yard_id}|{plough.duty}",
                route["factor"], demo.table.wear & on_route),
        Planted(SALT_YARD, Clock.TIGHTNESS, "yard", str(salt.pk), 1.0,
                tight & (demo.named["vehicle__yard_id"] == salt.pk)),
    ]  # fmt: skip
    kind = np.array([one.kind.code for one in joint])
    for name in cause("oval")["units"]:
        mine = (unit == name) & (kind == cause("oval")["joint"]) & tight
        mine &= days < cause("oval")["units"][name]
        if name == "A-106":
            mine &= days > BUSHED_DAYS
        number_ = next(one.pk for one in joints.values()
                       if one.vehicle.unit_number == name and one.kind.code == cause("oval")["joint"])
        found.append(Planted(f"oval hole {name}", Clock.TIGHTNESS, "joint", str(number_),
                             cause("oval")["factor"], mine))  # fmt: skip
    return found


BUSHED_DAYS = 420


def _usual(demo: Demo) -> tuple[Floats, Floats]:
    """Rate and shape at each check, by kind, stratum and duty over all years, from the checks
    that no cause touches; the hazard is ``rate * use ** shape``, use in the scale of its meter."""
    table = demo.table
    rate, shape = np.zeros(table.month.size), np.ones(table.month.size)
    clean = demo.factor == 1.0
    for clock in Clock:
        for meter in METERS:
            which = table.on(clock, meter)
            sizes = (len(table.kinds), STRATA[clock], len(DUTIES))
            place = np.stack([table.kind, table.stratum, table.duty])
            some = which & clean
            tally = tallied(
                np.ravel_multi_index(tuple(place[:, some]), sizes), sizes, table.lower[some],
                table.upper[some], table.loose[some], SCALES[meter],
            )  # fmt: skip
            found = usual_before(tally)
            rate[which] = found.rate[tuple(place[:, which])]
            shape[which] = found.shape[table.stratum[which]]
    return rate, shape


@dataclass(frozen=True, eq=False)
class Drawn:
    """A record that might have been: its checks, and what they are put down to."""

    table: Table
    named: Columns
    at: list[datetime]
    finds: dict[str, int]


def drawn(demo: Demo, rng: np.random.Generator) -> Drawn:
    """What every check finds, drawn anew.

    What is found loose is tightened there and then: its clock begins again, by another tool (for
    wear, with a part of another lot), on the checks that there were. The checks that a find
    brings with it are not made up, so power is told rather too low.
    """
    table, cv = demo.table, inputs.read("truth")["loosening"]["spread_cv"] ** 2
    _ids, whose = np.unique(table.vehicle, return_inverse=True)
    own = rng.gamma(1 / cv, cv, int(whose.max()) + 1)[whose]
    lower, upper, spell = table.lower.copy(), table.upper.copy(), demo.spell.copy()
    loose, again = (np.zeros(whose.size, dtype=np.bool_) for _ in range(2))
    left = np.arange(whose.size)
    while left.size:
        factor = np.where(again[left], demo.factor_later[left], demo.factor[left])
        hazard = own[left] * factor * demo.hazard(lower[left], upper[left], left)
        found = rng.random(left.size) < -np.expm1(-hazard)
        place = _first_of_each(spell[left], found)
        loose[left[found & (place == np.arange(left.size))]] = True
        # What comes after the first find of a spell is a spell of its own.
        after = (place >= 0) & (np.arange(left.size) > place)
        base = upper[left[place[after]]]
        left = left[after]
        lower[left], upper[left] = np.maximum(lower[left] - base, 0), upper[left] - base
        again[left] = True
        left = left[upper[left] > lower[left]]
    kept = upper > lower
    named = {name: column.copy() for name, column in demo.named.items()}
    named["tool_id"][again & ~table.wear] = None
    named["lot"][again & table.wear] = ""
    table = replace(table, lower=lower, upper=upper, loose=loose)
    return Drawn(
        _taken(table, kept), {name: column[kept] for name, column in named.items()},
        [moment for moment, keep in zip(demo.at, kept, strict=True) if keep],
        {one.name: int(loose[one.mine & ~(again & (one.label == "tool"))].sum())
         for one in demo.planted},
    )  # fmt: skip


def _first_of_each(spell: Ints, found: Flags) -> Ints:
    """For each row the place of the first find in its spell; -1 where there is none."""
    places = np.flatnonzero(found)
    spells, first = np.unique(spell[places], return_index=True)
    if not spells.size:
        return np.full(spell.size, -1)
    where = np.minimum(np.searchsorted(spells, spell), spells.size - 1)
    return np.where(spells[where] == spell, places[first[where]], -1)


def judged(demo: Demo, rng: np.random.Generator) -> Told:
    """Draw what every check finds, and judge it as the scan would."""
    made, now = drawn(demo, rng), timezone.now()
    months = range(int(made.table.month.min()), month_number(now) + 1)
    stored = {month_number(one.month): one
              for one in usual.baselines(made.table, {}, months, now)}  # fmt: skip
    _expected, spent = usual.weighed(made.table, stored)
    each = {clock: _judge(clock, made, spent, stored, now) for clock in Clock}
    return _told(demo, each, made.finds)


def _taken(table: Table, kept: Flags) -> Table:
    arrays = {one.name: getattr(table, one.name)[kept] for one in fields(table)
              if one.name != "kinds"}  # fmt: skip
    return Table(kinds=table.kinds, **arrays)


@dataclass(frozen=True, eq=False)
class OnClock:
    judged: Judged
    members: dict[str, list[str]]


def _judge(
    clock: Clock, made: Drawn, spent: Floats, stored: dict[int, Baseline], now: datetime
) -> OnClock:  # fmt: skip
    """As `fleet.reads.history.standing` judges a clock, from what is in memory."""
    until, table, at, named = start_of(week_of(now)), made.table, made.at, made.named
    known = np.isfinite(spent) & (table.wear == (clock == Clock.WEAR))
    known &= np.array([moment < until for moment in at])
    week = np.array([week_of(moment) for moment in at], dtype=np.intp)[known]
    _ids, vehicle = np.unique(table.vehicle[known], return_inverse=True)
    labels, members = {}, {}
    for name, label in LABELS.items():
        if clock in label.clocks:
            some = {column: values[known] for column, values in named.items()}
            labels[name], members[name] = numbered(label, some)
    rows = Rows(week, vehicle, table.loose[known].astype(float), spent[known], labels)

    def shape_at(week: int, _found: Floats, _spent: Floats) -> float:
        told = stored[month_number(start_of(week))].spread[clock]
        return float("inf") if told is None else float(told)

    weeks = range(int(week[0]) + 1, week_of(until) + 1)
    return OnClock(causes_over_time(rows, weeks, shape_at, families(clock), level=LEVEL), members)


def _told(demo: Demo, each: dict[Clock, OnClock], finds: dict[str, int]) -> Told:
    alone, folded, other = [], [], []
    names = {(one.clock, one.label, one.member): one.name for one in demo.planted}
    for clock, one in each.items():
        def name(candidate: Any) -> tuple[Clock, str, str]:
            return clock, candidate.label, one.members[candidate.label][candidate.member]

        for standing in one.judged.standing:
            if standing.now is None:
                # Explained by another now, which is how a salt yard is cleared.
                continue
            (alone if name(standing.candidate) in names else other).append(
                names.get(name(standing.candidate), standing.candidate.label)
            )
            folded += [names[name(e)] for e in standing.now.explains if name(e) in names]
    return Told(alone, sorted({*alone, *folded}), other, finds)
