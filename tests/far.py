"""Tablets and what came of them, as rows."""

from datetime import datetime
from typing import Any

from fleet.records.base import new_uid
from fleet.records.models import (
    EnrolmentCode,
    Person,
    ReadOver,
    Tablet,
    TabletKey,
    TabletOperation,
    Ticket,
    Yard,
)
from tests.build import NOW


def tablet(yard: Yard, name: str = "Bay 1", **extra: Any) -> Tablet:
    values = {"token_hash": "0" * 64, "data_key": b"d" * 32}
    return Tablet.objects.create(yard=yard, name=name, **{**values, **extra})


def code(yard: Yard, by: Person, **extra: Any) -> EnrolmentCode:
    values = {"code_hash": "1" * 64, "name": "Bay 9", "made_at": NOW, "good_until": NOW}
    return EnrolmentCode.objects.create(yard=yard, made_by=by, **{**values, **extra})


def operation(on: Tablet, by: Person, at: datetime = NOW, **extra: Any) -> TabletOperation:
    """Sent by a tablet that was revoked since, signed, and waiting for a manager."""
    key = TabletKey.objects.create(tablet=on, person=by, secret=b"k" * 32, handed_at=at)
    values = {"n": 1, "verb": "record_meter", "body": "{}", "mac": "m", "made_at": at,
              "occurred_at": at, "received_at": at, "state": "quarantined"}  # fmt: skip
    return TabletOperation.objects.create(
        uid=new_uid(), tablet=on, person=by, key=key, **{**values, **extra}
    )


def read_over(on: Ticket, by: Person, yard: Yard, **extra: Any) -> ReadOver:
    """A second one on the same ticket is made by the same people, of the same tablet."""
    there = Tablet.objects.filter(yard=yard).first() or tablet(yard)
    checker = extra.pop("checker", None) or _somebody_else()
    values = {"code": "8143079743", "reply": "547391", "until": NOW, "occurred_at": NOW}
    return ReadOver.objects.create(
        ticket=on, vehicle=on.vehicle, tablet=there, by=by, worker=by, checker=checker,
        **{**values, **extra},
    )  # fmt: skip


def _somebody_else() -> Person:
    found, _made = Person.objects.get_or_create(
        username="checker", defaults={"name": "A checker", "role": "technician"}
    )
    return found
