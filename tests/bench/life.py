"""The life of one vehicle of the bench's fleet: looks, repairs, what is owed, what is open.

The seed and the vehicle's number decide everything; the share of each event is plausible and
invented. What must agree (marks, holds, rechecks) agrees as the operations would leave it.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from random import Random

from fleet.calc.units import use_si
from tests.bench.ground import Ground, Place
from tests.bench.tables import Tables

DAY = timedelta(days=1)
LOOK_DAYS, READING_DAYS = 120, 30
MILES_A_DAY = 40
TORQUE = {"typed": "125 lbf·ft", "si": 169.48, "unit": "lbf·ft"}
DUTIES = ("highway", "gravel", "off_road", "plough")
COMPLAINTS = ("wander", "clunk", "axle_oscillation", "wheel_off_centre")


@dataclass(frozen=True)
class Spot:
    """A joint of this vehicle and its place in the layout."""

    pk: int
    place: Place


class Life:
    def __init__(
        self, tables: Tables, ground: Ground, number: int, now: datetime, years: int,
        design: int | None = None, quiet_days: int = 10,
    ) -> None:  # fmt: skip
        self.to, self.ground, self.number, self.now = tables, ground, number, now
        self.random, self.last_day = Random(number), now - timedelta(days=quiet_days)
        self.start = now - timedelta(days=365 * years)
        self.yard = ground.yards[number % len(ground.yards)].pk
        self.design = design or ground.designs[number % len(ground.designs)]
        self.metres_a_day = use_si(self.random.uniform(0.6, 1.5) * MILES_A_DAY, "mi")
        self.duty = self.random.choice(DUTIES)
        self.vehicle = tables.vehicle.add(
            f"B-{number:05d}", self.design, self.yard, 2016 + number % 9, self.duty,
            self.start.date(),
        )  # fmt: skip
        self.spots = [
            Spot(tables.joint.add(self.vehicle, p.pk, p.kind_id, p.side, p.order), p)
            for p in ground.places[self.design]
        ]
        self.last_look = self.start

    def live(self) -> None:
        """From its first day to now."""
        self.trail(self.start, "add_vehicle", "vehicle", self.vehicle)
        self._meter()
        at = self.start + timedelta(days=self.random.randrange(1, LOOK_DAYS))
        while at < self.last_day:
            self.look(at)
            at += timedelta(days=LOOK_DAYS, hours=self.random.randrange(72))
        for kind in self.random.sample(COMPLAINTS, 2):
            self._complain(kind)

    def worker(self, nth: int = 0) -> int:
        workers = self.ground.workers[self.yard]
        return workers[(self.number + nth) % len(workers)]

    def use_at(self, at: datetime) -> int:
        return (at - self.start).days * self.metres_a_day + use_si(20_000, "mi")

    def trail(self, at: datetime, verb: str, subject: str, subject_id: int) -> None:
        gesture = f"0190000000017000{self.to.trail.last + 1:016x}"
        self.to.trail.add(
            gesture, at, at, self.worker(), verb, subject, subject_id, self.vehicle, self.yard, {}
        )

    def _meter(self) -> None:
        """One vehicle in twenty was not read for two months."""
        to, by = self.to, self.worker()
        end = self.now - (60 if self.number % 20 == 5 else 2) * DAY
        at, last = end - ((end - self.start) // READING_DAYS).days * READING_DAYS * DAY, 0
        while at <= end:
            use, miles = self.use_at(at), self.use_at(at) / 1609.344
            last = to.reading.add(at, by, self.vehicle, f"{miles:.0f}", round(miles), use)
            at += READING_DAYS * DAY
        rate = float(self.metres_a_day)
        to.use.add(
            self.vehicle, last, end, self.use_at(end), rate * 0.85, rate, rate * 1.15
        )  # fmt: skip

    def _complain(self, kind: str) -> None:
        at = self.start + timedelta(days=self.random.randrange(30, (self.now - self.start).days))
        row = self.to.complaint.add(
            at, self.worker(1), self.vehicle, kind, "felt it on the washboard, both ways",
            "52 mph", 23.2, self.use_at(at),
        )  # fmt: skip
        self.trail(at, "report_complaint", "complaint", row)

    def look(self, at: datetime) -> None:
        """A routine look over every joint; what was loose is repaired the day after."""
        by, use = self.worker(), self.use_at(at)
        sheet = self.to.inspection.add(at, by, self.vehicle, "routine", use)
        self.trail(at, "record_inspection", "inspection", sheet)
        loose = []
        for spot in self.spots:
            code, reason = self._found(spot)
            method = "wrench" if code == "moved" else spot.place.method
            response = "note"
            if code in ("moved", "play"):
                loose.append(spot)
                response = "hold" if code == "play" and spot.place.holds else "line"
            finding = self.to.finding.add(
                at, by, sheet, spot.pk, code, "" if reason else method, code == "moved" or None,
                15.0 if code == "moved" else None, response, reason, "routine", use,
            )  # fmt: skip
            if code == "moved":
                self.pull(at, spot, finding=finding, turned=True)
        self.last_look = at
        if loose:
            self.repair(at + DAY, loose)

    def _found(self, spot: Spot) -> tuple[str, str]:
        """Code and, where it was not reached, why."""
        chance = self.random.random()
        if chance < 0.004:
            return "play", ""
        if chance < 0.007 and spot.place.wrench:
            return "moved", ""
        if chance < 0.02:
            return "not_reached", "behind the skid plate"
        return "no_play", ""

    def pull(
        self, at: datetime, spot: Spot, *, turned: bool, entry: int | None = None,
        finding: int | None = None,
    ) -> None:  # fmt: skip
        """A wrench at its figure."""
        tool = self.ground.tools[self.yard][2 + self.random.randrange(4)]
        self.to.torque.add(
            at, self.worker(), spot.pk, entry, finding, tool, spot.place.spec_id, "125 lbf·ft",
            169.48, "inside" if spot.place.spec_id else "no_spec", turned,
            15.0 if turned else None, self.use_at(at),
        )  # fmt: skip

    def repair(self, at: datetime, spots: list[Spot]) -> None:
        """A ticket from hold to close, and the first recheck of each joint done a week later."""
        to, by, use = self.to, self.worker(), self.use_at(at)
        done = at + timedelta(hours=6)
        ticket = to.ticket.add(
            self.vehicle, "closed", "Found loose at the routine look", at, by, done, by, "", 9
        )
        lines = {spot: self.line(ticket, n, spot, at, "closed") for n, spot in enumerate(spots, 1)}
        check = to.check.add(at + timedelta(hours=3), self.worker(1), ticket, self.vehicle)
        release = to.release.add(
            at + timedelta(hours=4), self.worker(1), ticket, at + timedelta(hours=8)
        )
        to.test.add(at + timedelta(hours=5), self.worker(1), ticket, release)
        to.toe.add(at + timedelta(hours=2), by, self.vehicle, None, 1.1763375, 0.0015875, use)
        for spot in spots:
            if spot.place.holds:
                to.hold.add(
                    self.vehicle, "finding", f"Play: {spot.place.name}", spot.pk, ticket, at, by,
                    done, by, check,
                )  # fmt: skip
        for verb in ("open_ticket", "second_check", "release", "road_test", "close_ticket"):
            self.trail(at, verb, "ticket", ticket)
        if at + 6 * DAY < self.now:
            self._afterwards(at + 6 * DAY, done, lines)

    def line(self, ticket: int, position: int, spot: Spot, at: datetime, state: str) -> int:
        """A line with its entry: tightened where a wrench can, else the part renewed."""
        to, by, use = self.to, self.worker(), self.use_at(at)
        action = "retorque" if spot.place.wrench else "outside_shop"
        line, entry = to.line.last + 1, to.entry.last + 1
        to.line.add(ticket, spot.pk, action, state, position, entry)
        to.entry.add(at, by, line, {"torque": TORQUE} if spot.place.wrench else {}, use)
        if spot.place.wrench:
            self.pull(at, spot, turned=True, entry=entry)
        else:
            to.part.add(at, by, spot.pk, "BJ-220", f"L{self.random.randrange(9)}", use)
        return line

    def _afterwards(self, at: datetime, began: datetime, lines: dict[Spot, int]) -> None:
        """The retorque: done, and the next rung made; it is done too once it is long past."""
        by, use = self.worker(2), self.use_at(at)
        sheet = self.to.inspection.add(at, by, self.vehicle, "retorque", use)
        self.trail(at, "record_inspection", "inspection", sheet)
        for spot, line in lines.items():
            code = "tight" if spot.place.wrench else "no_play"
            finding = self.to.finding.add(
                at, by, sheet, spot.pk, code, "wrench" if code == "tight" else spot.place.method,
                None, None, "note", "", "retorque", use,
            )  # fmt: skip
            if code == "tight":
                self.pull(at, spot, finding=finding, turned=False)
            first = self.recheck(spot, "rod_end", began, 7, line=line, done=(at, finding))
            long_past = at + 60 * DAY < self.now
            second = (at + 25 * DAY, finding) if long_past else None
            self.recheck(spot, "rod_end", at, 30, follows=first, done=second)

    def recheck(
        self, spot: Spot | None, ladder: str, began: datetime, days: int, *,
        line: int | None = None, follows: int | None = None,
        done: tuple[datetime, int] | None = None, state: str = "owed",
    ) -> int:  # fmt: skip
        start, likely = self.use_at(began), began.date() + timedelta(days=days)
        missed = began + timedelta(days=days) if state == "missed" else None
        whole = spot is None
        return self.to.recheck.add(
            self.vehicle, spot.pk if spot else None, ladder if whole else "retorque",
            "done" if done else state, ladder, int(follows is not None),
            [] if whole else ["wrench", "witness_mark"], line, follows, began, start, likely,
            start + days * self.metres_a_day, likely - 3 * DAY, likely, likely + 4 * DAY, likely,
            missed, done[0] if done else None, done[1] if done else None, None,
        )  # fmt: skip
