"""What happened to a vehicle, newest first: looks, complaints, repairs, holds, moves, fittings."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any, cast

from django.db.models import CharField, Count, F, Prefetch, Q, QuerySet, Value

from fleet.records.inspections import BAD, LOOSE
from fleet.records.models import (
    Complaint,
    Finding,
    FindingCode,
    Hold,
    Inspection,
    JointFitting,
    SecondCheck,
    Ticket,
    Vehicle,
    YardMove,
    YardMoveEnd,
)

# The table of each kind of event, and what its line says of other rows.
NOUNS: dict[str, tuple[Any, ...]] = {
    "complaint": (Complaint, "by"),
    "ticket": (Ticket, "opened_by"),
    "hold": (Hold, "placed_by", "finding"),
    "lift": (Hold, "lifted_by", "finding"),
    "move": (YardMove, "by"),
    "move_end": (YardMoveEnd, "by"),
    "fitting": (JointFitting, "joint__kind", "by"),
}
# A vehicle on which something happens every day for twenty years.
MOST = 8_000


@dataclass(frozen=True)
class Event:
    """One thing that happened: `kind` says which noun `row` is."""

    at: datetime
    kind: str
    row: Any


def timeline(vehicle: Vehicle) -> QuerySet[Any]:
    """Moments, kinds and ids over seven tables, newest first; page it, then `events` the page."""
    return (
        _moments(Inspection, vehicle, "inspection", "occurred_at")
        .union(
            _moments(Complaint, vehicle, "complaint", "occurred_at"),
            _moments(Ticket, vehicle, "ticket", "opened_at"),
            _moments(Ticket, vehicle, "close", "closed_at"),
            _moments(Hold, vehicle, "hold", "placed_at"),
            _moments(Hold, vehicle, "lift", "lifted_at"),
            _moments(YardMove, vehicle, "move", "occurred_at"),
            _moments(YardMoveEnd, vehicle, "move_end", "occurred_at", "move__vehicle"),
            _moments(JointFitting, vehicle, "fitting", "occurred_at", "joint__vehicle"),
            all=True,
        )
        .order_by("-moment", "-row_kind", "-row_id")
    )


def events(page: Iterable[dict[str, Any]]) -> list[Event]:
    """The rows behind one page of a timeline: one query a noun, however long the page."""
    rows = list(page)
    found = {kind: _rows(kind, [r["row_id"] for r in rows if r["row_kind"] == kind])
             for kind in {r["row_kind"] for r in rows}}  # fmt: skip
    return [
        Event(row["moment"], row["row_kind"], found[row["row_kind"]][row["row_id"]])
        for row in rows
        if row["row_id"] in found[row["row_kind"]]
    ]


def _moments(
    model: Any, vehicle: Vehicle, kind: str, moment: str, path: str = "vehicle"
) -> QuerySet[Any]:
    rows: Any = model.objects.filter(**{path: vehicle}).exclude(**{moment: None})
    kinds = Value(kind, output_field=CharField())
    rows = rows.order_by().annotate(moment=F(moment), row_kind=kinds, row_id=F("pk"))
    return cast("QuerySet[Any]", rows.values("moment", "row_kind", "row_id"))


def _rows(kind: str, ids: list[int]) -> dict[int, Any]:
    whole: dict[str, Any] = {"inspection": _inspections, "close": _closed}
    if kind in whole:
        return cast("dict[int, Any]", whole[kind](ids))
    model, *joined = NOUNS[kind]
    return cast("dict[int, Any]", model.objects.select_related(*joined).in_bulk(ids))


def _closed(ids: list[int]) -> dict[int, Any]:
    """Each with the checks it passed, the newest first: a self re-check is named as one."""
    passed = SecondCheck.objects.filter(passed=True).select_related("by", "leave__by")
    checks = Prefetch("second_checks", passed, to_attr="passed_checks")
    rows = Ticket.objects.select_related("closed_by").prefetch_related(checks)
    return cast("dict[int, Any]", rows.in_bulk(ids))


def _inspections(ids: list[int]) -> dict[int, Any]:
    rows = Inspection.objects.select_related("by", "second_person").annotate(
        looked=Count("findings", filter=~Q(findings__code="not_reached")),
        loose=Count("findings", filter=Q(findings__code__in=LOOSE)),
        # Play is more than moved: its mark stands for both.
        with_play=Count("findings", filter=Q(findings__code=FindingCode.PLAY)),
        bad=Count("findings", filter=Q(findings__code__in=BAD)),
        not_reached=Count("findings", filter=Q(findings__code="not_reached")),
    )
    return cast("dict[int, Any]", rows.in_bulk(ids))


def whole_timeline(vehicle: Vehicle) -> list[dict[str, Any]]:
    """All of `timeline` in one query: a picture is of the whole, a page of a part of it."""
    return list(timeline(vehicle)[:MOST])


def looks_that_found(vehicle: Vehicle) -> set[int]:
    """Inspections of a vehicle at which something was loose, worn, cracked, bent or broken."""
    found = Finding.objects.filter(inspection__vehicle=vehicle, code__in=[*LOOSE, *BAD])
    return set(found.order_by().values_list("inspection_id", flat=True).distinct())
