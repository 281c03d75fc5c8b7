"""Torque tools: which may be believed today."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import Q, QuerySet

from fleet.reads.days import on_each_yards_day, today_at
from fleet.records.models import Person, TorqueTool, Yard

WARNING_DAYS = 14


@dataclass(frozen=True)
class ToolRow:
    """A tool, and what may be said of its readings today."""

    tool: TorqueTool
    today: date
    # "good", "soon", "out" or "doubted"
    standing: str


def tools(person: Person) -> QuerySet[TorqueTool]:
    return TorqueTool.visible_to(person).select_related("yard").order_by("code")


def tools_due(
    rows: QuerySet[TorqueTool], yards: list[Yard], now: datetime, days: int = WARNING_DAYS
) -> QuerySet[TorqueTool]:
    """Out of date, soon out of date, never calibrated, or doubted since a drop."""
    soon = on_each_yards_day(yards, now, "yard", good_until__lte=days)
    return rows.filter(
        soon | Q(good_until=None) | Q(doubted_since__isnull=False), in_use=True
    ).order_by("good_until", "code")


def tool_rows(rows: Any, now: datetime, days: int = WARNING_DAYS) -> list[ToolRow]:
    return [
        ToolRow(tool, today := today_at(tool.yard, now), standing(tool, today, days))
        for tool in rows
    ]


def standing(tool: TorqueTool, today: date, days: int = WARNING_DAYS) -> str:
    """Good through its last day; doubt comes before any date."""
    if tool.doubted_since is not None:
        return "doubted"
    if tool.good_until is None or tool.good_until < today:
        return "out"
    return "soon" if (tool.good_until - today).days <= days else "good"
