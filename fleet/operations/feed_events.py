"""What a feed tells at one fetch, told as a change where it differs from the fetch before.

A date that moved raises SEQUENCE; other words move LAST-MODIFIED alone; what is owed no longer is
told as cancelled for a while (RFC 5545, 3.8.7.3, 3.8.7.4 and 3.8.1.11). No fact of the record is
touched: a feed keeps of each event only when it was and how often that changed.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.db import transaction
from django.db.models import Q
from django.utils.translation import gettext as _

from fleet.operations.tablets import hashed
from fleet.reads.feeds import Entry, entries, past_entries
from fleet.records.models import Feed, FeedEvent

# A calendar that is fetched once a month still hears of it (own).
CANCELLED_FOR = timedelta(days=35)
# The last fetch is told by the minute.
FETCH_TOLD = timedelta(minutes=1)


@dataclass(frozen=True)
class Told:
    """One event as it goes out."""

    event: FeedEvent
    entry: Entry


def feed_behind(token: str) -> Feed | None:
    """The feed of an address, while its owner works here and may see what is due."""
    rows = Feed.objects.select_related("owner", "yard", "of_person", "vehicle__yard")
    row = rows.filter(token_hash=hashed(token), revoked_at=None, owner__is_active=True).first()
    return row if row is not None and row.owner.may("view_due") else None


def fetch(feed: Feed, *, at: datetime) -> list[Told]:
    """All that the feed tells now, in the language in force, by day.

    Two that fetch at once tell the same.
    """
    now = {entry.source: entry for entry in entries(feed, at)}
    known = _known(feed, now, at)
    if set(now) - set(known) or any(_changed(row, now) for row in known.values()):
        with transaction.atomic(durable=True):
            # The feed's row orders those who find a change at the same moment.
            Feed.objects.select_for_update().get(pk=feed.pk)
            _store(feed, _known(feed, now, at), now, at)
        known = _known(feed, now, at)
    _fetched(feed, at)
    return _told(feed, known, now, at)


def _known(feed: Feed, now: Mapping[UUID, Entry], at: datetime) -> dict[UUID, FeedEvent]:
    """What it told of and tells still. What was cancelled long ago is kept and not told: should
    it ever be owed again, its SEQUENCE goes on from where it stood."""
    fresh = Q(cancelled=False) | Q(changed_at__gte=at - CANCELLED_FOR)
    known = {row.source: row for row in feed.events.filter(fresh)}
    back = set(now) - set(known)
    return known | {row.source: row for row in feed.events.filter(source__in=back)}


def _changed(row: FeedEvent, now: Mapping[UUID, Entry]) -> bool:
    entry = now.get(row.source)
    if entry is None:
        return not row.cancelled
    stands = (row.day, row.digest, row.cancelled) == (entry.day, entry.digest, False)
    return not stands or row.sequence < entry.sequence


def _store(
    feed: Feed, known: Mapping[UUID, FeedEvent], now: Mapping[UUID, Entry], at: datetime
) -> None:
    FeedEvent.objects.bulk_create(
        FeedEvent(feed=feed, source=entry.source, day=entry.day, digest=entry.digest,
                  sequence=entry.sequence, changed_at=at)
        for entry in now.values() if entry.source not in known
    )  # fmt: skip
    moved = [row for row in known.values() if _changed(row, now)]
    for row in moved:
        _move(row, now.get(row.source), at)
    FeedEvent.objects.bulk_update(
        moved, ["day", "digest", "sequence", "changed_at", "cancelled"], batch_size=500
    )


def _move(row: FeedEvent, entry: Entry | None, at: datetime) -> None:
    """Another day, and being cancelled or not, are changes that a reader must heed."""
    row.changed_at = at
    if entry is None:
        row.cancelled, row.sequence = True, row.sequence + 1
        return
    heeded = row.cancelled or row.day != entry.day
    row.sequence = max(row.sequence + heeded, entry.sequence)
    row.day, row.digest, row.cancelled = entry.day, entry.digest, False


def _fetched(feed: Feed, at: datetime) -> None:
    if feed.fetched_at is None or feed.fetched_at <= at - FETCH_TOLD:
        Feed.objects.filter(pk=feed.pk).update(fetched_at=at)


def _told(
    feed: Feed, known: Mapping[UUID, FeedEvent], now: Mapping[UUID, Entry], at: datetime
) -> list[Told]:
    over = [row.source for row in known.values() if row.cancelled]
    past = past_entries(feed.owner, over, at)
    told = [Told(row, now.get(source) or _worded(row, past.get(source)))
            for source, row in known.items()]  # fmt: skip
    return sorted(told, key=lambda one: (one.event.day, str(one.event.source)))


def _worded(row: FeedEvent, past: Entry | None) -> Entry:
    """What was cancelled, on the day it was told of; without a word where it is out of sight."""
    if past is None:
        return Entry(row.source, row.day, _("No longer owed"), "", "", "")
    return Entry(row.source, row.day, past.summary, "", past.place, past.unit_number)


def newest(told: Iterable[Told], feed: Feed) -> datetime:
    """When the feed last changed."""
    return max([one.event.changed_at for one in told], default=feed.made_at)
