"""A record of years for the statistics: fasteners turned, looked at every few weeks, found loose.

Drawn from a known truth and stored as facts in bulk; everything invented.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

import numpy as np

from fleet.records.models import (
    Finding,
    Inspection,
    Joint,
    Person,
    TorqueReading,
    TorqueTool,
    Vehicle,
    Yard,
)
from tests import build

KIND = "track_bar_frame_end"
#: Between looks: six weeks and as many miles.
STEP = timedelta(days=42)
STEP_M = 2_000_000
SCALE_M = 22_000_000.0
Factor = Callable[[Vehicle, TorqueTool, datetime], float]


@dataclass
class Years:
    """What was made; `tools[0]` is the one that a test may make bad."""

    yards: list[Yard]
    tools: list[TorqueTool]
    vehicles: list[Vehicle] = field(default_factory=list)


def live(
    by: list[Person], *, vehicles: int, looks: int, since: datetime, seed: int,
    factor: Factor = lambda *_: 1.0, yards: int = 2,
) -> Years:  # fmt: skip
    """Let vehicles live: each look puts a wrench to the joint, with one of three tools in turn of
    chance, and what has moved is tightened by it."""
    rng = np.random.default_rng(seed)
    places = [build.yard(f"Yard {number}") for number in range(yards)]
    made = Years(places, [build.tool(places[0], f"TW-{number}") for number in range(3)])
    made.vehicles = [build.vehicle(places[n % yards], f"V-{n:03d}") for n in range(vehicles)]
    joints = {row.vehicle_id: row for row in Joint.objects.filter(kind__code=KIND)}
    rows = [
        _Life(joints[vehicle.pk], vehicle, made.tools, by, factor, rng).live(since, looks)
        for vehicle in made.vehicles
    ]
    Inspection.objects.bulk_create(one for row in rows for one in row.sheets)
    Finding.objects.bulk_create(one for row in rows for one in row.findings)
    TorqueReading.objects.bulk_create(one for row in rows for one in row.torques)
    return made


class _Life:
    def __init__(
        self, joint: Joint, vehicle: Vehicle, tools: list[TorqueTool], by: list[Person],
        factor: Factor, rng: np.random.Generator,
    ) -> None:  # fmt: skip
        self.joint, self.vehicle, self.tools, self.by = joint, vehicle, tools, by
        self.factor, self.rng = factor, rng
        self.holds_until = 0.0
        self.sheets: list[Inspection] = []
        self.findings: list[Finding] = []
        self.torques: list[TorqueReading] = []

    def live(self, since: datetime, looks: int) -> "_Life":
        for number in range(looks):
            at, use = (
                since + number * STEP + timedelta(minutes=self.vehicle.pk % 600),
                number * STEP_M,
            )
            loose = number == 0 or use > self.holds_until
            who = self.by[int(self.rng.integers(len(self.by)))]
            tool = self.tools[int(self.rng.integers(len(self.tools)))]
            facts: dict[str, Any] = {"by": who, "occurred_at": at, "use_si": use}
            sheet = Inspection(vehicle=self.vehicle, kind="retorque", **facts)
            finding = Finding(
                inspection=sheet, joint=self.joint, code="moved" if loose else "tight",
                method="wrench", response="note", why="retorque", turned=loose, **facts,
            )  # fmt: skip
            self.sheets.append(sheet)
            self.findings.append(finding)
            self.torques.append(TorqueReading(
                joint=self.joint, finding=finding, tool=tool, tool_in_date=True,
                typed="125 lbf·ft", torque_nm=169.48, band="inside", turned=loose,
                thread_condition="dry", **facts,
            ))  # fmt: skip
            if loose:
                pace = self.factor(self.vehicle, tool, at)
                self.holds_until = use + SCALE_M / pace * float(self.rng.exponential())
        return self
