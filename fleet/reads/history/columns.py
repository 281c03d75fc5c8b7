"""Facts of some vehicles, or of all, as columns: checks, fasteners turned, parts fitted.

Each is one query, however many vehicles.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from django.db.models import (
    BigIntegerField,
    Case,
    Exists,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Value,
    When,
)
from numpy.typing import NDArray

from fleet.calc.history.looks import Checks, Flags, Floats, Ints, Starts
from fleet.reads.cut import NOW
from fleet.reads.history import numbers
from fleet.reads.history.numbers import Column, Columns, Microseconds
from fleet.records.inspections import LOOSE
from fleet.records.models import (
    Clock,
    Finding,
    FindingCode,
    HeldBy,
    InspectionKind,
    Joint,
    JointKind,
    MeterReading,
    PartChange,
    Sight,
    TorqueReading,
)

#: What a wrench, or a look under load, may find that ends a spell.
ENDS = {
    Sight.MOVED: (*LOOSE, FindingCode.BROKEN),
    Sight.PLAY: (*LOOSE, FindingCode.WORN_OUT, FindingCode.BROKEN),
}
TIGHT = {
    Sight.MOVED: (FindingCode.TIGHT,),
    Sight.PLAY: (FindingCode.NO_PLAY, FindingCode.TIGHT, FindingCode.BOOT_TORN),
}
#: What says something of either event; the commonest first, since the database asks in this order.
TELLING = (
    FindingCode.NO_PLAY, FindingCode.TIGHT, FindingCode.PLAY, FindingCode.MOVED,
    FindingCode.BOOT_TORN, FindingCode.WORN_OUT, FindingCode.BROKEN,
)  # fmt: skip
#: Play at these is wear of the part; at the others a fastener that let go.
WEARS = (HeldBy.SLOTTED_STUD, HeldBy.PRESSED, HeldBy.ADJUSTING_NUT, HeldBy.NONE)
WRENCH = "wrench"


@dataclass(frozen=True, slots=True, eq=False)
class Facts:
    """Columns by name; moments in microseconds, use in metres or seconds of an hour meter."""

    findings: Columns
    turnings: Columns
    parts: Columns


@dataclass(frozen=True)
class Kinds:
    """The kinds of joint in the order of their codes, with what a look at them can see."""

    rows: tuple[JointKind, ...]

    @property
    def codes(self) -> tuple[str, ...]:
        return tuple(kind.code for kind in self.rows)

    @cached_property
    def methods(self) -> tuple[str, ...]:
        named = {method for kind in self.rows for method in kind.play_methods}
        return (WRENCH, *sorted(named - {WRENCH}))

    @cached_property
    def wears(self) -> Flags:
        return np.array([kind.held_by in WEARS for kind in self.rows], dtype=np.bool_)

    @cached_property
    def sees_play(self) -> Flags:
        """By kind and method; the last column stands for a method that no kind names."""
        told = [[m in kind.play_methods for m in self.methods] + [False] for kind in self.rows]
        return np.array(told, dtype=np.bool_).reshape(len(self.rows), len(self.methods) + 1)

    def places(self, ids: Ints) -> Ints:
        """Places in `rows` of kinds by id."""
        own = np.array([kind.pk for kind in self.rows], dtype=np.int64)
        order = own.argsort()
        return order[np.searchsorted(own[order], ids)]


def kinds_now() -> Kinds:
    rows = JointKind.objects.only("code", "held_by", "play_methods")
    return Kinds(tuple(rows.order_by("code")))


def facts_of(kinds: Kinds, vehicle_ids: Iterable[int] | None = None) -> Facts:
    """Read them; None means the whole fleet."""
    ids = None if vehicle_ids is None else list(vehicle_ids)
    return Facts(_findings(kinds, ids), _turnings(ids), _parts(ids))


def columns(rows: QuerySet[Any], **names: str) -> Columns:
    """Columns of a query by name, of whatever kind they are, in its order."""
    found = list(rows.values_list(*names.values()))
    by_column = list(zip(*found, strict=True)) if found else [()] * len(names)
    return {name: _column(values) for name, values in zip(names, by_column, strict=True)}


def _column(values: Any) -> NDArray[Any]:
    made = np.empty(len(values), dtype=object)
    made[:] = values
    return made


def seconds(moments: NDArray[Any]) -> Floats:
    return np.array([np.nan if m is None else m.timestamp() for m in moments], dtype=np.float64)


def whole(values: NDArray[Any]) -> Ints:
    return values.astype(np.intp)


def _of(rows: QuerySet[Any], path: str, ids: list[int] | None) -> QuerySet[Any]:
    return rows if ids is None else rows.filter(**{f"{path}__in": ids})


def _turned() -> QuerySet[TorqueReading]:
    return TorqueReading.objects.filter(Q(turned=True) | Q(assembled=True))


def _begun(ids: list[int] | None) -> QuerySet[Joint, Any]:
    """Joints that have a clock at all: no look at another says anything."""
    joint = {"joint": OuterRef("pk")}
    has_start = Exists(_turned().filter(**joint)) | Exists(
        PartChange.objects.filter(fitted=True, **joint)
    )
    return _of(Joint.objects.filter(has_start), "vehicle", ids).order_by().values("pk")


def _findings(kinds: Kinds, ids: list[int] | None) -> Columns:
    rows = Finding.objects.filter(code__in=TELLING, joint__in=_begun(ids))
    return _in_order(numbers.read(
        rows.order_by(), id=numbers.ident("pk"), joint=numbers.ident("joint_id"),
        vehicle=numbers.ident("joint__vehicle_id"), kind=numbers.ident("joint__kind_id"),
        at=numbers.moment("occurred_at"), use=numbers.measure("use_si"),
        code=numbers.coded("code", TELLING), method=numbers.coded("method", kinds.methods),
        why=numbers.coded("why", (InspectionKind.COMPLAINT,)),
        due_use=numbers.measure("due_use_si"), due_at=_due_at(),
    ))  # fmt: skip


def _due_at() -> Column:
    """When the meter got to where the next check was due, of what a complaint led to."""
    got_there = MeterReading.objects.filter(
        vehicle=OuterRef("joint__vehicle"), use_si__gte=OuterRef("due_use_si"),
        occurred_at__gte=OuterRef("occurred_at"),
    ).order_by("occurred_at").values(at=Microseconds("occurred_at"))[:1]  # fmt: skip
    found = Q(why=InspectionKind.COMPLAINT, code__in=ENDS[Sight.PLAY])
    never = Value(None, output_field=BigIntegerField())
    return Column(Case(When(found, then=Subquery(got_there)), default=never), np.float64)


def _turnings(ids: list[int] | None) -> Columns:
    rows = _of(_turned().filter(NOW.stands()), "joint__vehicle", ids)
    return _in_order(numbers.read(
        rows.order_by(), id=numbers.ident("pk"), joint=numbers.ident("joint_id"),
        at=numbers.moment("occurred_at"), use=numbers.measure("use_si"),
        first=numbers.flag("assembled"), tool=numbers.ident("tool_id"),
    ))  # fmt: skip


def _parts(ids: list[int] | None) -> Columns:
    rows = _of(PartChange.objects.filter(NOW.stands(), fitted=True), "joint__vehicle", ids)
    return _in_order(numbers.read(
        rows.order_by(), id=numbers.ident("pk"), joint=numbers.ident("joint_id"),
        at=numbers.moment("occurred_at"), use=numbers.measure("use_si"),
        # None with one that came with the vehicle: nobody of ours saw it fitted.
        entry=numbers.ident("line_entry_id", may_miss=True),
    ))  # fmt: skip


def _in_order(rows: Columns) -> Columns:
    """In order of time; what came at one moment, as it was entered."""
    return taken(rows, np.lexsort((rows["id"], rows["at"])))


def starts_of(rows: Columns, watched: Flags) -> Starts:
    return Starts(rows["joint"], numbers.seconds(rows["at"]), rows["use"], watched)


def checks_of(rows: Columns, sight: Sight) -> Checks:
    """Findings, all of which can see the event."""
    return Checks(
        rows["joint"], numbers.seconds(rows["at"]), rows["use"], _is_one_of(rows, ENDS[sight]),
        rows["why"] == 0, rows["due_use"], numbers.seconds(rows["due_at"]),
    )  # fmt: skip


def _is_one_of(rows: Columns, codes: Iterable[FindingCode]) -> Flags:
    return np.isin(rows["code"], [TELLING.index(code) for code in codes])


def clocks_of(rows: Columns, kinds: Kinds) -> dict[tuple[Clock, Sight], Flags]:
    """Which findings inform which event on which clock. Each informs one at most.

    A look that finds no play says nothing of the preload, and a wrench nothing of wear. What was
    seen to have moved had moved, whoever looked.
    """
    kind = kinds.places(rows["kind"])
    by_wrench = (rows["method"] == kinds.methods.index(WRENCH)) | _is_one_of(
        rows, [FindingCode.MOVED]
    )
    can_see, wears = kinds.sees_play[kind, rows["method"]], kinds.wears[kind]
    told = {sight: _is_one_of(rows, (*ENDS[sight], *TIGHT[sight])) for sight in Sight}
    return {
        (Clock.TIGHTNESS, Sight.MOVED): by_wrench & told[Sight.MOVED],
        (Clock.TIGHTNESS, Sight.PLAY): ~by_wrench & can_see & ~wears & told[Sight.PLAY],
        (Clock.WEAR, Sight.PLAY): ~by_wrench & can_see & wears & told[Sight.PLAY],
    }


def taken(rows: Columns, which: Flags | Ints) -> Columns:
    return {name: column[which] for name, column in rows.items()}
