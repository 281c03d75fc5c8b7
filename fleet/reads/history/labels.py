"""What a check can be put down to: its joint, the tool that tightened it, the lot, the yard.

A label's member is named by a text that stands in a pattern's key, and that leads back to its
checks. Nothing here is about a person: a tool or a practice that one person alone has used has no
name, and is left out.
"""

from dataclasses import dataclass
from typing import Any

from django.db.models import Q

from fleet.records.models import Clock


@dataclass(frozen=True)
class Label:
    """How a label's members are named, and which exposures are a member's.

    `columns` are those of an exposure that name it; it has no member where one is empty.
    """

    name: str
    columns: tuple[str, ...]
    clocks: tuple[Clock, ...]
    # Whether one person alone using it keeps it out.
    shared: bool = False

    def member(self, *values: Any) -> str:
        return "" if any(one in (None, "") for one in values) else "|".join(str(v) for v in values)

    def exposures(self, member: str) -> Q:
        """The exposures of a member."""
        values = member.split("|", len(self.columns) - 1)
        return Q(**dict(zip(self.columns, values, strict=True)))


def practice_of(origin: str | None, threads: str) -> str:
    """'factory, dry': whose figure, and the threads as they were; empty where neither is told."""
    return ", ".join(one for one in (origin, threads) if one)


BOTH = (Clock.TIGHTNESS, Clock.WEAR)
TIGHTNESS = (Clock.TIGHTNESS,)

LABELS: dict[str, Label] = {
    label.name: label
    for label in (
        Label("joint", ("joint_id",), BOTH),
        Label("tool", ("tool_id",), TIGHTNESS, shared=True),
        Label("lot", ("number", "lot"), BOTH),
        Label("part", ("number",), BOTH),
        Label("practice", ("practice",), TIGHTNESS, shared=True),
        Label("yard", ("vehicle__yard_id",), BOTH),
        # The rough road of one yard: what its trucks of one duty share.
        Label("yard_duty", ("vehicle__yard_id", "duty"), BOTH),
    )
}
#: Joints by themselves, and all groups together.
FAMILIES = (("joint",), ("tool", "lot", "part", "practice", "yard", "yard_duty"))


def families(clock: Clock) -> tuple[tuple[str, ...], ...]:
    """Labels that are judged together on a clock."""
    return tuple(tuple(n for n in names if clock in LABELS[n].clocks) for names in FAMILIES)


def of_pattern(statistic: dict[str, Any]) -> Q:
    """The exposures that a pattern found by statistics is about."""
    label = LABELS[statistic["label"]]
    return Q(clock=statistic["clock"]) & label.exposures(statistic["member"])
