"""Torque tools: which may be believed today."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import Count, OuterRef, Q, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from fleet.reads.days import on_each_yards_day, today_at
from fleet.records.models import Calibration, Person, ToolUse, TorqueReading, TorqueTool, Yard

WARNING_DAYS = 14
# ISO 6789's default, as read on toolmaker and test-lab pages (sources.md).
MOST_USES = 5_000
# From here on it says that its uses are nearly up (own).
NEARLY = 0.9


@dataclass(frozen=True)
class ToolRow:
    """A tool, and what may be said of its readings today."""

    tool: TorqueTool
    today: date
    # "good", "soon", "out" or "doubted"
    standing: str
    # Since its last good calibration: pulls recorded here and uses told of other work; and how
    # many it may make.
    uses: int = 0
    most_uses: int = MOST_USES

    @property
    def used_up(self) -> bool:
        return self.uses >= self.most_uses


def tools(person: Person) -> QuerySet[TorqueTool]:
    return TorqueTool.visible_to(person).select_related("yard").order_by("code")


def with_uses(rows: QuerySet[TorqueTool]) -> QuerySet[TorqueTool]:
    """Each with `uses`: its pulls on file since the last calibration that it passed, and what was
    told of its uses on other work."""
    passed = Calibration.objects.filter(tool=OuterRef("pk"), passed=True)
    last = passed.order_by("-occurred_at", "-id").values("occurred_at")[:1]
    pulls = TorqueReading.objects.filter(tool=OuterRef("pk"), occurred_at__gt=OuterRef("last_good"))
    counted = pulls.order_by().values("tool").annotate(n=Count("pk")).values("n")
    told = elsewhere(tool=OuterRef("pk"), occurred_at__gt=OuterRef("last_good"))
    others = told.order_by().values("tool").annotate(n=Sum("uses")).values("n")
    return rows.annotate(last_good=Subquery(last)).annotate(
        uses=Coalesce(Subquery(counted), 0) + Coalesce(Subquery(others), 0)
    )


def elsewhere(**wanted: Any) -> QuerySet[ToolUse]:
    """Uses on other work, as they stand: what was corrected counts by its correction."""
    return ToolUse.objects.filter(corrected_by__isnull=True, **wanted)


def tools_due(
    rows: QuerySet[TorqueTool], yards: list[Yard], now: datetime, days: int = WARNING_DAYS,
    most_uses: int = MOST_USES,
) -> QuerySet[TorqueTool]:  # fmt: skip
    """Out of date, soon out of date, its uses nearly up, never calibrated, or doubted."""
    soon = on_each_yards_day(yards, now, "yard", good_until__lte=days)
    worn = Q(uses__gte=round(NEARLY * most_uses))
    return with_uses(rows).filter(
        soon | worn | Q(good_until=None) | Q(doubted_since__isnull=False), in_use=True
    ).order_by("good_until", "code")  # fmt: skip


def tool_rows(
    rows: Any, now: datetime, days: int = WARNING_DAYS, most_uses: int = MOST_USES
) -> list[ToolRow]:
    """Rows with their uses (`with_uses`) are judged by them too."""
    return [_row(tool, today_at(tool.yard, now), days, most_uses) for tool in rows]


def _row(tool: Any, today: date, days: int, most_uses: int) -> ToolRow:
    uses = getattr(tool, "uses", 0)
    found = standing(tool, today, days)
    if found in ("good", "soon") and uses >= round(NEARLY * most_uses):
        found = "out" if uses >= most_uses else "soon"
    return ToolRow(tool, today, found, uses, most_uses)


def standing(tool: TorqueTool, today: date, days: int = WARNING_DAYS) -> str:
    """By date alone: good through its last day; doubt comes before any date."""
    if tool.doubted_since is not None:
        return "doubted"
    if tool.good_until is None or tool.good_until < today:
        return "out"
    return "soon" if (tool.good_until - today).days <= days else "good"
