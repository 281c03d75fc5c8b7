"""What a change of a rule would move, told before it is saved. Nothing is written."""

from collections import Counter
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from fleet.operations import rule_anew
from fleet.operations.actor import Actor
from fleet.operations.rule_anew import Redrawn
from fleet.operations.rule_change import shape_named, whole
from fleet.operations.rule_data import NewRule
from fleet.reads.plan.minutes import owed_of
from fleet.reads.rule_shapes import TIME, Shape
from fleet.reads.rule_words import words_of
from fleet.records.models import Recheck, Yard

SHOWN = 20


@dataclass(frozen=True)
class YardMoves:
    """How many of one yard would move, and how many of those would be late at once."""

    yard: Yard
    moving: int
    late: int


@dataclass(frozen=True)
class Preview:
    """What a change would do. `moving` and the rows are what would move if what is owed is made
    anew; without that nothing that is owed moves."""

    shape: Shape
    before: str
    after: str
    owed: int = 0
    missed: int = 0
    kept: int = 0
    sooner: int = 0
    later: int = 0
    late: int = 0
    yards: list[YardMoves] = field(default_factory=list)
    first: list[Redrawn] = field(default_factory=list)
    # Of a rule of time: bay minutes of all that is owed of it, before and after.
    minutes: tuple[int, int] | None = None

    @property
    def moving(self) -> int:
        return self.sooner + self.later

    @property
    def same(self) -> int:
        """Owed by the rule, and where the new one has the same date."""
        return self.owed - self.missed - self.kept - self.moving

    @property
    def more(self) -> int:
        return self.moving - len(self.first)


def preview_rule(actor: Actor, new: NewRule, *, now: datetime) -> Preview:
    """Raises Refused like the change itself would."""
    actor.need("edit_rules")
    shape = shape_named(new.kind, new.key)
    data = whole(new, shape)
    before, after = words_of(shape.now.data) if shape.now else "", words_of(data)
    if shape.form == TIME:
        return _of_time(actor, shape, data, before, after)
    rows = list(rule_anew.with_vehicles(rule_anew.under(actor.person, shape)))
    if not rows:
        return Preview(shape, before, after)
    ladder = rule_anew.next_ladder(shape, data, shape.version + 1)
    found = list(rule_anew.redrawn(rows, ladder, shape, now))
    return counted(shape, before, after, found)


def _of_time(
    actor: Actor, shape: Shape, data: dict[str, Any], before: str, after: str
) -> Preview:  # fmt: skip
    """No date moves by it: what changes is how much of the bays it takes."""
    owed = owed_of(actor.person, shape.key)
    old = shape.now.data["minutes"] if shape.now else 0
    return Preview(shape, before, after, owed, kept=owed,
                   minutes=(owed * old, owed * data["minutes"]))  # fmt: skip


def counted(shape: Shape, before: str, after: str, found: list[Redrawn]) -> Preview:
    """Counts by yard, and the first rows: late ones first, then by how soon they would fall due."""
    moving = [one for one in found if rule_anew.moves(one)]
    missed = sum(one.row.state == Recheck.State.MISSED for one in found)
    kept = sum(one.new is None for one in found) - missed
    later = sum(_after(one) for one in moving)
    late = [one for one in moving if one.late]
    moving.sort(key=lambda one: (not one.late, one.falls_on or date.max, one.row.pk))
    return Preview(
        shape, before, after, len(found), missed, kept, len(moving) - later, later, len(late),
        _by_yard(moving), _with_names(moving[:SHOWN]),
    )  # fmt: skip


def _after(one: Redrawn) -> bool:
    """Whether it would fall due later than now."""
    return one.falls_on is not None and one.falls_on > one.row.falls_on


def _by_yard(moving: list[Redrawn]) -> list[YardMoves]:
    yards = {one.row.vehicle.yard_id: one.row.vehicle.yard for one in moving}
    moved = Counter(one.row.vehicle.yard_id for one in moving)
    late = Counter(one.row.vehicle.yard_id for one in moving if one.late)
    rows = sorted(yards.items(), key=lambda pair: pair[1].name)
    return [YardMoves(yard, moved[pk], late[pk]) for pk, yard in rows]


def _with_names(first: list[Redrawn]) -> list[Redrawn]:
    """The joints of the rows that are shown; two queries."""
    named = Recheck.objects.select_related("joint__kind").in_bulk([one.row.pk for one in first])
    for one in first:
        one.row.joint = named[one.row.pk].joint
    return first
