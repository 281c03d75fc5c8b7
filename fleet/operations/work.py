"""The frame of every verb: one durable transaction that holds the change, its trail entry,
its stored request and the notice of it.

Two layers a verb: `_apply(work, ...)` needs an open transaction and can be composed (the
importer and the demo do), the public verb is `run` around it.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any, Generic, TypeVar
from uuid import UUID

from django.apps import apps
from django.db import models, transaction
from django.db.models import F
from django.dispatch import Signal
from django.utils.translation import gettext as _

from fleet.operations.actor import Actor
from fleet.operations.errors import Conflict, NotThere, Problem, refuse
from fleet.operations.insert import insert_written, written
from fleet.operations.moves import changed_under_you
from fleet.operations.once import Request, claim
from fleet.records.base import Record, new_uid
from fleet.records.models import Outbox, Person, StoredRequest, TrailEntry, Vehicle

Row = TypeVar("Row", bound=models.Model)
Scoped = TypeVar("Scoped", bound=Record)

# A client's clock may run ahead of the server's by so much (own); more is a date typed wrong.
AHEAD = timedelta(minutes=5)
MOST_REASON = 300
MOST_AT_ONCE = 5_000
TRAIL_COLUMNS = [field.name for field in TrailEntry._meta.concrete_fields if field.name != "id"]

# For `tell=`: what other programs hear of (events.py).
EVENTS = ("events",)

# Sent after a commit that left notices in the outbox; fleet.tasks listens when there is a broker.
notices_waiting = Signal()


@dataclass(frozen=True)
class Done(Generic[Row]):
    """What came of a verb: the row it made or changed, and whether it was done before."""

    row: Row
    replayed: bool = False


@dataclass
class Work:
    """One gesture of one actor at one moment. `at` is the server's moment, given by the door."""

    actor: Actor
    at: datetime
    gesture: UUID = field(default_factory=new_uid)

    def lock(self, vehicle_id: int) -> Vehicle:
        """Move the vehicle's version first: the one lock that orders what happens to it.

        Works alike on both databases; raises NotThere outside the actor's scope.
        """
        visible = Vehicle.visible_to(self.actor.person).filter(pk=vehicle_id)
        if visible.update(version=F("version") + 1) != 1:
            raise not_there(_("vehicle"))
        return Vehicle.objects.select_related("design__linkage", "yard", "use").get(pk=vehicle_id)

    def lock_all(self, vehicle_ids: Iterable[int]) -> dict[int, Vehicle]:
        """The same for many at once; those outside the actor's scope are left out.

        Locked in the order of their ids, so that two that want the same can't wait for each other.
        """
        visible = Vehicle.visible_to(self.actor.person).filter(pk__in=set(vehicle_ids))
        found = list(visible.order_by("pk").select_for_update().values_list("pk", flat=True))
        Vehicle.objects.filter(pk__in=found).update(version=F("version") + 1)
        return Vehicle.objects.select_related("design", "yard", "use").in_bulk(found)

    def lock_versions(self, vehicle_ids: Iterable[int]) -> dict[int, int]:
        """Lock like `lock_all` and tell only the version that each had: whoever read a vehicle
        before knows by it whether anything has happened to the vehicle since."""
        wanted = sorted(set(vehicle_ids))
        found: dict[int, int] = {}
        for start in range(0, len(wanted), MOST_AT_ONCE):
            ids = wanted[start : start + MOST_AT_ONCE]
            visible = Vehicle.visible_to(self.actor.person).filter(pk__in=ids).order_by("pk")
            here = dict(visible.select_for_update().values_list("pk", "version"))
            Vehicle.objects.filter(pk__in=here).update(version=F("version") + 1)
            found |= here
        return found

    def moment(self, occurred_at: datetime | None) -> datetime:
        """When it happened: now unless said, and never in the future."""
        if occurred_at is not None and occurred_at > self.at + AHEAD:
            message = _("This lies in the future. Type when it happened.")
            raise refuse("in_the_future", message, field="occurred_at")
        return min(occurred_at or self.at, self.at)

    def fact(self, occurred_at: datetime | None, uid: UUID | None = None) -> dict[str, Any]:
        """The columns that every fact carries."""
        return {
            "uid": uid or new_uid(),
            "occurred_at": self.moment(occurred_at),
            "received_at": self.at,
            "tablet": self.actor.tablet,
            "by": self.actor.person,
        }

    def entry(self, verb: str, row: models.Model, **what: Any) -> TrailEntry:
        """A trail entry, not saved."""
        return TrailEntry(**self._columns(verb, row, **what))

    def _columns(
        self,
        verb: str,
        row: models.Model,
        *,
        vehicle: Vehicle | None = None,
        before: dict[str, Any] | None = None,
        after: dict[str, Any] | None = None,
        reason: str = "",
    ) -> dict[str, Any]:
        return {
            "uid": new_uid(),
            "gesture": self.gesture,
            "at": self.at,
            "received_at": self.at,
            "actor_id": self.actor.person.pk,
            "tablet_id": self.actor.tablet.pk if self.actor.tablet else None,
            "door": self.actor.door,
            "verb": verb,
            "subject": row._meta.model_name or "",
            "subject_id": row.pk,
            "vehicle_id": vehicle.pk if vehicle else None,
            "yard_id": vehicle.yard_id if vehicle else getattr(row, "yard_id", None),
            "before": before or {},
            "after": after or {},
            "reason": reason,
        }

    def trail(
        self, verb: str, row: models.Model, *, tell: tuple[str, ...] = (), **what: Any
    ) -> TrailEntry:
        """Write the trail entry (see `entry`), and a notice for each consumer in `tell`."""
        entry = self.entry(verb, row, **what)
        entry.save(force_insert=True)
        self._tell([entry], tell)
        return entry

    def _tell(self, entries: Iterable[TrailEntry], tell: tuple[str, ...]) -> None:
        notices = [Outbox(trail=entry, consumer=c, vehicle_id=entry.vehicle_id)
                   for entry in entries for c in tell]  # fmt: skip
        if notices:
            Outbox.objects.bulk_create(notices)
            transaction.on_commit(lambda: notices_waiting.send(Work), robust=True)

    def tell_written(self, verb: str, rows: Sequence[models.Model], tell: tuple[str, ...]) -> None:
        """A notice for each entry of this gesture that `trail_written` wrote of these rows."""
        subject = rows[0]._meta.model_name if rows else ""
        entries = TrailEntry.objects.filter(
            subject=subject,
            subject_id__in=[row.pk for row in rows],
            gesture=self.gesture,
            verb=verb,
        )
        self._tell(entries, tell)

    def entry_written(self, verb: str, row: models.Model, **what: Any) -> list[Any]:
        """An entry as the database takes it, made ready before a transaction."""
        columns = self._columns(verb, row, **what)
        [ready] = written(TrailEntry, TRAIL_COLUMNS, [[columns[name] for name in TRAIL_COLUMNS]])
        return list(ready)

    def trail_written(self, rows: Iterable[Sequence[Any]]) -> None:
        """Write entries that `entry_written` has made ready."""
        insert_written(TrailEntry, TRAIL_COLUMNS, rows)


