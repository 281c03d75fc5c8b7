"""What happened to a vehicle, newest first: looks, complaints, repairs, holds, joints apart."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any, cast

from django.db.models import CharField, Count, F, Q, QuerySet, Value

from fleet.records.inspections import BAD, LOOSE
from fleet.records.models import Complaint, Hold, Inspection, JointFitting, Ticket, Vehicle


@dataclass(frozen=True)
class Event:
    """One thing that happened: `kind` says which noun `row` is."""

    at: datetime
    kind: str
    row: Any


def timeline(vehicle: Vehicle) -> QuerySet[Any]:
    """Moments, kinds and ids over five tables, newest first; page it, then `events` the page."""
    return (
        _moments(Inspection, vehicle, "inspection", "occurred_at")
        .union(
            _moments(Complaint, vehicle, "complaint", "occurred_at"),
            _moments(Ticket, vehicle, "ticket", "opened_at"),
            _moments(Ticket, vehicle, "close", "closed_at"),
            _moments(Hold, vehicle, "hold", "placed_at"),
            _moments(Hold, vehicle, "lift", "lifted_at"),
            _moments(JointFitting, vehicle, "fitting", "occurred_at", of="joint__vehicle"),
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
    model: Any, vehicle: Vehicle, kind: str, moment: str, of: str = "vehicle"
) -> QuerySet[Any]:
    rows: Any = model.objects.filter(**{of: vehicle}).exclude(**{moment: None})
    kinds = Value(kind, output_field=CharField())
    rows = rows.order_by().annotate(moment=F(moment), row_kind=kinds, row_id=F("pk"))
    return cast("QuerySet[Any]", rows.values("moment", "row_kind", "row_id"))


def _rows(kind: str, ids: list[int]) -> dict[int, Any]:
    if kind == "inspection":
        return _inspections(ids)
    if kind == "complaint":
        return Complaint.objects.select_related("by").in_bulk(ids)
    if kind in ("ticket", "close"):
        return Ticket.objects.select_related("opened_by", "closed_by").in_bulk(ids)
    if kind == "fitting":
        return JointFitting.objects.select_related("joint__kind", "by").in_bulk(ids)
    return Hold.objects.select_related(
        "placed_by", "lifted_by", "ticket", "lifted_by_check__by"
    ).in_bulk(ids)


def _inspections(ids: list[int]) -> dict[int, Any]:
    rows = Inspection.objects.select_related("by", "second_person").annotate(
        looked=Count("findings", filter=~Q(findings__code="not_reached")),
        loose=Count("findings", filter=Q(findings__code__in=LOOSE)),
        bad=Count("findings", filter=Q(findings__code__in=BAD)),
        not_reached=Count("findings", filter=Q(findings__code="not_reached")),
    )
    return cast("dict[int, Any]", rows.in_bulk(ids))
