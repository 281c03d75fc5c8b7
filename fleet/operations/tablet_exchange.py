"""One exchange with a tablet: one at a time, so that a repeat never overtakes its first."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.db.models import Q
from django.utils import timezone

from fleet.operations.tablet_kept import Link, Sent
from fleet.operations.tablet_log import Reader, take
from fleet.records.base import new_uid
from fleet.records.models import Tablet, TabletOperation

# A server that was killed in the middle keeps the tablet waiting no longer than this (own).
LEASE = timedelta(seconds=30)


class Busy(Exception):
    """Another exchange with this tablet is going on."""


@dataclass(frozen=True)
class Judged:
    row: TabletOperation
    replayed: bool


def exchange(link: Link, batch: Sequence[Sent], read: Reader, *, waiting: int = 0) -> list[Judged]:
    """Judge a batch in the order it came, each in a transaction of its own.

    Where the lease is lost on the way, what was judged until then is the answer; the rest comes
    again. Raises Busy.
    """
    judged: list[Judged] = []
    with _lease(link.tablet) as holder:
        for sent in batch:
            if not _renew(link.tablet, holder):
                break
            row, replayed = take(link, sent, read)
            judged.append(Judged(row, replayed))
        left = max(0, waiting - sum(each.row.state != "parked" for each in judged))
        _heard(link, left)
    return judged


@contextmanager
def _lease(tablet: Tablet) -> Iterator[UUID]:
    now, holder = timezone.now(), new_uid()
    free = Q(busy_until=None) | Q(busy_until__lt=now)
    taken = Tablet.objects.filter(free, pk=tablet.pk)
    if taken.update(busy_until=now + LEASE, busy_with=holder) != 1:
        raise Busy
    try:
        yield holder
    finally:
        Tablet.objects.filter(pk=tablet.pk, busy_with=holder).update(busy_until=None)


def _renew(tablet: Tablet, holder: UUID) -> bool:
    until = timezone.now() + LEASE
    return Tablet.objects.filter(pk=tablet.pk, busy_with=holder).update(busy_until=until) == 1


def _heard(link: Link, left: int) -> None:
    Tablet.objects.filter(pk=link.tablet.pk).update(
        heard_at=link.at, skew_ms=link.skew_ms, waiting=left
    )


def skew_ms(sent_at: datetime, received_at: datetime) -> int:
    """How far a tablet's clock is ahead of ours, by when it says that it sent."""
    return round((sent_at - received_at).total_seconds() * 1000)
