"""Vehicles: taken into the fleet with their joints, changed, laid up, brought back, let go."""

from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _

from fleet.operations import assign, fittings, new_vehicles, use
from fleet.operations.actor import Actor
from fleet.operations.errors import Refused, refuse
from fleet.operations.new_joints import make_joints_of
from fleet.operations.once import Request
from fleet.operations.vehicle_rules import (
    CHANGEABLE,
    NewVehicle,
    OnFile,
    build,
    clean,
    derived,
    link_problems,
    vin_problems,
    vins_like,
    wrong,
)
from fleet.operations.work import Done, Work, run, same_version
from fleet.reads.due import LEGAL
from fleet.records.models import Joint, Recheck, Vehicle


def add_vehicle(
    actor: Actor, new: NewVehicle, *, at: datetime, request: Request | None = None
) -> Done[Vehicle]:
    """Take a vehicle into the fleet: its joints come from its design's layout."""
    actor.need("edit_vehicles")
    return run("add_vehicle", actor, at, lambda work: _add(work, new), request)


def _add(work: Work, new: NewVehicle) -> Vehicle:
    built = build(new, OnFile.of(work.actor, new))
    [vehicle] = new_vehicles.store(work, new_vehicles.make_ready(work, [built], [new.meter]))
    return vehicle


def make_joints(vehicle: Vehicle) -> list[Joint]:
    """The joints of a vehicle's layout, with an empty state each."""
    make_joints_of([vehicle])
    return list(vehicle.joints.all())


def change_vehicle(
    actor: Actor, vehicle_id: int, changes: dict[str, Any], *, at: datetime,
    expected_version: int | None = None, reason: str = "", request: Request | None = None,
) -> Done[Vehicle]:  # fmt: skip
    """Change what may be changed; before and after stand in the trail."""
    actor.need("edit_vehicles")

    def apply(work: Work) -> Vehicle:
        vehicle = work.lock(vehicle_id)
        # The lock itself moved the version by one.
        same_version(vehicle, None if expected_version is None else expected_version + 1)
        unknown = set(changes) - CHANGEABLE
        found = [wrong(name, _("This can't be changed.")) for name in sorted(unknown)]
        vin = changes.get("vin", "")
        found += vin_problems(vin, vins_like(vin), vehicle.pk)
        found += link_problems(changes)
        if found:
            raise Refused(tuple(found))
        before = {name: getattr(vehicle, name) for name in changes}
        new = {**changes, **derived(changes)}
        for name, given in new.items():
            setattr(vehicle, name, given)
        clean(vehicle)
        vehicle.save(update_fields=[name.removesuffix("_id") for name in new])
        if (
            "yard_id" in changes
            and not Vehicle.visible_to(actor.person).filter(pk=vehicle.pk).exists()
        ):
            raise refuse("yard_wrong", _("Choose one of your yards."), field="yard")
        if "yard_id" in changes:
            _moved_yards(work, vehicle)
        work.trail("change_vehicle", vehicle, vehicle=vehicle, before=_plain(before),
                   after=_plain(changes), reason=reason)  # fmt: skip
        return vehicle

    return run("change_vehicle", actor, at, apply, request)


def _moved_yards(work: Work, vehicle: Vehicle) -> None:
    """What is owed goes along: its days are the new yard's, and so is who makes it."""
    vehicle.refresh_from_db(fields=["yard"])
    assign.leave_behind(work, vehicle)
    use.refresh(vehicle, work.at)


def _plain(values: dict[str, Any]) -> dict[str, Any]:
    simple = (str, int, float, bool, type(None))
    return {name: v if isinstance(v, simple) else str(v) for name, v in values.items()}


