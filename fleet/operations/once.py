"""A request done once: its key is stored in the transaction that does the work."""

from dataclasses import dataclass

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from fleet.operations.errors import KeyReused, Problem
from fleet.records.models import Person, StoredRequest


@dataclass(frozen=True)
class Request:
    """A client's key for one request and the hash of what it asked."""

    key: str
    body_hash: str


def answered(person: Person, verb: str, request: Request | None) -> StoredRequest | None:
    """The stored request, where it was answered before; asked before much work is done for it.

    None says nothing for certain: only `claim` does. Raises KeyReused like it.
    """
    if request is None:
        return None
    row = StoredRequest.objects.filter(person=person, key=request.key).first()
    return None if row is None else _same(row, verb, request)


def claim(person: Person, verb: str, request: Request) -> tuple[StoredRequest, bool]:
    """The stored request, and whether it was answered before.

    A second request with the same key waits on the unique index until the first has committed
    or rolled back, so that there is never a half-done one to see. Raises KeyReused where the
    same key stands for another verb or body.
    """
    try:
        with transaction.atomic():
            row = StoredRequest.objects.create(
                person=person, key=request.key, verb=verb, body_hash=request.body_hash
            )
        return row, False
    except IntegrityError:
        row = StoredRequest.objects.get(person=person, key=request.key)
    return _same(row, verb, request), True


def _same(row: StoredRequest, verb: str, request: Request) -> StoredRequest:
    if (row.verb, row.body_hash) != (verb, request.body_hash):
        message = _("This request key was used for something else. Make a new key and send again.")
        raise KeyReused((Problem("key_reused", message),))
    return row