def run(
    verb: str,
    actor: Actor,
    at: datetime,
    apply: Callable[[Work], Row],
    request: Request | None = None,
) -> Done[Row]:
    """Do `apply` in one durable transaction, once for each request key."""
    with transaction.atomic(durable=True):
        if request is None:
            return Done(apply(Work(actor, at)))
        stored, replayed = claim(actor.person, verb, request)
        if replayed:
            model: type[Row] = apps.get_model("records", stored.result["model"])
            return Done(model._default_manager.get(pk=stored.result["id"]), replayed=True)
        row = apply(Work(actor, at))
        stored.result = {"model": row._meta.model_name, "id": row.pk}
        stored.save(update_fields=["result"])
        return Done(row)


def done_before(person: Person, request: Request) -> models.Model | None:
    """The row of a request that was done, if it was; asked where what it names may be gone by now.

    The key must be one that nobody but this request has.
    """
    stored = StoredRequest.objects.filter(person=person, key=request.key).first()
    if stored is None or not stored.result:
        return None
    model: type[models.Model] = apps.get_model("records", stored.result["model"])
    return model._default_manager.get(pk=stored.result["id"])


def not_there(what: str) -> NotThere:
    message = _("There is no such %(what)s within your yards.") % {"what": what}
    return NotThere((Problem("not_there", message),))


def find(model: type[Scoped], actor: Actor, pk: int | None, what: str) -> Scoped:
    """A row within the actor's scope, or NotThere."""
    row = model.visible_to(actor.person).filter(pk=pk).first()
    if row is None:
        raise not_there(what)
    return row


def same_version(row: Any, expected: int | None) -> None:
    """Under the lock: is the row still the one that the caller read? Raises Conflict."""
    if expected is not None and row.version != expected:
        raise changed_under_you(str(row))


__all__ = ["Conflict", "Done", "Work", "find", "not_there", "notices_waiting", "run"]
