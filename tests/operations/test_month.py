"""A month of demo time, day by day, against a ledger kept by hand: nothing owed is lost, nothing
is owed twice. Across the end of summer time, the turn of the year, and a leap day.

The ledger is the test's own reckoning of domain.md's rungs for track-bar ends (100 mi, 7 days,
then 500 mi, 30 days; a look counts from half on; moved: again at half, not under 50 mi or 2 days).
"""

import random
from collections import Counter
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from fleet.operations import inspect, meters, roll, tools, vehicles
from fleet.operations.actor import server_actor
from fleet.operations.looks import Look
from fleet.records.models import Recheck, TrailEntry, Vehicle, Yard
from tests import build
from tests.operations.conftest import RETORQUE, House

pytestmark = pytest.mark.whole

DAYS = 31
A_DAY = 14
ENDS = ("track_bar_frame_end", "track_bar_axle_end")
RUNGS = [(100.0, 7), (500.0, 30)]
# Where each month begins, at 16:00 UTC, and what falls into it.
MONTHS = {
    # US clocks go back on 1 November 2026, Lord Howe's (half an hour) went on on 4 October.
    "clocks go back": datetime(2026, 10, 20, 16, tzinfo=UTC),
    "year end": datetime(2026, 12, 15, 16, tzinfo=UTC),
    # 29 February 2028; US clocks go on on 12 March.
    "leap day, clocks go on": datetime(2028, 2, 14, 16, tzinfo=UTC),
}


@dataclass
class Debt:
    """One thing owed at one joint, as a person with a calendar would write it down."""

    rung: int
    since: date
    miles: float
    lasts_miles: float
    lasts_days: int

    def share(self, day: date, miles: float) -> float:
        return max((day - self.since).days / self.lasts_days,
                   (miles - self.miles) / self.lasts_miles)  # fmt: skip

    @property
    def due_on(self) -> date:
        return self.since + timedelta(days=self.lasts_days)


@dataclass
class Month:
    """The fleet, the ledger of its track-bar ends, and the meter of its truck."""

    house: House
    chance: random.Random
    other: Yard
    miles: float = 48_000
    ledger: dict[str, Debt] = field(default_factory=dict)
    rolled: int = 0

    @property
    def truck(self) -> Vehicle:
        return Vehicle.objects.select_related("yard").get(pk=self.house.vehicle.pk)

    def today(self) -> date:
        return self.house.now.astimezone(ZoneInfo(self.truck.yard.time_zone)).date()

    def owe(
        self, kind: str, rung: int, miles: float | None = None, days: int | None = None
    ) -> None:
        long_miles, long_days = RUNGS[rung]
        self.ledger[kind] = Debt(rung, self.today(), self.miles, miles or long_miles,
                                 days or long_days)  # fmt: skip

    def repair(self) -> None:
        self.house.repair(("retorque", ENDS[0], RETORQUE))
        for kind in ENDS:
            self.owe(kind, 0)

    def drive(self) -> None:
        self.miles += self.chance.randint(0, 2 * A_DAY)
        reading = meters.Reading(self.house.vehicle.pk, f"{self.miles:.0f}")
        meters.record_meter(self.house.driver, reading, at=self.house.now)

    def look(self) -> None:
        """Somebody puts a wrench on both ends; now and then one of them moves."""
        codes = {kind: self.chance.choice(["tight", "tight", "tight", "moved"]) for kind in ENDS}
        looks = tuple(self._look(kind, code) for kind, code in codes.items())
        sheet = inspect.Sheet(self.house.vehicle.pk, "retorque", looks, at_wheel="a helper")
        inspect.record_inspection(self.house.technician, sheet, at=self.house.now)
        for kind, code in codes.items():
            self._settle(kind, code)

    def _look(self, kind: str, code: str) -> Look:
        more = {"degrees": "15"} if code == "moved" else {}
        return self.house.look(kind, code, method="wrench", torque="125 lbf·ft",
                               tool_id=self.house.tool.pk, **more)  # fmt: skip

    def _settle(self, kind: str, code: str) -> None:
        debt = self.ledger.get(kind)
        if debt is None:
            if code == "moved":
                self.owe(kind, 0)
            return
        if code == "moved":
            self.owe(kind, debt.rung, max(50.0, debt.lasts_miles / 2),
                     round(max(2.0, debt.lasts_days / 2)))  # fmt: skip
        elif debt.share(self.today(), self.miles) >= 0.5:
            del self.ledger[kind]
            if debt.rung + 1 < len(RUNGS):
                self.owe(kind, debt.rung + 1)

    def night(self) -> None:
        """The yard's midnight, on two nights of three; after the others it catches up."""
        if self.chance.random() < 1 / 3:
            return
        before = self.truck.yard.rolled_to
        roll.roll(server_actor(), at=self.house.now)
        if self.truck.yard.rolled_to != before:
            self.rolled += 1
            self.missed_are_those_past_their_day()

    def missed_are_those_past_their_day(self) -> None:
        for kind, debt in self.ledger.items():
            row = self.live(kind)
            late = debt.due_on < self.today() or self.miles > debt.miles + debt.lasts_miles
            assert (row.state == "missed") == (late or row.state == "missed"), (kind, row)
            assert not late or row.state == "missed", (kind, row, self.today())
            if late and row.fell_due_at is not None:
                assert row.fell_due_at <= self.house.now

    def live(self, kind: str) -> Recheck:
        joint = self.house.joint(kind)
        return Recheck.objects.get(joint=joint, ladder="track_bar", state__in=Recheck.LIVE)

    def equals_the_ledger(self) -> None:
        """Neither lost nor doubled: the same joints, the same steps, the same days."""
        rows = Recheck.objects.filter(ladder="track_bar", state__in=Recheck.LIVE)
        found = {row.joint.kind.code: (row.rung, row.due_on)
                 for row in rows.select_related("joint__kind") if row.joint}  # fmt: skip
        assert found == {kind: (one.rung, one.due_on) for kind, one in self.ledger.items()}
        assert rows.count() == len(self.ledger)

    def whole_front_end(self) -> None:
        """Every vehicle owes one routine look and one yearly one, always."""
        rows = Recheck.objects.filter(joint=None, state__in=Recheck.LIVE, ladder__in=[
            "routine", "annual"]).values_list("vehicle", "ladder")  # fmt: skip
        counted = Counter(rows)
        assert set(counted.values()) == {1}
        assert len(counted) == 2 * Vehicle.objects.count()


