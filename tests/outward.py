"""What leaves the program, as rows: feeds, webhooks and what they were told, digests."""

import itertools
from datetime import datetime, timedelta
from typing import Any

from fleet.records.models import (
    Delivery,
    Digest,
    DigestSent,
    Event,
    Feed,
    FeedEvent,
    Person,
    Webhook,
    Yard,
)
from tests.build import NOW

_numbers = itertools.count(1)


def feed(owner: Person, of_yard: Yard, at: datetime = NOW, **extra: Any) -> Feed:
    values = {"of": "yard", "yard": of_yard, "token_hash": f"{next(_numbers):064d}", "made_at": at}
    return Feed.objects.create(owner=owner, **{**values, **extra})


def feed_event(of: Feed, **extra: Any) -> FeedEvent:
    values = {"source": of.uid, "day": NOW.date(), "digest": "0" * 64, "changed_at": NOW}
    return FeedEvent.objects.create(feed=of, **{**values, **extra})


def webhook(by: Person, of_yard: Yard | None = None, at: datetime = NOW, **extra: Any) -> Webhook:
    values = {"name": "Dispatch", "address": "https://dispatch.example/in", "yard": of_yard,
              "events": ["vehicle.held"], "secret": b"s" * 32, "made_at": at}  # fmt: skip
    return Webhook.objects.create(made_by=by, **{**values, **extra})


def event(of_yard: Yard | None, at: datetime = NOW, **extra: Any) -> Event:
    values = {"kind": "vehicle.held", "at": at, "body": '{"type":"vehicle.held"}'}
    return Event.objects.create(yard=of_yard, **{**values, **extra})


def delivery(to: Webhook, of: Event | None = None, **extra: Any) -> Delivery:
    what = of or event(to.yard)
    return Delivery.objects.create(webhook=to, event=what, **{"next_at": NOW, **extra})


def digest(of: Person, *yards: Yard, **extra: Any) -> Digest:
    values = {"is_on": True, "days": list(range(7)), "hour": 6, "time_zone": "America/Denver"}
    row = Digest.objects.create(person=of, **{**values, **extra})
    row.yards.set(yards)
    return row


def digest_sent(to: Person, **extra: Any) -> DigestSent:
    values = {"day": NOW.date(), "leased_until": NOW + timedelta(minutes=5)}
    return DigestSent.objects.create(person=to, **{**values, **extra})
