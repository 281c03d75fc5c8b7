"""What a calendar feed tells its owner today: what is owed, on the day it falls due."""

import hashlib
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from django.db.models import Q, QuerySet
from django.utils import formats
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.calc.units import use_from_si
from fleet.reads import planned
from fleet.reads.due import DueItem, due_items, owed, with_all_shown
from fleet.reads.planned import Planned
from fleet.records.models import Feed, Person, Recheck, Vehicle

# A day further off says nothing for a calendar; the yearly inspection is within it (own).
FURTHEST = timedelta(days=400)


@dataclass(frozen=True)
class Entry:
    """One event of a calendar, in its owner's words."""

    source: UUID
    day: date
    summary: str
    text: str
    place: str
    unit_number: str
    # The least that SEQUENCE may be.
    sequence: int = 0

    @property
    def digest(self) -> str:
        """Of all that it says beside its day."""
        said = "\n".join((self.summary, self.text, self.place, self.unit_number))
        return hashlib.sha256(said.encode()).hexdigest()


def feeds(person: Person) -> QuerySet[Feed]:
    """One's own that still have an address, the newest first."""
    rows = Feed.visible_to(person).filter(revoked_at=None)
    return rows.select_related("yard", "of_person", "vehicle").order_by("-id")


def entries(feed: Feed, now: datetime) -> list[Entry]:
    """What the feed's owner may see of it now; the number of queries does not grow with it."""
    rows = _of_subject(owed(feed.owner), feed).filter(falls_on__lte=now.date() + FURTHEST)
    items = [item for item in due_items(rows, now) if not item.waits]
    visits = planned.planned_visits([item.recheck.pk for item in items])
    paid = {pk for visit in visits for pk in visit.rechecks}
    alone = [item for item in items if item.recheck.pk not in paid]
    return [*(_entry(item) for item in alone), *_of_visits(visits, items)]


def _of_subject(rows: QuerySet[Recheck], feed: Feed) -> QuerySet[Recheck]:
    if feed.of == Feed.Of.YARD:
        return rows.filter(vehicle__yard=feed.yard_id)
    if feed.of == Feed.Of.VEHICLE:
        return rows.filter(vehicle=feed.vehicle_id)
    named = Q(pk__in=planned.named_for(feed.of_person_id))
    return rows.filter(Q(assigned_to=feed.of_person_id) | named)


def past_entries(person: Person, sources: Collection[UUID], now: datetime) -> dict[UUID, Entry]:
    """What is owed no longer, as far as its reader may still see it, by its identity."""
    if not sources:
        return {}
    rows = with_all_shown(Recheck.visible_to(person).filter(uid__in=sources))
    return {row.recheck.uid: _entry(row, over=True) for row in due_items(rows, now)}


def _entry(item: DueItem, *, over: bool = False) -> Entry:
    row, vehicle = item.recheck, item.recheck.vehicle
    summary = _("%(unit)s: %(what)s, %(rule)s") % {
        "unit": vehicle.unit_number, "what": item.what, "rule": item.name,
    }  # fmt: skip
    if item.late and not over:
        summary = _("Overdue: %(what)s") % {"what": summary}
    text = "" if over else "\n".join(_told(item))
    return Entry(row.uid, row.falls_on, summary, text, vehicle.yard.name, vehicle.unit_number)


def _told(item: DueItem) -> Iterable[str]:
    """The limits that it has, who makes it, and what stands above all of it."""
    row, vehicle = item.recheck, item.recheck.vehicle
    if row.due_on:
        yield _("By date: %(day)s") % {"day": _written(row.due_on)}
    if row.due_use_si is not None:
        use = f"{round(use_from_si(row.due_use_si, vehicle.meter_unit)):,} {vehicle.meter_unit}"
        yield _("By the meter: at %(use)s") % {"use": use}
    if row.use_on_low and row.use_on_high and row.use_on_low != row.use_on_high:
        yield _("The meter gets there between %(low)s and %(high)s.") % {
            "low": _written(row.use_on_low), "high": _written(row.use_on_high),
        }  # fmt: skip
    if item.assigned:
        yield _("Assigned to %(who)s") % {"who": item.assigned}
    yield _(
        "The vehicle maker's service information governs; local codes and licensed practice "
        "stand above what is shown here."
    )


def _of_visits(visits: Iterable[Planned], items: Iterable[DueItem]) -> Iterable[Entry]:
    by_id = {item.recheck.pk: item for item in items}
    for visit in visits:
        found = [by_id[pk] for pk in sorted(visit.rechecks) if pk in by_id]
        yield _visit(visit, visit.vehicle, found)


def _visit(visit: Planned, vehicle: Vehicle, items: list[DueItem]) -> Entry:
    many = ngettext("%(n)d recheck", "%(n)d rechecks", len(items)) % {"n": len(items)}
    summary = _("%(unit)s: planned visit, %(many)s") % {"unit": vehicle.unit_number, "many": many}
    lines = [f"{item.what}, {item.name}" for item in items]
    if visit.people:
        lines.append(_("Made by %(who)s") % {"who": ", ".join(visit.people)})
    return Entry(
        visit.uid, visit.day, summary, "\n".join(lines), vehicle.yard.name, vehicle.unit_number,
        visit.sequence,
    )  # fmt: skip


def _written(day: date) -> str:
    return str(formats.date_format(day, "DATE_FORMAT"))
