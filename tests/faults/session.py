"""One session: two or three tablets of a yard at work on one truck, with people who change hands.

What they do is drawn by a seed: sound sheets and broken ones, work recorded on the same line by
two tablets, holds, readings, checks too early. Which of it is accepted, the server says.
"""

import random
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any

from fleet.operations import tablets, vehicles
from fleet.operations.actor import Actor
from fleet.records.models import Person, Tablet, Vehicle
from tests.faults.wire import Wire
from tests.operations.conftest import RETORQUE, SET_TOE, TRACK_BAR, House
from tests.tablets import FarTablet, Hand

MOST_ROUNDS = 60
BAR = "track_bar_frame_end"


@dataclass
class Far:
    """A tablet with the people who sign on it, and every uid that was ever made there."""

    tablet: FarTablet
    wire: Wire
    hands: list[Hand]
    made: dict[str, tuple[Hand, str, Any]] = field(default_factory=dict)
    settled: set[str] = field(default_factory=set)
    # What a corrected one stands in place of.
    stands_for: dict[str, str] = field(default_factory=dict)

    def does(self, hand: Hand, verb: str, body: Any, instead_of: str | None = None) -> str:
        uid = self.tablet.does(hand, verb, body, instead_of=instead_of, at=_a_while_ago(self))
        self.made[uid] = (hand, verb, body)
        if instead_of is not None:
            self.stands_for[uid] = instead_of
        return uid


def _a_while_ago(far: Far) -> datetime:
    return datetime.now(UTC) - timedelta(seconds=max(1, 600 - far.tablet.n))


