"""State is kept in the same transaction as its facts, and rebuilt equals kept."""

import random
from collections.abc import Callable
from contextlib import suppress
from datetime import timedelta
from typing import Any

import pytest

from fleet.operations import complain, meters, repair, roll, state, use
from fleet.operations.actor import server_actor
from fleet.operations.errors import Refused
from fleet.records.models import Joint, JointState, MeterReading, Ticket, VehicleUse
from tests.operations.conftest import RETORQUE, TRACK_BAR, House

JOINTS = [
    ("track_bar_frame_end", ""), ("track_bar_axle_end", ""), ("pitman_arm", ""),
    ("tie_rod_end", "left"), ("wheel_nuts", "right"), ("gear_lash", ""),
]  # fmt: skip
# Found how, and what else is typed.
FINDS: list[tuple[str, dict[str, str]]] = [
    ("no_play", {"method": "dry_steer"}), ("play", {"method": "dry_steer", "play": "1/8 in"}),
    ("play", {"method": "dry_steer"}), ("moved", {"method": "witness_mark", "degrees": "10"}),
    ("moved", {"method": "wrench", "degrees": "40"}), ("tight", {"method": "wrench"}),
    ("cracked", {"method": "look"}), ("boot_torn", {"method": "look"}),
    ("not_reached", {"reason": "mud"}),
]  # fmt: skip


class Days:
    """A fleet's days at random: looks, repairs, readings, some of them heard of late."""

    def __init__(self, house: House, seed: int) -> None:
        self.house, self.rng = house, random.Random(seed)
        self.meter = 48_000

    def happened(self) -> Any:
        """Now, or up to three days ago."""
        late = self.rng.random() < 0.4
        return self.house.now - timedelta(hours=self.rng.uniform(1, 72)) if late else None

    def look(self) -> None:
        looks = []
        for kind, side in self.rng.sample(JOINTS, self.rng.randint(1, 3)):
            code, typed = self.rng.choice(FINDS)
            wrench = typed.get("method") == "wrench"
            more: dict[str, Any] = {"torque": "125 lbf·ft", "tool_id": self.house.tool.pk}
            looks.append(self.house.look(kind, code, side, **typed, **(more if wrench else {})))
        self.house.inspect(*looks, occurred_at=self.happened())

    def work(self) -> None:
        ticket = Ticket.objects.exclude(state__in=["closed", "cancelled"]).first()
        ticket = ticket or self.house.ticket(("retorque", "track_bar_frame_end"))
        line = self.rng.choice(list(ticket.lines.exclude(state="dropped")))
        figures: dict[str, Any] = {"retorque": RETORQUE, "replace_track_bar": TRACK_BAR}
        typed = figures.get(line.action, {})
        entry = repair.Entry(line.pk, typed, occurred_at=self.happened())
        repair.record_line(self.house.technician, entry, at=self.house.now)

    def drop(self) -> None:
        ticket = Ticket.objects.exclude(state__in=["closed", "cancelled"]).get()
        line = self.rng.choice(list(ticket.lines.exclude(state="dropped")))
        repair.drop_line(self.house.technician, line.pk, "not needed", at=self.house.now)

    def whole_repair(self) -> None:
        self.house.repair(("replace_track_bar", "track_bar_axle_end", TRACK_BAR))

    def read(self) -> None:
        self.meter += self.rng.randint(5, 90)
        reading = meters.Reading(self.house.vehicle.pk, str(self.meter),
                                 occurred_at=self.happened())  # fmt: skip
        meters.record_meter(self.house.driver, reading, at=self.house.now)

    def withdraw(self) -> None:
        row = self.rng.choice(list(MeterReading.objects.filter(withdrawn_by=None)))
        meters.withdraw_reading(self.house.manager, row.pk, "misread", at=self.house.now)

    def complain(self) -> None:
        report = complain.Report(self.house.vehicle.pk, "wander", occurred_at=self.happened())
        complain.report_complaint(self.house.driver, report, at=self.house.now)

    def night(self) -> None:
        roll.roll(server_actor(), at=self.house.now)

    def go_on(self) -> Callable[[], None]:
        acts = [self.look] * 6 + [self.work] * 4 + [self.read] * 3
        acts += [self.drop, self.whole_repair, self.withdraw, self.complain, self.night]
        self.house.later(hours=self.rng.uniform(0.5, 40))
        act = self.rng.choice(acts)
        # Not every act fits every day.
        with suppress(Refused, Ticket.DoesNotExist, IndexError):
            act()
        return act


def rebuilt() -> dict[int, dict[str, Any]]:
    ids = list(Joint.objects.values_list("pk", flat=True))
    return {row.joint_id: columns(row, state.FIELDS) for row in state.work_out(ids)}


def kept() -> dict[int, dict[str, Any]]:
    return {row.joint_id: columns(row, state.FIELDS) for row in JointState.objects.all()}


def columns(row: Any, names: list[str]) -> dict[str, Any]:
    return {name: row._meta.get_field(name).value_from_object(row) for name in names}


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_rebuilt_equals_kept_whatever_came_late(house: House, seed: int) -> None:
    days = Days(house, seed)
    for step in range(30):
        act = days.go_on()
        assert rebuilt() == kept(), f"step {step}: {act.__name__}"
        (now,) = use.work_out([house.vehicle])
        on_file = VehicleUse.objects.get(vehicle=house.vehicle)
        assert columns(on_file, use.FIELDS) == columns(now, use.FIELDS), act.__name__


def test_a_late_find_does_not_become_the_last_look(house: House) -> None:
    house.later(days=2)
    house.tight()
    now = house.now
    house.inspect(house.look("track_bar_frame_end", "no_play", method="feel"),
                  occurred_at=now - timedelta(days=1))  # fmt: skip
    kept_state = house.joint().state
    assert (kept_state.mark, kept_state.last_look_at) == ("tight", now)


def test_of_two_looks_at_one_moment_the_later_entered_stands(house: House) -> None:
    house.inspect(house.look("gear_lash", "play", method="dry_steer"))
    house.inspect(house.look("gear_lash", "no_play", method="dry_steer"))
    assert house.joint("gear_lash").state.mark == "no_play"


def test_it_counts_loosenings_and_keeps_the_nearest_recheck(house: House) -> None:
    house.moved()
    house.later(days=4)
    house.moved()
    kept_state = house.joint().state
    assert kept_state.loosenings == 2
    assert kept_state.due_recheck is not None
    assert kept_state.interval_to_on == kept_state.due_recheck.due_on
    assert kept_state.last_turned_at == house.now
