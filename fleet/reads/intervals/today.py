"""Today's interval of each cell: what was accepted, else the ladder's last step, else the routine.

The rungs before the last one are left as they are: they catch a joint that beds in. The routine is
that of the weight class where that governs; where the vehicles of a cell go by several, the one
that looks soonest (own), so that nothing is compared with a longer time than any of them has.
"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Case, CharField, Value, When

from fleet.calc.units import use_si
from fleet.reads.intervals.cells import Cell, Meter, meter_of
from fleet.reads.rules import WEIGHTS, RuleNow, governing
from fleet.records.models import Recheck, Rule, Vehicle

#: The ladder of a standing recheck at one joint, made where no ladder of its kind is.
STANDING = "interval"
RULE = "interval"
UNITS = {Meter.DISTANCE: ("miles", "mi"), Meter.HOURS: ("hours", "h")}
_KINDS = ("ladder", "routine", "action", RULE)


@dataclass(frozen=True, slots=True)
class Today:
    """An interval in force in the unit people read (miles or hours), and its days.

    `age` is the use since turning at which it nominally begins, `floor` what it never falls
    below. `said` names the rule: {"ladder", "rung"}, {"routine"}, each with its "version", and
    the "interval" that was accepted in its place.
    """

    value: float
    days: float
    age: float
    floor: float
    floor_days: float
    standing: bool
    said: dict[str, Any]


@dataclass(frozen=True, slots=True, eq=False)
class Rules:
    """The rules that intervals stand in."""

    ladders: Mapping[str, RuleNow]
    routine: Mapping[str, RuleNow]
    by_kind: Mapping[str, str]
    accepted: Mapping[str, Rule]
    #: The weight classes of the fleet's vehicles, by duty, axle and meter.
    weights: Mapping[tuple[str, str, str], frozenset[str]] = field(default_factory=dict)

    def ladder_of(self, kind: str) -> RuleNow | None:
        """The retorque ladder that work on a joint of this kind starts at the joint itself."""
        ladder = self.ladders.get(self.by_kind.get(kind, ""))
        if ladder is None or ladder.data["kind"] != Recheck.Kind.RETORQUE:
            return None
        joints = ladder.data["joints"]
        return ladder if joints == "same" or kind in joints else None

    def governed(self, kind: str) -> bool:
        """Whether a published rule says when to look: wheel nuts."""
        ladder = self.ladders.get(self.by_kind.get(kind, ""))
        return ladder is not None and ladder.data["kind"] == Recheck.Kind.WHEEL_NUTS

    def accepted_of(self, cell: Cell) -> Rule | None:
        """What a manager accepted and has not taken back."""
        row = self.accepted.get(cell.key)
        return row if row is not None and row.data["stands"] else None

    def today(self, cell: Cell) -> Today | None:
        """The interval in force; None where no rule gives one in the unit of the meter."""
        plain = self.plain(cell)
        accepted = self.accepted_of(cell)
        if plain is None or accepted is None:
            return plain
        name, _unit = UNITS[Meter(cell.meter)]
        return Today(
            accepted.data[name], accepted.data["days"], plain.age, plain.floor, plain.floor_days,
            plain.standing, {**plain.said, "interval": accepted.version},
        )  # fmt: skip

    def plain(self, cell: Cell, weight: str | None = None) -> Today | None:
        """The interval without what was accepted; of one weight class where it is given."""
        name, _unit = UNITS[Meter(cell.meter)]
        if "after_moved" not in self.ladders:
            return None
        least = self.ladders["after_moved"].data["floor"]
        ladder = self.ladder_of(cell.kind)
        said: dict[str, Any]
        if ladder is None:
            rule = self._routine(cell, weight)
            step, age = (rule.data if rule else {}), 0.0
            said = {"routine": rule.key if rule else cell.duty}
        else:
            *before, step = ladder.data["rungs"]
            age = float(sum(rung.get(name) or 0 for rung in before))
            rule, said = ladder, {"ladder": ladder.key, "rung": len(before)}
        if rule is None or not step.get(name):
            return None
        return Today(
            float(step[name]), float(step.get("days") or 0), age, float(least[name]),
            float(least["days"]), ladder is None, {**said, "version": rule.version},
        )  # fmt: skip

    def _routine(self, cell: Cell, weight: str | None) -> RuleNow | None:
        name, _unit = UNITS[Meter(cell.meter)]
        of_fleet = self.weights.get((cell.duty, cell.axle, cell.meter), frozenset({""}))
        keys = {
            governing(cell.duty, one, self.routine)
            for one in (of_fleet if weight is None else {weight})
        }
        found = [self.routine[key] for key in sorted(keys) if key in self.routine]
        timed = [rule for rule in found if rule.data.get(name)]
        return min(timed or found, key=lambda rule: rule.data.get(name) or 0, default=None)


def _weights() -> dict[tuple[str, str, str], frozenset[str]]:
    """The weight classes of what is in the fleet; one query."""
    of_class = Case(
        When(gross_weight_kg=None, then=Value("")),
        *(When(gross_weight_kg__lte=most, then=Value(name))
          for name, (most, _label) in WEIGHTS.items() if most is not None),
        default=Value(list(WEIGHTS)[-1]), output_field=CharField(),
    )  # fmt: skip
    rows = Vehicle.objects.exclude(status=Vehicle.Status.OUT).order_by()
    found: dict[tuple[str, str, str], set[str]] = defaultdict(set)
    for duty, axle, unit, weight in rows.values_list(
        "duty", "design__axle__code", "meter_unit", of_class
    ).distinct():
        found[duty, axle, meter_of(unit)].add(weight)
    return {key: frozenset(names) for key, names in found.items()}


def rules_now() -> Rules:
    """All of them; two queries."""
    rows = Rule.objects.filter(kind__in=_KINDS, is_current=True)
    found: dict[str, dict[str, Rule]] = {kind: {} for kind in _KINDS}
    for row in rows:
        found[row.kind][row.key] = row
    plain = {
        kind: {key: RuleNow(key, row.version, row.data) for key, row in found[kind].items()}
        for kind in ("ladder", "routine", "action")
    }
    by_kind = plain["action"]["retorque"].data["ladder_by_kind"] if plain["action"] else {}
    return Rules(plain["ladder"], plain["routine"], by_kind, found[RULE], _weights())


def si(value: float, meter: str) -> int:
    """Miles or hours as metres or seconds."""
    return use_si(value, UNITS[Meter(meter)][1])
