"""Weighed exposures of the whole fleet as the rows that are watched, week by week."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

import numpy as np

from fleet.calc.history.looks import Flags, Floats, Ints
from fleet.calc.history.watch import Rows
from fleet.reads.history.columns import columns, seconds, whole
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
    members: dict[str, list[str]]

    def of(self, label: str, member: str) -> Flags:
        """The rows of one member."""
        if member not in self.members.get(label, []):
            return np.zeros(self.at.size, dtype=np.bool_)
        return np.asarray(self.rows.labels[label] == self.members[label].index(member))


def watched(clock: Clock, until: datetime | None = None) -> Watched:
    """Every weighed exposure on a clock; one query."""
    read = Exposure.objects.filter(clock=clock, spent__isnull=False)
    if until is not None:
        read = read.filter(at__lt=until)
    named = {column: column for name in LABELS for column in LABELS[name].columns}
    found = columns(
        read.order_by("at", "finding"), at="at", finding="finding_id", vehicle="vehicle_id",
        kind="joint__kind_id", loose="loose", expected="expected", spent="spent",
        turned_at="turning__occurred_at", by="turning__by_id", fitted_at="part__occurred_at",
        **named,
    )  # fmt: skip
    at = seconds(found["at"])
    vehicles, vehicle = np.unique(whole(found["vehicle"]), return_inverse=True)
    labels, members = {}, {}
    for name, label in LABELS.items():
        if clock in label.clocks:
            labels[name], members[name] = numbered(label, found)
    rows = Rows(
        weeks_of(at), vehicle, found["loose"].astype(float), found["spent"].astype(float), labels
    )
    begun = found["turned_at" if clock == Clock.TIGHTNESS else "fitted_at"]
    return Watched(
        clock, "findings", families(clock), rows, at, seconds(begun),
        found["expected"].astype(float), whole(found["kind"]), whole(found["finding"]), vehicles,
        members,
    )  # fmt: skip


def numbered(label: Label, found: Columns) -> tuple[Ints, list[str]]:
    """Number of each row's member, and the members' names; -1 for none, or not to be shown."""
    named = np.array(
        [label.member(*values) for values in zip(*(found[c] for c in label.columns), strict=True)],
        dtype=str,
    )
    names, number = np.unique(named, return_inverse=True)
    number = number.astype(np.intp)
    left_out = names == ""
    if label.shared:
        left_out |= _by_one_person(number, found["by"], names.size)
    shown = np.where(left_out, -1, np.cumsum(~left_out) - 1)
    return shown[number], [str(one) for one in names[~left_out]]


def _by_one_person(number: Ints, by: Any, many: int) -> Flags:
    pairs = np.unique(np.stack([number, whole(by)]), axis=1)
    return np.asarray(np.bincount(pairs[0], minlength=many) <= 1)