def lay_up(
    actor: Actor, vehicle_id: int, reason: str, *, at: datetime, request: Request | None = None
) -> Done[Vehicle]:
    """Park a vehicle for parts or season."""
    actor.need("assign_work")

    def apply(work: Work) -> Vehicle:
        vehicle = work.lock(vehicle_id)
        if vehicle.status != Vehicle.Status.IN_SERVICE:
            raise refuse("status_wrong", _("Only a vehicle in service is laid up."))
        _status(vehicle, Vehicle.Status.LAID_UP, laid_up_on=_today(work, vehicle))
        work.trail("lay_up", vehicle, vehicle=vehicle, reason=reason)
        return vehicle

    return run("lay_up", actor, at, apply, request)


def bring_back(
    actor: Actor, vehicle_id: int, *, at: datetime, request: Request | None = None
) -> Done[Vehicle]:
    """Put a laid-up vehicle back in service: its retorque days stood still, legal ones not."""
    actor.need("assign_work")

    def apply(work: Work) -> Vehicle:
        vehicle = work.lock(vehicle_id)
        if vehicle.status != Vehicle.Status.LAID_UP or vehicle.laid_up_on is None:
            raise refuse("status_wrong", _("This vehicle is not laid up."))
        fittings.refuse_half_done(vehicle)
        today = _today(work, vehicle)
        days = today - vehicle.laid_up_on
        live = Recheck.objects.filter(vehicle=vehicle, state__in=Recheck.LIVE)
        for recheck in live.exclude(kind__in=LEGAL):
            _stood_still(recheck, vehicle, today)
        _nothing_due(live, today)
        _status(vehicle, Vehicle.Status.IN_SERVICE, laid_up_on=None)
        use.refresh(vehicle, work.at)
        work.trail("bring_back", vehicle, vehicle=vehicle, after={"days": days.days})
        return vehicle

    return run("bring_back", actor, at, apply, request)


def _stood_still(recheck: Recheck, vehicle: Vehicle, today: date) -> None:
    """Its days did not run while the vehicle was laid up: start and end move on alike."""
    began = recheck.started_at.astimezone(ZoneInfo(vehicle.yard.time_zone)).date()
    days = today - max(began, vehicle.laid_up_on or today)
    if recheck.due_on is not None and days > timedelta(0):
        recheck.due_on += days
        recheck.started_at += days
        recheck.save(update_fields=["due_on", "started_at"])


def _nothing_due(live: QuerySet[Recheck], today: date) -> None:
    """All due work is done before it goes out."""
    due = live.filter(Q(state=Recheck.State.MISSED) | Q(due_on__lte=today))
    names = [
        f"{one.get_kind_display()}: {one.joint.name}" if one.joint else one.get_kind_display()
        for one in due.select_related("joint__kind")
    ]
    if names:
        message = _("Due work is done before it goes out: %(work)s.") % {"work": "; ".join(names)}
        raise refuse("work_due", message)


def let_go(
    actor: Actor, vehicle_id: int, reason: str, *, at: datetime, request: Request | None = None
) -> Done[Vehicle]:
    """The vehicle leaves the fleet; its history stays."""
    actor.need("edit_vehicles")

    def apply(work: Work) -> Vehicle:
        vehicle = work.lock(vehicle_id)
        if vehicle.status == Vehicle.Status.OUT:
            raise refuse("status_wrong", _("This vehicle has left the fleet."))
        _status(vehicle, Vehicle.Status.OUT, left_fleet_on=_today(work, vehicle), laid_up_on=None)
        work.trail("let_go", vehicle, vehicle=vehicle, reason=reason)
        return vehicle

    return run("let_go", actor, at, apply, request)


def _status(vehicle: Vehicle, to: str, **columns: Any) -> None:
    Vehicle.objects.filter(pk=vehicle.pk).update(status=to, **columns)
    vehicle.refresh_from_db()


def _today(work: Work, vehicle: Vehicle) -> date:
    return work.at.astimezone(ZoneInfo(vehicle.yard.time_zone)).date()


__all__ = [
    "NewVehicle",
    "add_vehicle",
    "bring_back",
    "change_vehicle",
    "lay_up",
    "let_go",
]
