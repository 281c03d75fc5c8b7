"""Work handed to people: who makes a recheck that is owed."""

from datetime import datetime

from django.db.models import Q
from django.utils.translation import gettext as _

from fleet.operations.actor import Actor
from fleet.operations.errors import refuse
from fleet.operations.once import Request
from fleet.operations.work import Done, Work, find, run
from fleet.records.models import Person, Recheck, Vehicle


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
        before, after = recheck.assigned_to_id, _who(actor, vehicle, person_id)
        if before != after:
            recheck.assigned_to_id = after
            recheck.save(update_fields=["assigned_to"])
            work.trail("assign_recheck", recheck, vehicle=vehicle, before={"person": before},
                       after={"person": after})  # fmt: skip
        return recheck

    return run("assign_recheck", actor, at, apply, request)


def _who(actor: Actor, vehicle: Vehicle, person_id: int | None) -> int | None:
    if person_id is None:
        return None
    of_yard = Q(all_yards=True) | Q(postings__yard=vehicle.yard_id)
    person = Person.visible_to(actor.person).filter(of_yard, pk=person_id, is_active=True).first()
    if person is None or not person.may("inspect"):
        message = _("Choose somebody of this vehicle's yard who makes inspections.")
        raise refuse("person_wrong", message, field="assigned_to")
    return int(person.pk)
