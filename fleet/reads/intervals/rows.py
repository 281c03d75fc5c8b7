"""The newest reckoning of every cell, as the list and one page tell it."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Case, QuerySet, Value, When
from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext

from fleet.reads.intervals.cells import Meter
from fleet.reads.intervals.today import UNITS, si
from fleet.reads.intervals.words import about, amount, cell_words, lacking
from fleet.records.models import IntervalProposal, Person

State = IntervalProposal.State


@dataclass(frozen=True)
class IntervalRow:
    """One line a cell: which joints, and what the record says."""

    row: IntervalProposal
    joints: str
    says: str


def proposals(person: Person) -> QuerySet[IntervalProposal]:
    """The newest of each cell; those that wait for a manager first, then by finds."""
    return newest_first(IntervalProposal.visible_to(person))


def newest_first(rows: QuerySet[IntervalProposal]) -> QuerySet[IntervalProposal]:
    """The same of any rows in scope."""
    waiting = When(state=State.OPEN, offered_si__isnull=False, then=Value(0))
    known = When(missing="", then=Value(1))
    now = rows.filter(is_current=True).select_related("kind", "axle", "rule", "decided_by")
    return now.order_by(Case(waiting, known, default=Value(2)), "-finds", "key", "pk")


def interval_rows(rows: Iterable[IntervalProposal], units: str) -> list[IntervalRow]:
    return [IntervalRow(row, cell_words(row), says(row, units)) for row in rows]


def says(row: IntervalProposal, units: str) -> str:
    """'now 500 mi, the record would allow 740 mi', or what is missing."""
    if row.state == State.DECLINED:
        return gettext("now %(now)s; declined: %(reason)s") % {
            "now": amount(row.now_si, row.meter, units), "reason": row.reason
        }  # fmt: skip
    if row.state == State.ACCEPTED:
        return _accepted(row, units)
    told = {
        "now": amount(row.now_si, row.meter, units),
        "allowed": about(row.allowed_si, row.meter, units),
        "lacking": lacking(row, units) if row.missing else "",
    }
    if row.missing:
        return gettext("now %(now)s; %(lacking)s") % told
    if row.offered_si is None:
        return gettext("now %(now)s, and the record bears it out") % told
    if row.offered_si > row.now_si:
        return gettext("now %(now)s, the record would allow %(allowed)s") % told
    return gettext("now %(now)s, the record allows only %(allowed)s") % told


def _accepted(row: IntervalProposal, units: str) -> str:
    when = date_format(localtime(row.decided_at), "DATE_FORMAT") if row.decided_at else ""
    return gettext("accepted %(when)s: %(value)s in place of %(now)s") % {
        "when": when, "value": amount(accepted_si(row), row.meter, units),
        "now": amount(row.now_si, row.meter, units),
    }  # fmt: skip


def accepted_si(row: IntervalProposal) -> int | None:
    """What was accepted of it, in metres or seconds."""
    if row.rule is None:
        return None
    name, _unit = UNITS[Meter(row.meter)]
    return si(row.rule.data[name], row.meter)


def in_force_si(row: IntervalProposal) -> int:
    """The interval that rechecks made now take."""
    accepted = accepted_si(row) if row.state == State.ACCEPTED else None
    return row.now_si if accepted is None else accepted


def accepted_stands(row: IntervalProposal) -> bool:
    """Whether there is an accepted interval to take back."""
    return row.state == State.ACCEPTED or "interval" in row.now_from
