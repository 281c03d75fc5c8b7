"""Weighed exposures of the whole fleet as the rows that are watched, week by week."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from fleet.calc.history.looks import Flags, Floats, Ints
from fleet.calc.history.watch import Rows
from fleet.reads.history import numbers
from fleet.reads.history.columns import taken
from fleet.reads.history.exposures import DUTIES
from fleet.reads.history.labels import LABELS, Label, families
from fleet.reads.history.numbers import Columns
from fleet.records.models import Clock, Exposure

#: The Monday before the first moment of the clock that weeks are counted by, in UTC.
MONDAY = datetime(1969, 12, 29, tzinfo=UTC)
WEEK = timedelta(days=7)


def week_of(moment: datetime) -> int:
    """Number of the week that a moment lies in."""
    return (moment - MONDAY) // WEEK


def weeks_of(at: Floats) -> Ints:
    """The same of many moments in seconds."""
    return np.asarray((at - MONDAY.timestamp()) // WEEK.total_seconds()).astype(np.intp)


def start_of(week: int) -> datetime:
    return MONDAY + week * WEEK


@dataclass(frozen=True, slots=True, eq=False)
class Watched:
    """Rows of one question, in order of time, with what they are made of.

    `clock` is "tightness", "wear", or another question's name. `facts` are the ids of what the rows
    rest on, all of one kind (`fact`: "findings"). `vehicles` and `members` name what the numbers of
    `rows` stand for; `begun` is when each check's clock began, in seconds.
    """

    clock: str
    fact: str
    families: tuple[tuple[str, ...], ...]
    rows: Rows
    at: Floats
    begun: Floats
    expected: Floats
    kind: Ints
    facts: Ints
    vehicles: Ints
    members: dict[str, NDArray[np.str_]]

    def of(self, label: str, member: str) -> Flags:
        """The rows of one member."""
        place = np.flatnonzero(self.members.get(label, np.zeros(0, np.str_)) == member)
        if not place.size:
            return np.zeros(self.at.size, dtype=np.bool_)
        return np.asarray(self.rows.labels[label] == place[0])


def watched(clock: Clock, until: datetime | None = None) -> Watched:
    """Every weighed exposure on a clock; one query."""
    asked = Exposure.objects.filter(clock=clock, spent__isnull=False)
    if until is not None:
        asked = asked.filter(at__lt=until)
    texts = {name: numbers.text(name) for name in ("number", "lot", "practice")}
    begun = "turning" if clock == Clock.TIGHTNESS else "part"
    found = numbers.read(
        asked.order_by(), finding=numbers.ident("finding_id"), at=numbers.moment("at"),
        begun=numbers.moment_or_never(f"{begun}__occurred_at"),
        vehicle=numbers.ident("vehicle_id"), vehicle__yard_id=numbers.ident("vehicle__yard_id"),
        kind=numbers.ident("joint__kind_id"), joint_id=numbers.ident("joint_id"),
        by=numbers.ident("turning__by_id", may_miss=True), duty=numbers.coded("duty", DUTIES),
        tool_id=numbers.ident("tool_id", may_miss=True), loose=numbers.flag("loose"),
        expected=numbers.measure("expected"), spent=numbers.measure("spent"), **texts,
    )  # fmt: skip
    # What came at one moment lies newest first.
    found = taken(found, np.lexsort((-found["finding"], found["at"])))
    named = {name: list(column.codes or ()) for name, column in texts.items()}
    named["duty"] = list(DUTIES)
    return _watched(clock, found, named)


def _watched(clock: Clock, found: Columns, named: Mapping[str, Sequence[str]]) -> Watched:
    at = numbers.seconds(found["at"])
    vehicles, vehicle = np.unique(found["vehicle"], return_inverse=True)
    labels, members = {}, {}
    for name, label in LABELS.items():
        if clock in label.clocks:
            labels[name], members[name] = numbered(label, found, named)
    rows = Rows(weeks_of(at), vehicle, found["loose"].astype(np.float64), found["spent"], labels)
    return Watched(
        clock, "findings", families(clock), rows, at, numbers.seconds(found["begun"]),
        found["expected"], found["kind"], found["finding"], vehicles, members,
    )  # fmt: skip


def numbered(
    label: Label, found: Columns, named: Mapping[str, Sequence[str]]
) -> tuple[Ints, NDArray[np.str_]]:
    """Number of each row's member, and the members' names; -1 for none, or not to be shown.

    Columns hold ids, or places in the names of `named`.
    """
    many = found[label.columns[0]].size
    key, missing = np.zeros(many, dtype=np.int64), np.zeros(many, dtype=np.bool_)
    for column in label.columns:
        values = found[column].astype(np.int64)
        missing |= (values == numbers.NONE) | (values == _empty(named.get(column, ())))
        key = key * (int(values.max(initial=0)) + 2) + values + 1
    keys, first, number = np.unique(key, return_index=True, return_inverse=True)
    left_out = missing[first]
    if label.shared:
        left_out |= _by_one_person(number, found["by"], keys.size)
    names = _names(label, found, named, first[~left_out])
    order = np.argsort(names) if named.keys() & set(label.columns) else np.arange(names.size)
    shown = np.full(keys.size, -1)
    shown[np.flatnonzero(~left_out)[order]] = np.arange(order.size)
    return shown[number], names[order]


def _empty(names: Sequence[str]) -> int | None:
    return names.index("") if "" in names else None


def _names(
    label: Label, found: Columns, named: Mapping[str, Sequence[str]], rows: Ints
) -> NDArray[np.str_]:
    """Names of the members that these rows belong to."""
    told = [
        [named[column][value] for value in found[column][rows].tolist()]
        if column in named else found[column][rows].tolist()
        for column in label.columns
    ]  # fmt: skip
    return np.array([label.member(*values) for values in zip(*told, strict=True)], dtype=np.str_)


def _by_one_person(number: Ints, by: Ints, many: int) -> Flags:
    """Members that one person alone has used: the lowest id of them is the highest."""
    low, high = np.full(many, np.iinfo(np.int64).max), np.full(many, -1)
    np.minimum.at(low, number, by)
    np.maximum.at(high, number, by)
    return np.asarray(low == high)
