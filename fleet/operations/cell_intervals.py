"""The accepted intervals of one vehicle's joints, as the rechecks that are made now take them.

Read when they are first asked for: one query where none was ever accepted.
"""

from functools import cached_property
from typing import Any, NamedTuple

from django.db.models import Q

from fleet.reads.cut import NOW
from fleet.reads.history.labels import practice_of
from fleet.reads.intervals.cells import Cell, meter_of
from fleet.reads.intervals.today import RULE, STANDING, UNITS, Rules, Today, rules_now
from fleet.reads.rules import RuleNow, weight_class
from fleet.records.models import (
    IntervalProposal,
    Joint,
    Layout,
    Recheck,
    Rule,
    TorqueReading,
    Vehicle,
)


class Accepted(NamedTuple):
    """A ladder with the accepted figures in its place, and the rule they stand in."""

    ladder: RuleNow
    rule: Rule


class CellIntervals:
    """Of the joints of one vehicle, by the cell of the turning that tightened each last."""

    def __init__(self, vehicle: Vehicle) -> None:
        self.vehicle = vehicle

    def rung(self, ladder: RuleNow, rung: int, joint: Joint) -> Accepted | None:
        """The last rung of the ladder of this joint's own kind, as long as was accepted."""
        steps = ladder.data["rungs"]
        if rung != len(steps) - 1 or not self._any:
            return None
        own = self._rules.ladder_of(joint.kind.code)
        if own is None or own.key != ladder.key:
            return None
        found = self._of(joint)
        if found is None:
            return None
        today, rule = found
        rungs = [*steps[:-1], {**steps[-1], **self._step(today)}]
        return Accepted(RuleNow(ladder.key, ladder.version, {**ladder.data, "rungs": rungs}), rule)

    def standing(self, joint: Joint) -> Accepted | None:
        """Where no retorque ladder is of its kind: a recheck of its own, where that is shorter
        than the routine that the vehicle goes by."""
        found = self._of(joint) if self._any else None
        if found is None or not found[0].standing:
            return None
        today, rule = found
        cell = self._cell(joint)
        plain = self._rules.plain(cell, weight_class(self.vehicle)) if cell else None
        if plain is None or today.value >= plain.value:
            return None
        return Accepted(standing_ladder(self._step(today), rule.version), rule)

    @cached_property
    def _any(self) -> bool:
        rows = Rule.objects.filter(kind=RULE, is_current=True).values_list("data", flat=True)
        return any(data["stands"] for data in rows)

    @cached_property
    def _rules(self) -> Rules:
        return rules_now()

    @cached_property
    def _axle(self) -> str:
        return Layout.objects.get(pk=self.vehicle.design.axle_id).code

    @cached_property
    def _turned(self) -> dict[int, tuple[bool, str]]:
        """Of each joint: whether its last turning put it together, and by what practice."""
        turned = Q(turned=True) | Q(assembled=True)
        rows = TorqueReading.objects.filter(NOW.stands(), turned, joint__vehicle=self.vehicle)
        told = rows.order_by("occurred_at", "id").values_list(
            "joint_id", "assembled", "spec__origin", "thread_condition"
        )
        return {pk: (first, practice_of(origin, threads)) for pk, first, origin, threads in told}

    def _cell(self, joint: Joint) -> Cell | None:
        if joint.pk not in self._turned:
            return None
        first, practice = self._turned[joint.pk]
        meter = meter_of(self.vehicle.meter_unit)
        return Cell(joint.kind.code, self._axle, self.vehicle.duty, practice, first, meter)

    def _of(self, joint: Joint) -> tuple[Today, Rule] | None:
        cell = self._cell(joint)
        rule = self._rules.accepted_of(cell) if cell else None
        today = self._rules.today(cell) if cell and rule else None
        return (today, rule) if today and rule else None

    def _step(self, today: Today) -> dict[str, float]:
        name, _unit = UNITS[IntervalProposal.Meter(meter_of(self.vehicle.meter_unit))]
        return {name: today.value, "days": today.days}


def standing_ladder(step: dict[str, Any], version: int) -> RuleNow:
    """A ladder of one step. It rests on what the wrench saw, and only a wrench pays it."""
    rung = {**step, "methods": ["wrench"]}
    return RuleNow(STANDING, version, {"kind": Recheck.Kind.RETORQUE, "rungs": [rung]})
