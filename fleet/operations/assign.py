"""Work handed to people: who makes a recheck that is owed, one or many at once."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime

from django.db.models import Q
from django.utils.translation import gettext as _

from fleet.operations.actor import Actor
from fleet.operations.errors import Problem, Refused, refuse
from fleet.operations.once import Request
from fleet.operations.work import Done, Work, find, not_there, run
from fleet.records.models import Person, Recheck, TrailEntry, Vehicle

MOST = 500


@dataclass
class Handed:
    """What became of each recheck of one gesture: how many were handed over, and why not one."""

    done: int = 0
    problems: dict[int, Problem] = field(default_factory=dict)


def assign_recheck(
    actor: Actor, recheck_id: int, person_id: int | None, *, at: datetime,
    request: Request | None = None,
) -> Done[Recheck]:  # fmt: skip
    """Hand a recheck to somebody of the vehicle's yard who may inspect, or to nobody (None)."""
    actor.need("assign_work")

    def apply(work: Work) -> Recheck:
        recheck = find(Recheck, actor, recheck_id, _("recheck"))
        vehicle = work.lock(recheck.vehicle_id)
        recheck.refresh_from_db()
        if recheck.state not in Recheck.LIVE:
            raise refuse("not_owed", _("This is no longer owed."))
        _give(work, recheck, vehicle, _who(actor, vehicle, person_id))
        return recheck

    return run("assign_recheck", actor, at, apply, request)


def assign_many(
    actor: Actor, ids: Sequence[int], person_id: int | None, *, at: datetime,
    request: Request | None = None,
) -> Handed:  # fmt: skip
    """Hand many to one person, or to nobody, in one gesture.

    Those that can't be are told one by one and leave the others be. Raises Refused for none at
    all, and for more than 500.
    """
    actor.need("assign_work")
    if not ids:
        raise refuse("none_chosen", _("Choose at least one line first."), field="recheck")
    if len(ids) > MOST:
        raise refuse("too_many", _("At most %(n)s at once.") % {"n": MOST}, field="recheck")
    handed = Handed()

    def apply(work: Work) -> TrailEntry:
        rows = Recheck.visible_to(actor.person).filter(pk__in=ids)
        vehicles = work.lock_all(rows.values_list("vehicle_id", flat=True))
        found = {row.pk: row for row in rows.select_related("joint__kind")}
        if not found:
            raise not_there(_("recheck"))
        for pk in ids:
            _hand(work, handed, pk, found.get(pk), vehicles, person_id)
        return work.trail("assign_rechecks", actor.person, after={"lines": handed.done})

    if run("assign_rechecks", actor, at, apply, request).replayed:
        mine = Recheck.visible_to(actor.person).filter(pk__in=ids, assigned_to=person_id)
        handed.done = mine.count()
    return handed


def _hand(
    work: Work, handed: Handed, pk: int, row: Recheck | None, vehicles: dict[int, Vehicle],
    person_id: int | None,
) -> None:  # fmt: skip
    """One of many: handed over, or the reason why not."""
    if row is None:
        handed.problems[pk] = Problem("not_there", _("There is no such line within your yards."))
        return
    vehicle = vehicles[row.vehicle_id]
    if row.state not in Recheck.LIVE:
        handed.problems[pk] = Problem("not_owed", _("%(what)s: no longer owed.")
                                      % {"what": _said(row, vehicle)})  # fmt: skip
        return
    try:
        after = _who(work.actor, vehicle, person_id)
    except Refused as refused:
        said = {"what": _said(row, vehicle), "why": refused.problems[0].message}
        handed.problems[pk] = Problem(refused.problems[0].code, _("%(what)s: %(why)s") % said)
        return
    handed.done += 1
    _give(work, row, vehicle, after)


def _said(row: Recheck, vehicle: Vehicle) -> str:
    what = row.joint.name if row.joint else row.get_kind_display()
    return f"{vehicle.unit_number}, {what}"


def _give(work: Work, recheck: Recheck, vehicle: Vehicle, person_id: int | None) -> None:
    before = recheck.assigned_to_id
    if before != person_id:
        recheck.assigned_to_id = person_id
        recheck.save(update_fields=["assigned_to"])
        work.trail("assign_recheck", recheck, vehicle=vehicle, before={"person": before},
                   after={"person": person_id})  # fmt: skip


def leave_behind(work: Work, vehicle: Vehicle) -> None:
    """A vehicle that has moved to another yard: whoever is not of that yard makes it no more."""
    live = Recheck.objects.filter(vehicle=vehicle, state__in=Recheck.LIVE)
    strangers = live.exclude(assigned_to=None).exclude(assigned_to__all_yards=True)
    for recheck in strangers.exclude(assigned_to__postings__yard=vehicle.yard_id):
        _give(work, recheck, vehicle, None)


def _who(actor: Actor, vehicle: Vehicle, person_id: int | None) -> int | None:
    if person_id is None:
        return None
    of_yard = Q(all_yards=True) | Q(postings__yard=vehicle.yard_id)
    person = Person.visible_to(actor.person).filter(of_yard, pk=person_id, is_active=True).first()
    if person is None or not person.may("inspect"):
        message = _("Choose somebody of this vehicle's yard who makes inspections.")
        raise refuse("person_wrong", message, field="assigned_to")
    return int(person.pk)
