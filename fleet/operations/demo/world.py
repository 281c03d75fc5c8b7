"""What all trucks of the demo share: people, tools, figures, rules, and the book."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import cache
from typing import Any

import numpy as np

from fleet.calc.units import parse_torque
from fleet.operations.demo.book import Book
from fleet.operations.demo.truck import Spot, Truck
from fleet.operations.line_view import fields_for
from fleet.reads.rules import RuleNow, rules, settings_now
from fleet.records.models import Person, TorqueSpec, TorqueTool

NO_MORE_WAITING = timedelta(days=8)
RULES = ("action", "ladder", "routine", "response", "complaint", "finding", "method")


@dataclass(frozen=True)
class Crew:
    technicians: list[Person]
    driver: Person


@dataclass(frozen=True)
class DemoTool:
    """A torque tool, where it works, and in which stretch of time it is used."""

    row: TorqueTool
    yards: tuple[str, ...]
    since: datetime
    until: datetime
    # By yard its share of the work that it can do; None where it shares alike with the rest.
    share: dict[str, float] | None = None


@dataclass
class World:
    book: Book
    now: datetime
    crews: dict[int, Crew]
    managers: list[Person]
    server: Person
    feed: Person
    tools: list[DemoTool]
    specs: dict[int, dict[int, TorqueSpec]]
    dropped: datetime
    table: dict[str, dict[str, RuleNow]] = field(default_factory=dict)
    settings: dict[str, Any] = field(default_factory=dict)
    _fields: dict[tuple[str, str, int, bool], list[Any]] = field(default_factory=dict)

    def learn_rules(self) -> None:
        self.table = {kind: rules(kind) for kind in RULES}
        self.settings = settings_now()

    def days_for_parts(self, truck: Truck, at: datetime, most: int) -> int:
        """Days that a repair waits; none at the end, where it could not be done before today."""
        if most == 0 or at > self.now - NO_MORE_WAITING:
            return 0
        return int(truck.rng.integers(0, most + 1))

    def technician(self, truck: Truck) -> Person:
        crew = self.crews[truck.vehicle.yard_id].technicians
        return crew[int(truck.rng.integers(len(crew)))]

    def another(self, truck: Truck, did: set[int]) -> Person:
        """Somebody of the yard who did no line; else a trained manager."""
        crew = self.crews[truck.vehicle.yard_id].technicians
        free = [person for person in crew if person.pk not in did]
        return free[0] if free else self.managers[0]

    def tool_for(self, truck: Truck, torque_nm: float, at: datetime) -> TorqueTool:
        """A tool of the yard that reaches the figure and is in date."""
        yard, rng = truck.vehicle.yard.name, truck.rng
        fit = [
            tool for tool in self.tools
            if yard in tool.yards and tool.since <= at < tool.until
            and tool.row.low_nm <= torque_nm <= tool.row.high_nm
        ]  # fmt: skip
        shared = [tool for tool in fit if tool.share is None]
        favoured = next((tool for tool in fit if tool.share is not None), None)
        if favoured is not None and rng.random() < (favoured.share or {})[yard]:
            return favoured.row
        return shared[int(rng.integers(len(shared)))].row

    def fields_for(self, rule: RuleNow, truck: Truck, spot: Spot | None) -> list[Any]:
        """The fields that a line of this action records, worked out once for its like."""
        vehicle, joint = truck.vehicle, spot.joint if spot else None
        key = (rule.key, spot.kind.code if spot else "", vehicle.design_id, vehicle.yard.far)
        if key not in self._fields:
            specs = {one.spec.kind_id: one.spec for one in truck.spots.values() if one.spec}
            self._fields[key] = fields_for(rule, vehicle, joint, specs)
        return self._fields[key]


def typed_torque(spec: TorqueSpec) -> tuple[str, float]:
    """What a wrench is set to for a figure: its middle, as typed and in N·m."""
    return _middle(spec.typed)


@cache
def _middle(typed: str) -> tuple[str, float]:
    sides = [float(side.replace("lbf·ft", "")) for side in typed.split("–")]
    text = f"{round(sum(sides) / len(sides)):g} lbf·ft"
    return text, parse_torque(text, "lbf·ft").si


def chance(rng: np.random.Generator, share: float) -> bool:
    return bool(rng.random() < share)
