"""Events for other programs: worded once from the trail, and owed to every address that wants it.

The verb writes a notice beside its trail entry (`tell=EVENTS`); the worker makes the event of it
and a delivery for each address, and deletes the notice, in one transaction.
"""

import json
from collections.abc import Callable, Iterable
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction

from fleet.operations.actor import Actor
from fleet.operations.deliver import lease
from fleet.operations.work import EVENTS
from fleet.records.base import new_uid
from fleet.records.models import (
    Delivery,
    Event,
    EventKind,
    Hold,
    Outbox,
    Pattern,
    Recheck,
    TrailEntry,
    Webhook,
)

[CONSUMER] = EVENTS
BATCH = 200
# Events may be sent again for so long.
KEPT_FOR = timedelta(days=90)
# The shape of `data`; it grows by new names only.
VERSION = 1

KINDS: dict[str, EventKind] = {
    "place_hold": EventKind.HELD,
    "hold_again": EventKind.HELD,
    "read_over_lapsed": EventKind.HELD,
    "lift_hold": EventKind.LIFTED,
    "miss_recheck": EventKind.MISSED,
    "open_pattern": EventKind.PATTERN,
    "add_evidence": EventKind.PATTERN,
    "answer_pattern": EventKind.PATTERN,
}


def publish(actor: Actor, *, at: datetime, most: int = BATCH) -> int:
    """Make events of the notices that wait; returns how many were worked off."""
    taken = lease(CONSUMER, at, most)
    if not taken:
        return 0
    with transaction.atomic(durable=True):
        # A worker whose lease ran out may have been here before.
        entries = TrailEntry.objects.filter(pk__in=[row.trail_id for row in taken], event=None)
        rows = [_event(entry) for entry in entries.order_by("id") if entry.verb in KINDS]
        made = Event.objects.bulk_create([row for row in rows if row is not None])
        owe(made, list(Webhook.objects.filter(is_on=True)), at)
        Outbox.objects.filter(pk__in=[row.pk for row in taken]).delete()
    return len(taken)


def owe(events: Iterable[Event], webhooks: Iterable[Webhook], at: datetime) -> None:
    """A delivery of each event to each address that wants its kind and its yard."""
    to = list(webhooks)
    Delivery.objects.bulk_create(
        [Delivery(webhook=webhook, event=event, next_at=at)
         for event in events for webhook in to if wants(webhook, event)],
        ignore_conflicts=True,
    )  # fmt: skip


def wants(webhook: Webhook, event: Event) -> bool:
    here = webhook.yard_id is None or webhook.yard_id == event.yard_id
    return here and event.kind in webhook.events


def _event(entry: TrailEntry) -> Event | None:
    kind = KINDS[entry.verb]
    found = _DATA[kind](entry.subject_id)
    if found is None:
        return None
    row = Event(uid=new_uid(), kind=kind, at=entry.at, yard_id=entry.yard_id, trail=entry)
    row.body = worded(row, found)
    return row


def worded(event: Event, data: dict[str, Any]) -> str:
    """The body as it is signed and sent, the same at every try."""
    said = {
        "id": event.message_id, "type": str(event.kind), "timestamp": _moment(event.at),
        "version": VERSION, "data": data,
    }  # fmt: skip
    return json.dumps(said, separators=(",", ":"), ensure_ascii=False)


def _hold(pk: int) -> dict[str, Any] | None:
    row = Hold.objects.select_related("vehicle__yard", "joint__kind").filter(pk=pk).first()
    if row is None:
        return None
    open_now = Hold.objects.filter(vehicle=row.vehicle_id, lifted_at=None).count()
    return {
        **_vehicle(row.vehicle),
        "hold": {
            "id": row.pk, "uid": str(row.uid), "reason": row.reason, "text": row.text,
            "joint": _joint(row.joint), "placed_at": _moment(row.placed_at),
            "lifted_at": _moment(row.lifted_at),
        },
        # As it stood when the event was made: the record says how it stands now.
        "holds_open": open_now,
    }  # fmt: skip


def _recheck(pk: int) -> dict[str, Any] | None:
    row = Recheck.objects.select_related("vehicle__yard", "joint__kind").filter(pk=pk).first()
    if row is None:
        return None
    return {
        **_vehicle(row.vehicle),
        "recheck": {
            "id": row.pk, "uid": str(row.uid), "kind": row.kind, "joint": _joint(row.joint),
            "due_on": row.due_on and row.due_on.isoformat(),
            "fell_due_at": _moment(row.fell_due_at),
        },
    }  # fmt: skip


def _pattern(pk: int) -> dict[str, Any] | None:
    rows = Pattern.objects.select_related("vehicle__yard", "joint__kind", "yard")
    row = rows.filter(pk=pk).first()
    if row is None:
        return None
    vehicle = _vehicle(row.vehicle) if row.vehicle else {"vehicle": None}
    return {
        **vehicle,
        "yard": row.yard and row.yard.slug,
        "pattern": {
            "id": row.pk, "uid": str(row.uid), "kind": row.kind, "joint": _joint(row.joint),
            "opened_at": _moment(row.opened_at),
        },
    }  # fmt: skip


def _vehicle(vehicle: Any) -> dict[str, Any]:
    return {"vehicle": vehicle.unit_number, "yard": vehicle.yard.slug}


def _joint(joint: Any) -> dict[str, Any] | None:
    return joint and {"id": joint.pk, "kind": joint.kind.code, "side": joint.side}


def _moment(at: datetime | None) -> str | None:
    return at.isoformat().replace("+00:00", "Z") if at else None


_DATA: dict[EventKind, Callable[[int], dict[str, Any] | None]] = {
    EventKind.HELD: _hold,
    EventKind.LIFTED: _hold,
    EventKind.MISSED: _recheck,
    EventKind.PATTERN: _pattern,
}


def forget_old(*, at: datetime) -> int:
    """What happened long ago is not replayed any more; the record itself keeps it."""
    old = at - KEPT_FOR
    with transaction.atomic(durable=True):
        Delivery.objects.filter(event__at__lt=old).exclude(state=Delivery.State.WAITING).delete()
        gone = Event.objects.filter(at__lt=old, deliveries=None)
        return gone.delete()[0]
