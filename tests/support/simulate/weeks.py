"""Years of looks, a week at a time, all joints at once.

Routine checks by miles, late now and then and sometimes left out; a retorque 500 miles after each
turn; drivers who complain of what is loose; seasons in use and, unknown to any expectation, in
wear. Joints whose fastener was never seen turned have no rows (decision 23). A find by complaint
counts as found at the check that was due next, once that point has passed (decision 24).
"""

from dataclasses import dataclass, fields

import numpy as np

from tests.support.simulate.world import (
    AT_4000,
    FIRST_LOTS,
    FIRST_TIMES,
    INTERVAL,
    LOTS_A_PERIOD,
    PERIOD,
    ROUGH,
    SHAPES,
    TOOLS_A_YARD,
    YARDS,
    Flags,
    Floats,
    Ints,
    World,
)

RETORQUE = 500.0
GOES, LEFT_OUT, COMPLAINS = 0.6, 0.12, 0.03
KNOWN_AT_START, REPLACED, BORROWED = 0.5, 0.25, 0.15
TOOLS = YARDS * TOOLS_A_YARD


@dataclass(frozen=True)
class Checks:
    """Rows in the order in which they count; one entry for each check of a joint.

    `time` is the week in which it counts, `stratum` 2 * kind + (later tightening), `lower` and
    `upper` miles since the fastener was turned. Tool, lot, practice: of the turning before.
    """

    joint: Ints
    vehicle: Ints
    stratum: Ints
    lower: Floats
    upper: Floats
    found: Flags
    tool: Ints
    lot: Ints
    practice: Ints
    yard: Ints
    route: Ints
    duty: Ints
    time: Ints

    def take(self, rows: Ints | Flags) -> "Checks":
        return Checks(**{one.name: getattr(self, one.name)[rows] for one in fields(self)})


class _Spells:
    """What is true of each joint now."""

    def __init__(self, world: World) -> None:
        count, rng = world.size.joints, world.rng
        self.world = world
        self.known = rng.random(count) < KNOWN_AT_START
        self.later = np.zeros(count, dtype=np.intp)
        self.use, self.checked, self.hazard = np.zeros(count), np.zeros(count), np.zeros(count)
        self.limit = rng.exponential(size=count)
        self.loose = np.zeros(count, dtype=np.bool_)
        self.recheck = np.full(count, np.inf)
        self.tool, self.practice = np.zeros(count, np.intp), np.zeros(count, np.intp)
        self.lot = rng.integers(FIRST_LOTS, size=count)
        self.draw(np.arange(count))

    def draw(self, which: Ints) -> None:
        """A wrench of the yard, now and then of another, and one of two ways of doing it."""
        rng, vehicles = self.world.rng, self.world.vehicles
        home = vehicles.yard[self.world.joints.vehicle[which]]
        borrowed = rng.random(which.size) < BORROWED
        yard = np.where(borrowed, rng.integers(YARDS, size=which.size), home)
        self.tool[which] = yard * TOOLS_A_YARD + rng.integers(TOOLS_A_YARD, size=which.size)
        self.practice[which] = rng.random(which.size) < 0.5

    def fit(self, which: Ints, week: int) -> None:
        """A new part, of a lot that is on the shelf that half year."""
        one = self.world.rng.integers(LOTS_A_PERIOD, size=which.size)
        self.lot[which] = FIRST_LOTS + week // PERIOD * LOTS_A_PERIOD + one

    def move(self, miles: Floats, season: float) -> None:
        """Everybody drives a week; what has come loose stays loose."""
        world, joints = self.world, self.world.joints
        ran = miles[joints.vehicle]
        shape = SHAPES[self.later]
        kind = AT_4000[joints.kind] * np.where(self.later == 0, FIRST_TIMES, 1.0)
        duty = ROUGH[world.vehicles.duty[joints.vehicle]]
        grown = ((self.use + ran) / 4000) ** shape - (self.use / 4000) ** shape
        cause = np.where(self.tool == 0, world.truth.tool, 1.0)
        cause = cause * np.where(self.lot == 1, world.truth.lot, 1.0)
        self.hazard += kind * duty * grown * joints.factor * cause * season
        self.use += ran
        self.loose |= self.hazard > self.limit

    def turn(self, which: Ints, odometer: Floats, week: int) -> None:
        """Tightened again, or replaced and tightened for the first time."""
        rng = self.world.rng
        new = rng.random(which.size) < REPLACED
        self.later[which] = ~new
        self.fit(which[new], week)
        self.draw(which)
        self.use[which] = self.checked[which] = self.hazard[which] = 0.0
        self.limit[which] = rng.exponential(size=which.size)
        self.loose[which], self.known[which] = False, True
        self.recheck[which] = odometer + RETORQUE


