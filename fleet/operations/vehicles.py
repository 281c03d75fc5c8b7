"""Vehicles: taken into the fleet with their joints, changed, laid up, brought back, let go."""

from collections.abc import Iterator, Sequence
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _

from fleet.operations import fittings, rechecks, use
from fleet.operations.actor import Actor
from fleet.operations.errors import Refused, refuse
from fleet.operations.insert import insert
from fleet.operations.many_readings import Row, take_many
from fleet.operations.meters import Reading
from fleet.operations.once import Request
from fleet.operations.vehicle_rules import (
    CHANGEABLE,
    NewVehicle,
    OnFile,
    build,
    clean,
    vin_columns,
    vin_problems,
    vins_like,
    wrong,
)
from fleet.operations.work import Done, Work, run, same_version
from fleet.reads.due import LEGAL
from fleet.reads.rules import rules
from fleet.records.models import (
    Design,
    Joint,
    JointState,
    Layout,
    LayoutJoint,
    Mark,
    Recheck,
    Vehicle,
    VehicleUse,
)

BATCH = 500


def add_vehicle(
    actor: Actor, new: NewVehicle, *, at: datetime, request: Request | None = None
) -> Done[Vehicle]:
    """Take a vehicle into the fleet: its joints come from its design's layout."""
    actor.need("edit_vehicles")
    return run("add_vehicle", actor, at, lambda work: _add(work, new), request)


def _add(work: Work, new: NewVehicle) -> Vehicle:
    return add_all(work, [build(new, OnFile.of(work.actor, new))], [new.meter])[0]


def add_all(work: Work, built: Sequence[Vehicle], meters: Sequence[str]) -> list[Vehicle]:
    """Store vehicles that `build` has let pass, with all that belongs to them, each with what
    its meter says (or nothing), inside an open transaction."""
    Vehicle.objects.bulk_create(built, batch_size=BATCH)
    rows = Vehicle.objects.select_related("design", "yard")
    by_pk = {pk: v for ids in _chunks([v.pk for v in built]) for pk, v in rows.in_bulk(ids).items()}
    vehicles = [by_pk[vehicle.pk] for vehicle in built]
    make_joints_of(vehicles)
    pairs = zip(vehicles, meters, strict=True)
    typed = [Row(Reading(vehicle.pk, meter)) for vehicle, meter in pairs if meter.strip()]
    tally = take_many(work, typed, store=True)
    if tally.problem_count:
        raise Refused(tuple(problem for _index, problem in tally.problems))
    read = {row.reading.vehicle_id for row in typed}
    use.refresh_all((vehicle for vehicle in vehicles if vehicle.pk not in read), work.at)
    for ids in _chunks([vehicle.pk for vehicle in vehicles]):
        _start(work, [by_pk[pk] for pk in ids])
    return vehicles


def _start(work: Work, vehicles: list[Vehicle]) -> None:
    """What a vehicle owes from its first day, and its entry in the trail."""
    uses = VehicleUse.objects.filter(vehicle__in=vehicles)
    by_vehicle = {row.vehicle_id: row for row in uses}
    rechecks.start_routine(work, vehicles, rules("routine"), by_vehicle)
    work.trail_all(
        work.entry("add_vehicle", vehicle, vehicle=vehicle, after={"unit": vehicle.unit_number})
        for vehicle in vehicles
    )


def _chunks(ids: list[int]) -> Iterator[list[int]]:
    for start in range(0, len(ids), BATCH):
        yield ids[start : start + BATCH]


def make_joints(vehicle: Vehicle) -> list[Joint]:
    """The joints of a vehicle's layout, with an empty state each."""
    make_joints_of([vehicle])
    return list(vehicle.joints.all())


def make_joints_of(vehicles: Sequence[Vehicle]) -> None:
    """The joints of many vehicles' layouts, with an empty state each."""
    places: dict[int, list[LayoutJoint]] = {}
    for vehicle in vehicles:
        if vehicle.design_id not in places:
            places[vehicle.design_id] = list(_places(vehicle.design))
    insert(
        Joint, ("vehicle", "place", "kind", "side", "order", "fitted"),
        (
            (vehicle.pk, place.pk, place.kind_id, place.side, place.order, str(Joint.Fitted.FITTED))
            for vehicle in vehicles
            for place in places[vehicle.design_id]
        ),
    )  # fmt: skip
    for ids in _chunks([vehicle.pk for vehicle in vehicles]):
        joints = Joint.objects.filter(vehicle__in=ids).order_by("vehicle", "id")
        rows = ((pk, str(Mark.UNKNOWN), 0) for pk in list(joints.values_list("pk", flat=True)))
        insert(JointState, ("joint", "mark", "loosenings"), rows)


def _places(design: Design) -> QuerySet[LayoutJoint]:
    layouts = [design.axle_id, design.linkage_id, design.knuckle_id, design.hub_id]
    rows: QuerySet[LayoutJoint] = LayoutJoint.objects.filter(
        Q(layout__in=layouts) | Q(layout__axis=Layout.Axis.COMMON)
    )
    return rows


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
        if found:
            raise Refused(tuple(found))
        before = {name: getattr(vehicle, name) for name in changes}
        new = {**changes, **(vin_columns(vin) if "vin" in changes else {})}
        for name, given in new.items():
            setattr(vehicle, name, given)
        clean(vehicle)
        vehicle.save(update_fields=[name.removesuffix("_id") for name in new])
        if (
            "yard_id" in changes
            and not Vehicle.visible_to(actor.person).filter(pk=vehicle.pk).exists()
        ):
            raise refuse("yard_wrong", _("Choose one of your yards."), field="yard")
        work.trail("change_vehicle", vehicle, vehicle=vehicle, before=_plain(before),
                   after=_plain(changes), reason=reason)  # fmt: skip
        return vehicle

    return run("change_vehicle", actor, at, apply, request)


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
    "add_all",
    "add_vehicle",
    "bring_back",
    "change_vehicle",
    "lay_up",
    "let_go",
]
