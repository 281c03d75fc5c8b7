"""The frame of bringing in: one durable transaction that keeps everything or nothing."""

from collections.abc import Callable
from datetime import datetime
from typing import Any, TypeVar

from django.db import transaction

from fleet.operations.actor import Actor
from fleet.operations.change import forget_plans
from fleet.operations.once import Request, answered, claim
from fleet.operations.work import Work

Ready = TypeVar("Ready")


class UndoError(Exception):
    """Something can't be taken: roll back all of it."""


def once(
    verb: str, actor: Actor, at: datetime, prepare: Callable[[Work], Ready],
    store: Callable[[Work, Ready], dict[str, Any]], request: Request | None,
) -> tuple[dict[str, Any], bool]:  # fmt: skip
    """Prepare, then store in one durable transaction, once for each request key.

    What takes long belongs into `prepare`: it has no transaction, so that nobody waits for it,
    and `store` must look again at what can have changed since. Returns the counts that it came
    to, and whether they are those of an earlier time.
    """
    earlier = answered(actor.person, verb, request)
    if earlier is not None:
        return earlier.result, True
    work = Work(actor, at)
    ready = prepare(work)
    with transaction.atomic(durable=True):
        forget_plans()
        if request is None:
            return store(work, ready), False
        stored, replayed = claim(actor.person, verb, request)
        if not replayed:
            stored.result = store(work, ready)
            stored.save(update_fields=["result"])
        return stored.result, replayed