def make_checks(world: World) -> Checks:
    """Let the fleets live through their years, and return what was written down."""
    size, vehicles, whose, rng = world.size, world.vehicles, world.joints.vehicle, world.rng
    spells, rows = _Spells(world), []
    interval = INTERVAL[vehicles.duty]
    odometer, due = np.zeros(interval.size), interval * rng.uniform(0.2, 1.0, interval.size)
    traveled = np.empty((size.weeks, interval.size))
    for week in range(size.weeks):
        turn_of_year = np.cos(2 * np.pi * week / 52)
        miles = vehicles.miles * (1 - 0.35 * turn_of_year) * rng.lognormal(-0.03, 0.25, due.size)
        odometer += miles
        traveled[week] = odometer
        spells.move(miles, 1 + 0.2 * turn_of_year)
        go = (odometer >= due) & (rng.random(due.size) < GOES)
        left_out = go & (rng.random(due.size) < LEFT_OUT)
        routine = go & ~left_out
        complaint = (
            np.bincount(
                whose, spells.loose & (rng.random(whose.size) < COMPLAINS), due.size
            ).astype(np.bool_)
            & ~routine
        )
        again = (odometer[whose] >= spells.recheck) & (rng.random(whose.size) < GOES)
        skipped = again & (rng.random(whose.size) < LEFT_OUT)
        looked = routine[whose] | complaint[whose] | (again & ~skipped)
        next_due = np.minimum(due[whose], spells.recheck)
        rows.append(_rows(spells, looked, complaint[whose], next_due, odometer[whose], week))
        spells.checked[looked] = spells.use[looked]
        spells.recheck[again | looked] = np.inf
        loose = np.flatnonzero(looked & spells.loose)
        spells.turn(loose, odometer[whose[loose]], week)
        due[go] = odometer[go] + interval[go]
    return _counted(world, traveled, rows)


def _rows(
    spells: _Spells, looked: Flags, complaint: Flags, next_due: Floats, odometer: Floats, week: int
) -> dict[str, np.ndarray]:
    at = np.flatnonzero(looked & spells.known & (spells.use > spells.checked))
    found = spells.loose[at]
    early = np.where(found & complaint[at], np.maximum(next_due[at] - odometer[at], 0.0), 0.0)
    return {
        "joint": at, "stratum": 2 * spells.world.joints.kind[at] + spells.later[at],
        "lower": spells.checked[at], "upper": spells.use[at] + early, "found": found,
        "tool": spells.tool[at], "lot": spells.lot[at], "practice": spells.practice[at],
        "time": np.full(at.size, week), "counts_at": np.where(early > 0, odometer[at] + early, 0.0),
    }  # fmt: skip


def _counted(world: World, traveled: Floats, rows: list[dict[str, np.ndarray]]) -> Checks:
    """All rows, each in the week in which it counts; those whose due point never passed are out."""
    each = {name: np.concatenate([row[name] for row in rows]) for name in rows[0]}
    vehicle = world.joints.vehicle[each["joint"]]
    waits = np.flatnonzero(each["counts_at"] > 0)
    # One rising line of all odometers, vehicle after vehicle.
    span = traveled[-1].max() + 20_000.0
    line = (traveled.T + span * np.arange(traveled.shape[1])[:, None]).ravel()
    place = np.searchsorted(line, each["counts_at"][waits] + span * vehicle[waits])
    each["time"][waits] = place - vehicle[waits] * len(traveled)
    of = world.vehicles
    del each["counts_at"]
    checks = Checks(
        **each, vehicle=vehicle, yard=of.yard[vehicle], route=of.route[vehicle],
        duty=of.duty[vehicle],
    )  # fmt: skip
    order = np.flatnonzero(checks.time < len(traveled))
    return checks.take(order[checks.time[order].argsort(kind="stable")])
