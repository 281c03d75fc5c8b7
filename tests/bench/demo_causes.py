"""The causes planted in the demo as they lie on its record, and what is usual without them."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cached_property
from typing import Any

import numpy as np
from django.utils import timezone

from fleet.calc.history import tallied, usual_before
from fleet.calc.history.looks import Flags, Floats, Ints
from fleet.operations.demo import inputs
from fleet.operations.demo.life import cause
from fleet.operations.demo.truck import BALL_STUDS
from fleet.reads.history.columns import kinds_now
from fleet.reads.history.exposures import DUTIES, kept_exposures
from fleet.reads.history.numbers import Columns
from fleet.reads.history.usual import (
    DISTANCE,
    HOURS,
    METERS,
    SCALES,
    STRATA,
    Table,
    table_of,
)
from fleet.records.models import (
    Clock,
    Exposure,
    Joint,
    TorqueReading,
    TorqueTool,
    Vehicle,
    Yard,
)

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
        lower, upper = self.table.lower[mine], self.table.upper[mine]
        hazard = self.hazard(lower.astype(np.float64), upper.astype(np.float64), mine)
        return float(-np.expm1(-hazard).sum())


def read_demo() -> Demo:
    """The demo's checks as they are on record."""
    exposures = list(Exposure.objects.order_by("at", "finding"))
    kinds = kinds_now()
    table = table_of(kept_exposures(kinds)[0], kinds)
    yards = dict(Vehicle.objects.values_list("pk", "yard_id"))
    by = dict(TorqueReading.objects.values_list("pk", "by_id"))
    names = ("joint_id", "tool_id", "number", "lot", "practice", "duty")
    named = {name: _column(getattr(one, name) for one in exposures) for name in names}
    named["vehicle__yard_id"] = _column(yards[one.vehicle_id] for one in exposures)
    named["by"] = _column(by.get(one.turning_id or 0, 0) for one in exposures)
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


def _planted(demo: Demo, exposures: list[Exposure]) -> list[Planted]:
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
    return found + _oval(demo, joint, days)


def _oval(demo: Demo, joint: list[Joint], days: Ints) -> list[Planted]:
    """Each axle end while its hole is oval: from when it grew so until it was bushed."""
    bushed = {row["unit"]: row["days_ago"] for row in inputs.read("stories")["events"]
              if row.get("cures") == "oval"}  # fmt: skip
    unit = np.array([one.vehicle.unit_number for one in joint])
    kind = np.array([one.kind.code for one in joint])
    found = []
    for name, grown in cause("oval")["units"].items():
        mine = (unit == name) & (kind == cause("oval")["joint"]) & ~demo.table.wear
        member = str(joint[int(np.flatnonzero(mine)[0])].pk)
        mine &= (days < grown) & (days >= bushed.get(name, 0))
        found.append(Planted(f"oval hole {name}", Clock.TIGHTNESS, "joint", member,
                             cause("oval")["factor"], mine))  # fmt: skip
    return found


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
