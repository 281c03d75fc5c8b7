"""Sending what is owed to other programs: at least once, in no promised order, by the worker.

A delivery is taken by pushing its next moment on, sent outside any transaction, and written down.
Killed in between, it is sent again; its id tells the receiver. Addresses are called side by side,
the deliveries of one address one after the other until one fails, so that a dead one holds up no
other and is not hammered.
"""

import random
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from datetime import datetime, timedelta
from time import monotonic

from django.conf import settings
from django.db import connection, transaction
from django.utils import timezone

from fleet.operations import webhook_signature
from fleet.operations.webhook_post import Failed, post
from fleet.records.models import Delivery, Webhook
from fleet.records.webhooks import Why

# Waits after the first try, the second, ... (the specification's example, "retry schedule").
WAITS = tuple(timedelta(seconds=s) for s in (
    5, 300, 1_800, 7_200, 18_000, 36_000, 50_400, 72_000, 86_400,
))  # fmt: skip
JITTER = 0.2
LONGEST_ASKED = timedelta(days=1)
# Longer than a batch can take.
LEASE = timedelta(minutes=3)
# The worker has other work: no batch begins a try after so many seconds.
BATCH, AT_ONCE, SECONDS = 50, 4, 20.0
OK, GONE = range(200, 300), 410
HOPELESS = (Why.BARRED, Why.TOO_LONG)


@dataclass(frozen=True)
class Outcome:
    """What came of one try; none was made where neither is said."""

    status: int | None = None
    reason: str = ""
    detail: str = ""
    took_ms: int = 0
    retry_after: int | None = None


def send(*, at: datetime, chance: Callable[[], float] = random.random) -> int:
    """Send a batch of what is due; returns how many tries were made."""
    taken = _take(at)
    if not taken:
        return 0
    by_webhook: dict[int, list[Delivery]] = {}
    for row in taken:
        by_webhook.setdefault(row.webhook_id, []).append(row)
    until = monotonic() + SECONDS
    with ThreadPoolExecutor(AT_ONCE) as pool:
        groups = list(pool.map(lambda rows: _in_turn(rows, at, until), by_webhook.values()))
    tried = 0
    for row, outcome in (each for group in groups for each in group):
        tried += _written(row, outcome, at, chance)
    return tried


def _take(at: datetime) -> list[Delivery]:
    """Due deliveries, which are nobody else's for as long as a batch may take."""
    due = Delivery.objects.filter(
        state=Delivery.State.WAITING, next_at__lte=at, webhook__is_on=True
    ).order_by("next_at", "id")
    # Asked each second: SQLite's one write lock is not taken for nothing.
    if not due.exists():
        return []
    with transaction.atomic(durable=True):
        if connection.features.has_select_for_update_skip_locked:
            due = due.select_for_update(skip_locked=True, of=("self",))
        ids = [row.pk for row in due[:BATCH]]
        Delivery.objects.filter(pk__in=ids).update(next_at=at + LEASE)
    rows = Delivery.objects.filter(pk__in=ids).select_related("webhook", "event")
    return list(rows.order_by("event__at", "id"))


def _in_turn(
    rows: Iterable[Delivery], at: datetime, until: float
) -> list[tuple[Delivery, Outcome | None]]:
    """One address: each in its turn, and none after one that failed. Asks no database."""
    done: list[tuple[Delivery, Outcome | None]] = []
    failed = False
    for row in rows:
        outcome = None if failed or monotonic() > until else _try(row, at)
        failed = failed or (outcome is not None and outcome.status not in OK)
        done.append((row, outcome))
    return done


def _try(row: Delivery, at: datetime) -> Outcome:
    webhook, event = row.webhook, row.event
    now = timezone.now()
    headers = webhook_signature.headers(
        secrets_of(webhook, now), event.message_id, int(now.timestamp()), event.body
    )
    began = monotonic()
    try:
        answer = post(
            webhook.address, event.body.encode(), headers, loopback=settings.WEBHOOK_LOOPBACK
        )
    except Failed as failed:
        return Outcome(None, failed.why, failed.detail, _ms(began))
    why = "" if answer.status in OK else Why.STATUS
    return Outcome(answer.status, why, "", _ms(began), answer.retry_after)


def secrets_of(webhook: Webhook, at: datetime) -> list[bytes]:
    """Whatever a receiver may know as its secret now, the newest first."""
    old = webhook.before_until is not None and webhook.before_until > at
    return [bytes(webhook.secret), *([bytes(webhook.secret_before)] if old else [])]


def _ms(began: float) -> int:
    return round((monotonic() - began) * 1000)


def _written(
    row: Delivery, outcome: Outcome | None, at: datetime, chance: Callable[[], float]
) -> int:
    """Write down what came of it, unless somebody has written of it meanwhile."""
    mine = Delivery.objects.filter(pk=row.pk, state=Delivery.State.WAITING, next_at=at + LEASE)
    if outcome is None:
        mine.update(next_at=at + WAITS[0])
        return 0
    tries, now = row.tries + 1, timezone.now()
    state, wait = _next(tries, outcome, chance)
    mine.update(
        state=state, tries=tries, last_at=now, status=outcome.status, reason=outcome.reason,
        detail=outcome.detail[:200], took_ms=outcome.took_ms, next_at=now + wait,
    )  # fmt: skip
    if outcome.status == GONE:
        _switch_off(row.webhook_id)
    return 1


def _next(
    tries: int, outcome: Outcome, chance: Callable[[], float]
) -> tuple[Delivery.State, timedelta]:
    if outcome.status in OK:
        return Delivery.State.TAKEN, timedelta()
    # What may not be called will not come right by itself, nor will what says it is gone.
    if outcome.reason in HOPELESS or outcome.status == GONE or tries > len(WAITS):
        return Delivery.State.DEAD, timedelta()
    return Delivery.State.WAITING, wait_after(tries, outcome.retry_after, chance())


def wait_after(tries: int, asked: int | None, chance: float) -> timedelta:
    """How long after so many tries: its step, up to a fifth more by chance, and not sooner than
    the receiver asked for."""
    wait = WAITS[tries - 1] * (1 + JITTER * chance)
    return max(wait, min(timedelta(seconds=asked or 0), LONGEST_ASKED))


def _switch_off(webhook_id: int) -> None:
    """It answered that it wants no more, ever (RFC 9110, 15.5.11)."""
    Webhook.objects.filter(pk=webhook_id).update(is_on=False, is_gone=True)
