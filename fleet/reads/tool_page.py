"""What befell a torque tool: calibrated, compared, dropped, used on other work; newest first."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import QuerySet

from fleet.records.models import (
    Calibration,
    Person,
    ToolComparison,
    ToolMishap,
    ToolUse,
    TorqueTool,
)

# A calibration a year and a note a month fill this in three years.
MOST_SHOWN = 50


@dataclass(frozen=True)
class Befell:
    """One of them: `kind` is "calibration", "comparison", "mishap" or "use"."""

    kind: str
    row: Any

    @property
    def at(self) -> datetime:
        """When it happened."""
        moment: datetime = self.row.occurred_at
        return moment


@dataclass(frozen=True)
class ToolStory:
    events: list[Befell]
    # There are older ones that are not shown.
    more: bool


def tool_uses(person: Person) -> QuerySet[ToolUse]:
    """Uses on other work, as told and as corrected, newest first."""
    rows = ToolUse.visible_to(person).select_related("tool__yard", "by", "corrects")
    return rows.select_related("corrected_by").order_by("-occurred_at", "-id")


def tool_story(person: Person, tool: TorqueTool) -> ToolStory:
    """Four queries."""
    kinds: dict[str, QuerySet[Any]] = {
        "calibration": Calibration.visible_to(person).select_related("by"),
        "comparison": ToolComparison.visible_to(person).select_related("by", "beside"),
        "mishap": ToolMishap.visible_to(person).select_related("by"),
        "use": tool_uses(person),
    }
    found = [
        Befell(kind, row)
        for kind, rows in kinds.items()
        for row in rows.filter(tool=tool).order_by("-occurred_at", "-id")[: MOST_SHOWN + 1]
    ]
    found.sort(key=lambda one: (one.at, one.row.pk), reverse=True)
    return ToolStory(found[:MOST_SHOWN], len(found) > MOST_SHOWN)
