"""State rebuilt from the facts: use of the meters, projected dates, states of the joints,
and whether each is fitted.

Keeping and rebuilding are the same functions, so this is for proof, and for mending what was put
into the database by hand.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import models, transaction

from fleet.operations import projection, state, use
from fleet.operations.actor import Actor
from fleet.operations.work import Work
from fleet.records.models import Joint, JointState, Recheck, Vehicle, VehicleUse

CHUNK = 50


@dataclass(frozen=True, slots=True)
class Difference:
    """One column of one state that is not what the facts say."""

    vehicle: str
    what: str
    column: str
    kept: Any
    rebuilt: Any

    def __str__(self) -> str:
        where = f"{self.vehicle}, {self.what}: {self.column}"
        return f"{where} is {self.kept}, should be {self.rebuilt}"


def differences() -> Iterator[Difference]:
    """Every difference between what is kept and what the facts say; writes nothing."""
    for vehicles in _chunks():
        uses = use.work_out(vehicles)
        yield from _of_use(vehicles, uses)
        yield from _of_rechecks(vehicles, {row.vehicle_id: row for row in uses})
        yield from _of_joints(vehicles)


def rebuild(actor: Actor, *, at: datetime) -> int:
    """Write all state again; returns how many vehicles it was done for."""
    done = 0
    for vehicles in _chunks():
        with transaction.atomic(durable=True):
            locked = Work(actor, at).lock_all(vehicle.pk for vehicle in vehicles)
            use.refresh_all(locked.values(), at)
            joints = Joint.objects.filter(vehicle__in=locked)
            joint_ids = list(joints.values_list("pk", flat=True))
            state.refresh_fitted(joint_ids)
            state.refresh(joint_ids)
        done += len(locked)
    return done


def _chunks() -> Iterator[list[Vehicle]]:
    ids = list(Vehicle.objects.order_by("pk").values_list("pk", flat=True))
    rows = Vehicle.objects.select_related("yard").order_by("pk")
    for start in range(0, len(ids), CHUNK):
        yield list(rows.filter(pk__in=ids[start : start + CHUNK]))


def _of_use(vehicles: list[Vehicle], uses: list[VehicleUse]) -> Iterator[Difference]:
    kept = {row.vehicle_id: row for row in VehicleUse.objects.filter(vehicle__in=vehicles)}
    for vehicle, rebuilt in zip(vehicles, uses, strict=True):
        if vehicle.pk in kept:
            yield from _compared(
                vehicle.unit_number, "meter", use.FIELDS, kept[vehicle.pk], rebuilt
            )
        elif rebuilt.last_at is not None:
            yield Difference(vehicle.unit_number, "meter", "state", None, "a state")


def _of_rechecks(vehicles: list[Vehicle], uses: dict[int, VehicleUse]) -> Iterator[Difference]:
    by_id = {vehicle.pk: vehicle for vehicle in vehicles}
    live = Recheck.objects.filter(vehicle__in=vehicles, state__in=Recheck.LIVE)
    for kept, rebuilt in zip(live.order_by("pk"), live.order_by("pk"), strict=True):
        vehicle = by_id[kept.vehicle_id]
        projection.place(rebuilt, vehicle, uses[vehicle.pk])
        what = f"recheck {kept.pk}"
        yield from _compared(vehicle.unit_number, what, projection.FIELDS, kept, rebuilt)


def _of_joints(vehicles: list[Vehicle]) -> Iterator[Difference]:
    joints = Joint.objects.filter(vehicle__in=vehicles).select_related("vehicle", "kind")
    by_id = {joint.pk: joint for joint in joints}
    yield from _of_fitted(by_id)
    kept = {row.joint_id: row for row in JointState.objects.filter(joint__in=by_id)}
    for rebuilt in state.work_out(list(by_id)):
        joint = by_id[rebuilt.joint_id]
        if joint.pk in kept:
            yield from _compared(
                joint.vehicle.unit_number, joint.name, state.FIELDS, kept[joint.pk], rebuilt
            )
        else:
            yield Difference(joint.vehicle.unit_number, joint.name, "state", None, "a state")


def _of_fitted(by_id: dict[int, Joint]) -> Iterator[Difference]:
    for pk, fitted in state.fitted_now(list(by_id)).items():
        joint = by_id[pk]
        if joint.fitted != fitted:
            where = (joint.vehicle.unit_number, joint.name, "fitted")
            yield Difference(*where, joint.fitted, fitted)


def _compared(
    vehicle: str, what: str, names: Iterable[str], kept: models.Model, rebuilt: models.Model
) -> Iterator[Difference]:
    for name in names:
        column = kept._meta.get_field(name).attname  # type: ignore[union-attr]  # a column
        one, other = getattr(kept, column), getattr(rebuilt, column)
        if one != other:
            yield Difference(vehicle, what, name, one, other)
