"""One vehicle of the demo in memory: its joints, its meter, and what it owes."""

from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from fleet.operations.demo import inputs
from fleet.operations.demo.life import NEVER, Life, cause, miles_si
from fleet.records.models import Joint, JointKind, Recheck, TorqueSpec, Vehicle, VehicleUse

WINTER = (11, 12, 1, 2, 3)
DAY = 86_400.0
# A yard opens at, and begins nothing new from, these hours.
OPENS, LATEST = 7, 14
BALL_STUDS = ("drag_link", "tie_rod", "knuckles")


@dataclass
class Spot:
    """One joint, what it truly is, and what the last look said of it."""

    joint: Joint
    spec: TorqueSpec | None
    loose_at: float = NEVER
    worn_at: float = NEVER
    # The use at which its part was fitted.
    fitted_at: float = 0.0
    last_code: str = ""
    lot: str = ""
    oval: bool = False

    @property
    def has_stud(self) -> bool:
        return self.kind.group in BALL_STUDS

    @property
    def kind(self) -> JointKind:
        kind: JointKind = self.joint.kind
        return kind


@dataclass
class Owed:
    """A live recheck, when somebody will come to do it, and how far it is driven until then."""

    row: Recheck
    planned: datetime
    cap: float = NEVER


@dataclass
class Truck:
    vehicle: Vehicle
    spots: dict[int, Spot]
    life: Life
    rng: np.random.Generator
    # When its use was last brought forward, and where it stood.
    clock: datetime
    use: float
    usage: VehicleUse
    # Where the meter now in place began: use, and what it read there.
    meter_base: tuple[float, float] = (0.0, 0.0)
    readings: list[tuple[datetime, int, str]] = field(default_factory=list)
    live: dict[tuple[int | None, str], Owed] = field(default_factory=dict)
    projected: bool = False
    on_route: bool = False
    sheets: int = 0
    version: int = 0
    complained: dict[str, datetime] = field(default_factory=dict)

    @property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.vehicle.yard.time_zone)

    def spot(self, kind: str, side: str = "") -> Spot | None:
        """The joint of a kind; of a sided kind, the left one unless told."""
        found = [s for s in self.spots.values() if s.kind.code == kind]
        return next((s for s in found if side in ("", s.joint.side)), None)

    def a_day(self, at: datetime) -> float:
        """How far it runs in a day of this season."""
        truth, duty = inputs.read("truth"), self.vehicle.duty
        winter, summer = truth["season"][duty]
        season = winter if at.astimezone(self.zone).month in WINTER else summer
        return miles_si(self.vehicle, truth["miles_a_day"][duty] * season)

    def drive(self, to: datetime) -> None:
        """Bring its use forward; it goes slowly where a recheck is owed soon."""
        days = (to - self.clock).total_seconds() / DAY
        if days <= 0:
            return
        run = self.a_day(self.clock) * days * float(self.rng.uniform(0.75, 1.25))
        cap = min((owed.cap for owed in self.live.values()), default=NEVER)
        self.use = max(self.use, min(self.use + run, cap))
        self.clock = to

    def park(self, to: datetime) -> None:
        """Time passes and it does not move."""
        self.clock = max(self.clock, to)

    def tighten(self, spot: Spot, tool: str, at: datetime) -> None:
        """The fastener was turned: a new spell begins, under the causes of this moment."""
        factor = self.factor(spot, tool, at)
        spot.loose_at = self.use + self.life.loosens_after(spot.kind.code, factor)

    def renew(self, spot: Spot) -> None:
        """A new part: its wear begins again."""
        spot.fitted_at = self.use
        spot.worn_at = self.use + self.life.wears_after(spot.kind.code, self.wear_factor(spot))

    def take_route(self) -> None:
        """It drives the route that wears from now on: what life is left goes faster."""
        self.on_route = True
        for spot in self.spots.values():
            if spot.worn_at > self.use:
                age, left = self.use - spot.fitted_at, spot.worn_at - self.use
                faster = self.wear_factor(spot)
                spot.worn_at = self.use + self.life.sooner(spot.kind.code, age, left, faster)

    def factor(self, spot: Spot, tool: str, at: datetime) -> float:
        """The planted causes that act on a tightening."""
        factor = 1.0
        if tool and tool == cause("tool")["code"] and at >= self.dropped:
            factor *= cause("tool")["factor"]
        if spot.lot == cause("lot")["lot"]:
            factor *= cause("lot")["factor"]
        if spot.oval:
            factor *= cause("oval")["factor"]
        if spot.kind.group == "track_bar" and self.vehicle.unit_number in cause("lifted")["units"]:
            factor *= cause("lifted")["factor"]
        return factor

    # From when on the tool reads high; set once for the whole demo.
    dropped: datetime = field(kw_only=True)

    def wear_factor(self, spot: Spot) -> float:
        return float(cause("route")["factor"]) if self.on_route and spot.has_stud else 1.0

    def moment(self, day: date, hour: int, minute: int = 0) -> datetime:
        """A time of day at its yard."""
        return datetime(day.year, day.month, day.day, hour, minute, tzinfo=self.zone)

    def working(self, at: datetime) -> datetime:
        """The same time on the next working day of its yard, early enough for work to follow."""
        local = at.astimezone(self.zone)
        day, hour = local.date(), max(local.hour, OPENS)
        if hour >= LATEST:
            day, hour = day + timedelta(days=1), OPENS + 1
        while day.weekday() not in self.vehicle.yard.working_days:
            day += timedelta(days=1)
        return self.moment(day, hour, local.minute)

    def morning(self, at: datetime) -> datetime:
        """Some time in the morning of that day, or of the next working day."""
        day = at.astimezone(self.zone).date()
        hour, minute = self.rng.integers((OPENS, 0), (LATEST - 2, 60))
        return self.working(self.moment(day, int(hour), int(minute)))


def settle_in(truck: Truck) -> None:
    """Give every joint the age it had when the record began."""
    life = truck.life
    for spot in truck.spots.values():
        code = spot.kind.code
        age, factor = life.age_at_start("loosening", code), truck.factor(spot, "", truck.clock)
        spot.loose_at = truck.use + life.loosens_after(code, factor, age)
        # A part is no older than its truck.
        age = min(life.age_at_start("wear", code), truck.use)
        spot.fitted_at = float(int(truck.use - age))
        spot.worn_at = truck.use + life.wears_after(code, truck.wear_factor(spot), age)
