"""What is paid or no longer owed leaves the plan by itself."""

from collections.abc import Iterable
from typing import Any

from django.db import models
from django.db.models import F

from fleet.operations.work import Work
from fleet.reads.days import today_at
from fleet.reads.plan.minutes import Minutes
from fleet.records.models import Recheck, Vehicle, Visit, VisitPerson, VisitWork

PLANNED, DONE, CANCELLED = Visit.State.PLANNED, Visit.State.DONE, Visit.State.CANCELLED


def left_the_plan(work: Work, vehicle: Vehicle, rechecks: Iterable[Recheck]) -> None:
    """Take rechecks that are over out of their visits, inside the transaction that ended them.

    A visit with nothing left to do is done where its day has come, and is taken out where not.
    Only one query where none of them is planned.
    """
    over = [row.pk for row in rechecks if row.pk and row.state not in Recheck.LIVE]
    if over:
        _leave(work, vehicle, VisitWork.objects.filter(recheck__in=over, live=True))


def ticket_left_the_plan(work: Work, vehicle: Vehicle, ticket_id: int) -> None:
    """The same for a ticket that was closed or cancelled."""
    _leave(work, vehicle, VisitWork.objects.filter(ticket=ticket_id, live=True))


def _leave(work: Work, vehicle: Vehicle, rows: "models.QuerySet[VisitWork]") -> None:
    found = list(rows.values_list("pk", "visit"))
    if not found:
        return
    VisitWork.objects.filter(pk__in=[pk for pk, _visit in found]).update(live=False)
    set_up = Minutes.now().set_up
    for visit in Visit.objects.filter(pk__in={visit for _pk, visit in found}, state=PLANNED):
        _less(work, vehicle, visit, set_up)


def _less(work: Work, vehicle: Vehicle, visit: Visit, set_up: int) -> None:
    left = list(VisitWork.objects.filter(visit=visit, live=True).values_list("minutes", "hands"))
    before: dict[str, Any] = {"state": visit.state}
    columns: dict[str, Any] = {}
    if left:
        minutes = set_up + sum(one for one, _hands in left)
        pair = sum(one for one, hands in left if hands > 1)
        columns["minutes"] = minutes
        named = VisitPerson.objects.filter(visit=visit).order_by("-minutes", "pk")
        for place, person in enumerate(named):
            VisitPerson.objects.filter(pk=person.pk).update(minutes=pair if place else minutes)
    else:
        come = visit.day <= today_at(vehicle.yard, work.at)
        columns["state"] = DONE if come else CANCELLED
        columns["moved_from"] = None
    changed = {"version": F("version") + 1, "sequence": F("sequence") + 1, "changed_at": work.at}
    Visit.objects.filter(pk=visit.pk).update(**columns, **changed)
    after = {name: value for name, value in columns.items() if name != "moved_from"}
    verb = "visit_less" if left else "visit_over"
    work.trail(verb, visit, vehicle=vehicle, before={} if left else before, after=after)
