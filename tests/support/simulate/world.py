"""Fleets with a known truth: who is in them, and how fast what loosens.

Many fleets are made at once, side by side in the same arrays: vehicle n belongs to fleet
n // vehicles. All figures are invented in the range of common practice (no source).
"""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Flags = NDArray[np.bool_]

#: Kinds of joint at the places of each layout: four links with a track bar, and leaf springs.
PLACES = np.array([[0, 1, 2, 2, 3, 3, 4, 4, 4, 4, 5, 6], [2, 2, 3, 3, 7, 7, 7, 7, 5, 6, 8, 8]])
AXLE_END = 1
#: Finds expected of a re-tightened joint in its first 4,000 miles, by kind; times in rough duty.
AT_4000 = np.array([0.09, 0.07, 0.04, 0.04, 0.03, 0.03, 0.025, 0.05, 0.04])
#: Shape of the first tightening after assembly (bedding in), and of later ones.
SHAPES = np.array([0.9, 1.3])
FIRST_TIMES = 1.2
#: Highway, gravel, off-road or plow: miles a week, miles between checks, times the wear.
MILES = np.array([260.0, 200.0, 130.0])
INTERVAL = np.array([6000.0, 4000.0, 2500.0])
ROUGH = np.array([0.8, 1.0, 1.5])
YARDS, ROUTES, TOOLS_A_YARD = 5, 8, 2
#: Lots that the vehicles were built with; later ones, so many in each so many weeks.
FIRST_LOTS, LOTS_A_PERIOD, PERIOD = 6, 3, 26


@dataclass(frozen=True)
class Truth:
    """What is wrong on purpose; 1 is nothing.

    The tool is number 0 of each fleet, the lot number 1, the route number 2; the hole is the
    axle end of the fleet's first vehicle with a track bar.
    """

    tool: float = 1.0
    lot: float = 1.0
    hole: float = 1.0
    route: float = 1.0


@dataclass(frozen=True)
class Size:
    """How many fleets of how many vehicles, for how long, and how their vehicles differ."""

    fleets: int
    vehicles: int
    years: float = 4.0
    #: Gamma shape of the spread between vehicles: 4 means that ratios vary by half.
    shape: float = 4.0

    @property
    def weeks(self) -> int:
        return round(52 * self.years)

    @property
    def joints(self) -> int:
        return int(self.fleets * self.vehicles * PLACES.shape[1])


@dataclass(frozen=True)
class Vehicles:
    """One entry for each vehicle of all fleets."""

    fleet: Ints
    layout: Ints
    duty: Ints
    yard: Ints
    route: Ints
    miles: Floats
    factor: Floats


@dataclass(frozen=True)
class Joints:
    """One entry for each joint of all fleets: its vehicle, kind, and own lasting factor."""

    vehicle: Ints
    kind: Ints
    factor: Floats


@dataclass(frozen=True)
class World:
    size: Size
    truth: Truth
    vehicles: Vehicles
    joints: Joints
    rng: np.random.Generator = field(repr=False)


def make_world(size: Size, truth: Truth, seed: int) -> World:
    rng = np.random.default_rng(seed)
    count = size.fleets * size.vehicles
    duty, route = rng.integers(3, size=count), rng.integers(ROUTES, size=count)
    vehicles = Vehicles(
        fleet=np.repeat(np.arange(size.fleets), size.vehicles),
        layout=(rng.random(count) < 0.35).astype(np.intp),
        duty=duty,
        yard=rng.integers(YARDS, size=count),
        route=route,
        miles=MILES[duty] * rng.lognormal(-0.08, 0.4, count),
        factor=rng.gamma(size.shape, 1 / size.shape, count) if np.isfinite(size.shape)
        else np.ones(count),
    )  # fmt: skip
    kinds = PLACES[vehicles.layout]
    whose = np.repeat(np.arange(count), PLACES.shape[1])
    kind = kinds.ravel()
    factor = (vehicles.factor * np.where(route == 2, truth.route, 1.0))[whose]
    factor[oval_holes(size, vehicles, kind, whose)] *= truth.hole
    return World(size, truth, vehicles, Joints(whose, kind, factor), rng)


def oval_holes(size: Size, vehicles: Vehicles, kind: Ints, whose: Ints) -> Ints:
    """The one joint of each fleet whose hole may be oval."""
    ends = np.flatnonzero(kind == AXLE_END)
    _, first = np.unique(vehicles.fleet[whose[ends]], return_index=True)
    return ends[first]
