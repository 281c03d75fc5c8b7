"""Facts of some vehicles, or of all, as columns: checks, fasteners turned, parts fitted.

Each is one query, however many vehicles.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from django.db.models import Case, DateTimeField, OuterRef, Q, QuerySet, Subquery, Value, When
from numpy.typing import NDArray

from fleet.calc.history.looks import Checks, Flags, Floats, Ints, Starts
from fleet.reads.cut import NOW
from fleet.records.inspections import LOOSE
from fleet.records.models import (
    Clock,
    Finding,
    FindingCode,
    HeldBy,
    InspectionKind,
    MeterReading,
    PartChange,
    Sight,
    TorqueReading,
)

SILENT = (FindingCode.NOT_REACHED, FindingCode.NOT_FITTED)
#: What a wrench, or a look under load, may find that ends a spell.
ENDS = {
    Sight.MOVED: (*LOOSE, FindingCode.BROKEN),
    Sight.PLAY: (*LOOSE, FindingCode.WORN_OUT, FindingCode.BROKEN),
}
TIGHT = {
    Sight.MOVED: (FindingCode.TIGHT,),
    Sight.PLAY: (FindingCode.NO_PLAY, FindingCode.TIGHT, FindingCode.BOOT_TORN),
}
#: Play at these is wear of the part; at the others a fastener that let go.
WEARS = (HeldBy.SLOTTED_STUD, HeldBy.PRESSED, HeldBy.ADJUSTING_NUT, HeldBy.NONE)

Columns = dict[str, NDArray[Any]]


@dataclass(frozen=True, slots=True, eq=False)
class Facts:
    """Columns by name; moments in seconds, use in metres or seconds of an hour meter."""

    findings: Columns
    turnings: Columns
    parts: Columns


def facts_of(vehicle_ids: Iterable[int] | None = None) -> Facts:
    """Read them; None means the whole fleet."""
    ids = None if vehicle_ids is None else list(vehicle_ids)
    return Facts(_findings(ids), _turnings(ids), _parts(ids))


def columns(rows: QuerySet[Any], **names: str) -> Columns:
    """Columns of a query by name, in its order."""
    found = list(rows.values_list(*names.values()))
    by_column = list(zip(*found, strict=True)) if found else [()] * len(names)
    return {name: _column(values) for name, values in zip(names, by_column, strict=True)}


def _column(values: Any) -> NDArray[Any]:
    made = np.empty(len(values), dtype=object)
    made[:] = values
    return made


def seconds(moments: NDArray[Any]) -> Floats:
    return np.array([np.nan if m is None else m.timestamp() for m in moments], dtype=np.float64)


def numbers(values: NDArray[Any]) -> Floats:
    """None becomes nan."""
    return values.astype(np.float64)


def whole(values: NDArray[Any]) -> Ints:
    return values.astype(np.intp)


def one_of(values: NDArray[Any], among: Iterable[Any]) -> Flags:
    return np.isin(values.astype(str), [str(one) for one in among])


def _of(rows: QuerySet[Any], path: str, ids: list[int] | None) -> QuerySet[Any]:
    return rows if ids is None else rows.filter(**{f"{path}__in": ids})


def _findings(ids: list[int] | None) -> Columns:
    got_there = MeterReading.objects.filter(
        vehicle=OuterRef("joint__vehicle"), use_si__gte=OuterRef("due_use_si"),
        occurred_at__gte=OuterRef("occurred_at"),
    ).order_by("occurred_at").values("occurred_at")[:1]  # fmt: skip
    by_complaint = Q(why=InspectionKind.COMPLAINT, code__in=ENDS[Sight.PLAY])
    rows = _of(Finding.objects.exclude(code__in=SILENT), "joint__vehicle", ids).annotate(
        due_at=Case(
            When(by_complaint, then=Subquery(got_there)),
            default=Value(None, output_field=DateTimeField()),
        )
    )
    return columns(
        rows.order_by("occurred_at", "id"), finding="pk", joint="joint_id",
        vehicle="joint__vehicle_id", kind="joint__kind__code", held_by="joint__kind__held_by",
        play_methods="joint__kind__play_methods", duty="joint__vehicle__duty",
        meter="joint__vehicle__meter_unit", at="occurred_at", use="use_si", code="code",
        method="method", why="why", due_use="due_use_si", due_at="due_at",
    )  # fmt: skip


def _turnings(ids: list[int] | None) -> Columns:
    rows = TorqueReading.objects.filter(NOW.stands()).filter(Q(turned=True) | Q(assembled=True))
    return columns(
        _of(rows, "joint__vehicle", ids).order_by("occurred_at", "id"), turning="pk",
        joint="joint_id", at="occurred_at", use="use_si", first="assembled", tool="tool_id",
        origin="spec__origin", threads="thread_condition", by="by_id",
    )  # fmt: skip


def _parts(ids: list[int] | None) -> Columns:
    rows = PartChange.objects.filter(NOW.stands(), fitted=True)
    return columns(
        _of(rows, "joint__vehicle", ids).order_by("occurred_at", "id"), part="pk",
        joint="joint_id", at="occurred_at", use="use_si", number="number", lot="lot",
        seen="line_entry_id",
    )  # fmt: skip


def starts_of(rows: Columns, watched: Flags) -> Starts:
    return Starts(whole(rows["joint"]), seconds(rows["at"]), numbers(rows["use"]), watched)


def checks_of(rows: Columns, sight: Sight) -> Checks:
    """Findings, all of which can see the event."""
    return Checks(
        whole(rows["joint"]), seconds(rows["at"]), numbers(rows["use"]),
        one_of(rows["code"], ENDS[sight]), one_of(rows["why"], [InspectionKind.COMPLAINT]),
        numbers(rows["due_use"]), seconds(rows["due_at"]),
    )  # fmt: skip


def clocks_of(rows: Columns) -> dict[tuple[Clock, Sight], Flags]:
    """Which findings inform which event on which clock. Each informs one at most.

    A look that finds no play says nothing of the preload, and a wrench nothing of wear. What was
    seen to have moved had moved, whoever looked.
    """
    by_wrench = (rows["method"].astype(str) == "wrench") | one_of(rows["code"], [FindingCode.MOVED])
    can_see = np.array(
        [method in methods for method, methods in zip(rows["method"], rows["play_methods"],
                                                       strict=True)], dtype=np.bool_,
    )  # fmt: skip
    wears = one_of(rows["held_by"], WEARS)
    told = {sight: one_of(rows["code"], (*ENDS[sight], *TIGHT[sight])) for sight in Sight}
    return {
        (Clock.TIGHTNESS, Sight.MOVED): by_wrench & told[Sight.MOVED],
        (Clock.TIGHTNESS, Sight.PLAY): ~by_wrench & can_see & ~wears & told[Sight.PLAY],
        (Clock.WEAR, Sight.PLAY): ~by_wrench & can_see & wears & told[Sight.PLAY],
    }


def taken(rows: Columns, which: Flags | Ints) -> Columns:
    return {name: column[which] for name, column in rows.items()}
