"""Calendar feeds: made by whoever subscribes, renewed when an address was seen, revoked."""

import secrets
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_variables

from fleet.operations.actor import Actor
from fleet.operations.errors import refuse
from fleet.operations.once import Request
from fleet.operations.tablets import hashed
from fleet.operations.work import Done, Work, find, run
from fleet.records.models import Feed, Person, Vehicle, Yard

TOKEN_BYTES = 32
# Nobody reads more calendars than this; a script that makes them is stopped (own).
MOST = 20


@dataclass(frozen=True)
class NewFeed:
    """Of one yard, one person or one vehicle."""

    of: str
    yard_id: int | None = None
    person_id: int | None = None
    vehicle_id: int | None = None


@dataclass(frozen=True)
class Addressed:
    """A feed, and the secret part of its address, which nobody is told again.

    Empty where the same request had been answered before.
    """

    row: Feed
    token: str


@sensitive_variables("token")
def make_feed(
    actor: Actor, new: NewFeed, *, at: datetime, request: Request | None = None
) -> Addressed:
    """A new address that tells the actor what is owed."""
    actor.need("view_due")
    token = secrets.token_urlsafe(TOKEN_BYTES)

    def apply(work: Work) -> Feed:
        subject = _subject(actor, new)
        if Feed.visible_to(actor.person).filter(revoked_at=None).count() >= MOST:
            message = _("You have %(most)d feeds. Take one back first.") % {"most": MOST}
            raise refuse("too_many", message)
        row = Feed.objects.create(
            owner=actor.person, of=new.of, token_hash=hashed(token), made_at=work.at, **subject
        )
        work.trail("make_feed", row, after={"of": row.of})
        return row

    done = run("make_feed", actor, at, apply, request)
    return Addressed(done.row, "" if done.replayed else token)


def _subject(actor: Actor, new: NewFeed) -> dict[str, Any]:
    if new.of == Feed.Of.YARD:
        return {"yard": find(Yard, actor, new.yard_id, _("yard"))}
    if new.of == Feed.Of.VEHICLE:
        return {"vehicle": find(Vehicle, actor, new.vehicle_id, _("vehicle"))}
    if new.of != Feed.Of.PERSON:
        message = _("Choose a yard, a person or a vehicle.")
        raise refuse("of_unknown", message, field="of")
    person = Person.visible_to(actor.person).filter(pk=new.person_id or 0, is_active=True).first()
    if person is None:
        message = _("Choose somebody who works in your yards.")
        raise refuse("person_wrong", message, field="person")
    return {"of_person": person}


@sensitive_variables("token")
def renew_feed(
    actor: Actor, feed_id: int, *, at: datetime, request: Request | None = None
) -> Addressed:
    """Another address for the same feed: the old one answers nobody from now on."""
    actor.need("view_due")
    token = secrets.token_urlsafe(TOKEN_BYTES)

    def apply(work: Work) -> Feed:
        row = _own(actor, feed_id)
        row.token_hash, row.renewed_at, row.fetched_at = hashed(token), work.at, None
        row.save(update_fields=["token_hash", "renewed_at", "fetched_at"])
        work.trail("renew_feed", row, after={"of": row.of})
        return row

    done = run("renew_feed", actor, at, apply, request)
    return Addressed(done.row, "" if done.replayed else token)


def revoke_feed(
    actor: Actor, feed_id: int, *, at: datetime, request: Request | None = None
) -> Done[Feed]:
    """Take a feed back: its address answers nobody from now on."""
    actor.need("view_due")

    def apply(work: Work) -> Feed:
        row = _own(actor, feed_id)
        row.revoked_at = work.at
        row.save(update_fields=["revoked_at"])
        row.events.all().delete()
        work.trail("revoke_feed", row, before={"of": row.of})
        return row

    return run("revoke_feed", actor, at, apply, request)


def _own(actor: Actor, feed_id: int) -> Feed:
    row = find(Feed, actor, feed_id, _("feed"))
    if row.revoked_at is not None:
        raise refuse("revoked", _("This feed was taken back before."))
    return row