@pytest.fixture(params=list(MONTHS))
def month(request: pytest.FixtureRequest, house: House) -> Month:
    house.now = MONTHS[request.param]
    tools.calibrate(house.manager, house.tool.pk, "C-2", passed=True, on=house.now.date(),
                    at=house.now, good_until=date(2029, 1, 1))  # fmt: skip
    other = build.yard("Lord Howe", time_zone="Australia/Lord_Howe")
    made = Month(house, random.Random(request.param), other)
    made.drive()
    new = vehicles.NewVehicle("A-102", house.design.pk, other.pk, "plough", "km", meter="60,000")
    vehicles.add_vehicle(house.manager, new, at=house.now)
    return made


def test_a_month_day_by_day_loses_nothing_and_doubles_nothing(month: Month) -> None:
    house, begin = month.house, month.house.now
    month.repair()
    for number in range(1, DAYS + 1):
        house.now = begin + timedelta(days=number, hours=-8)
        month.night()
        house.now = begin + timedelta(days=number)
        month.drive()
        if number == DAYS // 2:
            move(month)
        if month.chance.random() < 0.3:
            month.look()
        month.equals_the_ledger()
        month.whole_front_end()
    assert month.rolled >= DAYS // 3
    every_step_is_told_once()


def move(month: Month) -> None:
    """Half way through the truck goes to the yard in the other zone: what it owes goes along."""
    house = month.house
    before = set(Recheck.objects.filter(state__in=Recheck.LIVE).values_list("pk", "due_on"))
    vehicles.change_vehicle(house.manager, house.vehicle.pk, {"yard_id": month.other.pk},
                            at=house.now)  # fmt: skip
    assert set(Recheck.objects.filter(state__in=Recheck.LIVE).values_list("pk", "due_on")) == before
    house.technician.person.postings.create(yard=month.other)
    house.driver.person.postings.create(yard=month.other)


def every_step_is_told_once() -> None:
    """Of each recheck: made once, missed at most once, ended once, and followed once at most."""
    told = Counter(TrailEntry.objects.filter(subject="recheck").values_list("subject_id", "verb"))
    assert set(told.values()) <= {1}
    for row in Recheck.objects.filter(state="done"):
        assert told[row.pk, "do_recheck"] == 1
    followed: Counter[Any] = Counter(
        Recheck.objects.exclude(follows=None).values_list("follows", flat=True)
    )
    assert set(followed.values()) <= {1}