class Session:
    """A truck of its own, so that sessions don't meet each other but in the server."""

    def __init__(self, house: House, number: int, seeded: random.Random, wire: Any) -> None:
        self.house, self.seeded = house, seeded
        new = vehicles.NewVehicle(f"S-{number}", house.design.pk, house.yard.pk, "gravel", "mi",
                                  meter="48,000")  # fmt: skip
        self.vehicle: Vehicle = vehicles.add_vehicle(house.manager, new, at=house.now).row
        self.joints = {
            joint.kind.code: joint.pk for joint in self.vehicle.joints.select_related("kind")
            if joint.side in ("", "left")
        }  # fmt: skip
        crew = [house.technician.person, house.colleague.person]
        self.fars = [self._far(number, place, crew, wire) for place in range(seeded.randint(2, 3))]
        self.miles, self.refs = 48_000, list[Any]()

    def _far(self, number: int, place: int, crew: list[Person], wire: Any) -> Far:
        at = datetime.now(UTC)
        name = f"Tablet {number}-{place}"
        made = tablets.make_code(self.house.manager, name, self.house.yard.pk, at=at)
        enrolled = tablets.enrol_tablet(made.code, at=at)
        hands = [_hand(enrolled.tablet, person, at) for person in crew]
        own = Wire(wire.site, random.Random(self.seeded.random()), wire.seen)
        return Far(FarTablet(own, enrolled.token), own, hands)

    def run(self) -> None:
        """Work and send by turns; then send until everything is at an end."""
        for _turn in range(self.seeded.randint(4, 9)):
            far = self.seeded.choice(self.fars)
            for _step in range(self.seeded.randint(1, 4)):
                self.seeded.choice(self._deeds())(far, self.seeded.choice(far.hands))
            if self.seeded.random() < 0.7:
                far.wire.exchange(far.tablet)
                self._answer(far)
        self._finish()

    def _deeds(self) -> list[Callable[[Far, Hand], Any]]:
        often = [self.sheet, self.bar]
        return [*often, *often, self.broken_sheet, self.reading, self.hold, self.wrong_bar,
                self.toe, self.check, self.close, self.wheel_nuts]  # fmt: skip

    def sheet(self, far: Far, hand: Hand) -> None:
        code = self.seeded.choice(("play", "no_play"))
        self.refs.append(far.does(hand, "record_inspection", self._sheet(code)))

    def broken_sheet(self, far: Far, hand: Hand) -> None:
        """Not reached without a reason: the server refuses it."""
        far.does(hand, "record_inspection", self._sheet("not_reached"))

    def _sheet(self, code: str) -> dict[str, Any]:
        seen = {"joint": self.joints[BAR], "code": code, "method": "dry_steer"}
        if code == "not_reached":
            del seen["method"]
        return {"vehicle": self.vehicle.unit_number, "kind": "routine", "at_wheel": "a helper",
                "findings": [seen]}  # fmt: skip

    def reading(self, far: Far, hand: Hand) -> None:
        self.miles += self.seeded.choice((1, 2, 3, -5))
        far.does(hand, "record_meter",
                 {"vehicle": self.vehicle.unit_number, "reading": f"{self.miles:,}"})  # fmt: skip

    def hold(self, far: Far, hand: Hand) -> None:
        text = f"seen by {hand.person}"
        far.does(hand, "place_hold", {"vehicle": self.vehicle.unit_number, "text": text})

    def bar(self, far: Far, hand: Hand) -> None:
        self._record(far, hand, "replace_track_bar", BAR, TRACK_BAR)

    def wrong_bar(self, far: Far, hand: Hand) -> None:
        self._record(far, hand, "replace_track_bar", BAR, {**TRACK_BAR, "torque": "lots"})

    def toe(self, far: Far, hand: Hand) -> None:
        self._record(far, hand, "set_toe", None, SET_TOE)

    def wheel_nuts(self, far: Far, hand: Hand) -> None:
        line = {"action": "retorque", "joint": self.joints["track_bar_axle_end"]}
        said = {"vehicle": self.vehicle.unit_number, "title": "axle end", "lines": [line]}
        self.refs.append(far.does(hand, "open_ticket", said))
        self._record(far, hand, "retorque", "track_bar_axle_end", RETORQUE)

    def _record(self, far: Far, hand: Hand, action: str, kind: str | None, typed: Any) -> None:
        ref = self._ticket_ref()
        if ref is None:
            return
        line = {"ticket": ref, "action": action, "joint": self.joints[kind] if kind else None}
        saw = self.seeded.choice([None, *self._entries(far)])
        far.does(hand, "record_line", {"line": line, "typed": typed, "saw": saw})

    def check(self, far: Far, hand: Hand) -> None:
        ref = self._ticket_ref()
        if ref is not None:
            far.does(hand, "second_check", {"ticket": ref, "passed": True, "dry_steer": True,
                                            "saw": self._entries(far)})  # fmt: skip

    def close(self, far: Far, hand: Hand) -> None:
        ref = self._ticket_ref()
        if ref is not None:
            far.does(hand, "release", {"ticket": ref, "driver": "a helper", "place": "yard"})
            far.does(hand, "road_test", {"ticket": ref, "passed": True})
            far.does(hand, "close_ticket", {"ticket": ref, "saw": self._entries(far)})

    def _ticket_ref(self) -> Any:
        return self.seeded.choice(self.refs) if self.refs else None

    def _entries(self, far: Far) -> list[str]:
        return [uid for uid, (_hand, verb, _body) in far.made.items() if verb == "record_line"]

    def _answer(self, far: Far) -> None:
        """What came back to a person: put right where it can be, else left with a reason."""
        for uid, result in list(far.tablet.results.items()):
            if result["status"] != "refused" or uid in far.settled:
                continue
            far.settled.add(uid)
            hand, verb, body = far.made[uid]
            if verb == "record_inspection" and self.seeded.random() < 0.5:
                body = {**body, "findings": [{**body["findings"][0], "reason": "mud"}]}
                far.does(hand, verb, body, instead_of=uid)
            elif result["theirs"] and verb == "record_line" and self.seeded.random() < 0.5:
                far.does(hand, verb, {**body, "saw": result["theirs"][0]["uid"]}, instead_of=uid)
            elif verb != "set_aside":
                far.does(hand, "set_aside", {"operation": uid, "reason": "left"})

    def _finish(self) -> None:
        for _round in range(MOST_ROUNDS):
            waiting = [far for far in self.fars if far.tablet.waiting]
            if not waiting:
                return
            for far in waiting:
                far.wire.exchange(far.tablet)
                self._answer(far)
                self._give_up_what_waits_for_nothing(far)
        raise AssertionError([self._waits_for(far) for far in self.fars if far.tablet.waiting])

    def _waits_for(self, far: Far) -> list[str]:
        """What each operation of a tablet still waits for, and what became of all the others."""
        ends = [f"{uid[-4:]} {verb} by {hand.person} in place of "
                f"{far.stands_for.get(uid, '-')[-4:]}: {far.tablet.results.get(uid)}"
                for uid, (hand, verb, _body) in far.made.items()]  # fmt: skip
        return ["", *ends]

    def _give_up_what_waits_for_nothing(self, far: Far) -> None:
        """What another tablet was to open, and never will, is left by its person."""
        if any(one for one in self.fars if one is not far and one.tablet.waiting):
            return
        for one in far.tablet.waiting:
            result = far.tablet.results.get(one["uid"])
            if result is None or result["status"] != "parked" or one["uid"] in far.settled:
                continue
            if result["because"] in far.tablet.results or result["because"] == one["uid"]:
                continue
            far.settled.add(one["uid"])
            hand = far.made[one["uid"]][0]
            far.does(hand, "set_aside", {"operation": one["uid"], "reason": "never opened"})


def _hand(tablet: Tablet, person: Person, at: datetime) -> Hand:
    key = tablets.hand_key(Actor(person, "tablet", tablet), at=at).row
    return Hand(person.pk, str(key.uid), bytes(key.secret))
