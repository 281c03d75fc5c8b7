"""The frame of bringing in: one durable transaction that keeps everything or nothing."""

from collections.abc import Callable
from datetime import datetime
from typing import Any

from django.db import transaction

from fleet.operations.actor import Actor
from fleet.operations.once import Request, claim
from fleet.operations.work import Work


class UndoError(Exception):
    """Something can't be taken: roll back all of it."""


def once(
    verb: str, actor: Actor, at: datetime, do: Callable[[Work], dict[str, Any]],
    request: Request | None,
) -> tuple[dict[str, Any], bool]:  # fmt: skip
    """Do it in one durable transaction, once for each request key.

    Returns the counts that it came to, and whether they are those of an earlier time.
    """
    with transaction.atomic(durable=True):
        if request is None:
            return do(Work(actor, at)), False
        stored, replayed = claim(actor.person, verb, request)
        if not replayed:
            stored.result = do(Work(actor, at))
            stored.save(update_fields=["result"])
        return stored.result, replayed
