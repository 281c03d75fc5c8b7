"""Webhooks: whom a manager has told of events, and what is sent again."""

import ipaddress
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from urllib.parse import SplitResult, urlsplit

from django.conf import settings
from django.db.models import F
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_variables

from fleet.operations import events, webhook_signature
from fleet.operations.actor import Actor
from fleet.operations.errors import Problem, Refused, refuse
from fleet.operations.once import Request
from fleet.operations.webhook_post import is_open
from fleet.operations.words import too_long
from fleet.operations.work import Done, Work, find, run, same_version
from fleet.records.models import Delivery, Event, EventKind, Webhook, Yard

SECRET_BYTES = 32
# For so long what was signed with the secret before is signed with it still.
BEFORE_COUNTS = timedelta(hours=24)
# Events that one wish may send again.
MOST_AGAIN = 5_000
WANTED = tuple(kind for kind in EventKind if kind != EventKind.TEST)
_OWN_NAMES = ("localhost", ".localhost", ".local", ".internal")


@dataclass(frozen=True)
class WebhookFacts:
    """Whom to tell, and of what; no yard means all yards."""

    name: str
    address: str
    events: tuple[str, ...]
    yard_id: int | None = None
    is_on: bool = True


@dataclass(frozen=True)
class WithSecret:
    """A webhook, and the secret as its receiver needs it, which nobody is told again.

    Empty where the same request had been answered before.
    """

    row: Webhook
    secret: str


@sensitive_variables("secret")
def add_webhook(
    actor: Actor, new: WebhookFacts, *, at: datetime, request: Request | None = None
) -> WithSecret:
    """Tell an address of events from now on."""
    actor.need("send_events_out")
    secret = secrets.token_bytes(SECRET_BYTES)

    def apply(work: Work) -> Webhook:
        row = Webhook.objects.create(
            **_facts(actor, new), secret=secret, made_at=work.at, made_by=actor.person
        )
        work.trail("add_webhook", row, after=_said(row))
        return row

    done = run("add_webhook", actor, at, apply, request)
    return WithSecret(done.row, "" if done.replayed else webhook_signature.shown(secret))


def change_webhook(
    actor: Actor, webhook_id: int, new: WebhookFacts, *, at: datetime,
    expected_version: int | None = None, request: Request | None = None,
) -> Done[Webhook]:  # fmt: skip
    """Another address, other events, on or off. What waits is kept while it is off."""
    actor.need("send_events_out")

    def apply(work: Work) -> Webhook:
        row = _mine(actor, webhook_id)
        same_version(row, expected_version)
        before, facts = _said(row), _facts(actor, new)
        _set(row, **facts, is_gone=row.is_gone and not new.is_on)
        if (after := _said(row)) != before:
            work.trail("change_webhook", row, before=before, after=after)
        return row

    return run("change_webhook", actor, at, apply, request)


@sensitive_variables("secret")
def renew_secret(
    actor: Actor, webhook_id: int, *, at: datetime, request: Request | None = None
) -> WithSecret:
    """Another secret; for a day both sign, so that the receiver may change over in between."""
    actor.need("send_events_out")
    secret = secrets.token_bytes(SECRET_BYTES)

    def apply(work: Work) -> Webhook:
        row = _mine(actor, webhook_id)
        _set(row, secret_before=bytes(row.secret), before_until=work.at + BEFORE_COUNTS,
             secret=secret)  # fmt: skip
        work.trail("renew_secret", row, after={"name": row.name})
        return row

    done = run("renew_secret", actor, at, apply, request)
    return WithSecret(done.row, "" if done.replayed else webhook_signature.shown(secret))


def send_test(
    actor: Actor, webhook_id: int, *, at: datetime, request: Request | None = None
) -> Done[Delivery]:
    """Send an event that says nothing, to see that it arrives."""
    actor.need("send_events_out")

    def apply(work: Work) -> Delivery:
        webhook = _mine(actor, webhook_id)
        event = Event(kind=EventKind.TEST, at=work.at, yard=webhook.yard)
        event.body = events.worded(event, {"webhook": str(webhook.uid)})
        event.save()
        row = Delivery.objects.create(webhook=webhook, event=event, next_at=work.at)
        work.trail("send_test", webhook, after={"name": webhook.name})
        return row

    return run("send_test", actor, at, apply, request)


def send_again(
    actor: Actor, delivery_id: int, *, at: datetime, request: Request | None = None
) -> Done[Delivery]:
    """Send one event again, under the id it had."""
    actor.need("send_events_out")

    def apply(work: Work) -> Delivery:
        row = find(Delivery, actor, delivery_id, _("delivery"))
        _again(Delivery.objects.filter(pk=row.pk), work.at)
        row.refresh_from_db()
        work.trail("send_again", row.webhook, after={"name": row.webhook.name, "sent": 1})
        return row

    return run("send_again", actor, at, apply, request)


def send_all_again(
    actor: Actor, webhook_id: int, *, at: datetime, request: Request | None = None
) -> Done[Webhook]:
    """Send everything that was given up for this address again."""
    actor.need("send_events_out")

    def apply(work: Work) -> Webhook:
        webhook = _mine(actor, webhook_id)
        many = _again(webhook.deliveries.filter(state=Delivery.State.DEAD), work.at)
        work.trail("send_again", webhook, after={"name": webhook.name, "sent": many})
        return webhook

    return run("send_all_again", actor, at, apply, request)


def replay(
    actor: Actor, webhook_id: int, since: datetime, until: datetime, *, at: datetime,
    request: Request | None = None,
) -> Done[Webhook]:  # fmt: skip
    """Send all that happened in a span (since <= t < until) again, and what it never had too."""
    actor.need("send_events_out")

    def apply(work: Work) -> Webhook:
        webhook = _mine(actor, webhook_id)
        found = _of_span(webhook, since, until)
        _again(webhook.deliveries.filter(event__in=[row.pk for row in found]), work.at)
        events.owe(found, [webhook], work.at)
        work.trail("replay", webhook, after={
            "name": webhook.name, "sent": len(found), "since": str(since), "until": str(until),
        })  # fmt: skip
        return webhook

    return run("replay", actor, at, apply, request)


def _of_span(webhook: Webhook, since: datetime, until: datetime) -> list[Event]:
    if until <= since:
        raise refuse("span_empty", _("The end lies before the beginning."), field="until")
    rows = Event.objects.filter(at__gte=since, at__lt=until).order_by("at", "id")
    found = [row for row in rows[: MOST_AGAIN + 1] if events.wants(webhook, row)]
    if not found:
        message = _("Nothing that it wants happened in that time.")
        raise refuse("nothing_there", message, field="since")
    if len(found) > MOST_AGAIN:
        message = _("More than %(most)d events. Choose a shorter time.") % {"most": MOST_AGAIN}
        raise refuse("too_many", message, field="until")
    return found


def _again(rows: Any, at: datetime) -> int:
    many: int = rows.update(
        state=Delivery.State.WAITING, tries=0, next_at=at, status=None, reason="", detail=""
    )
    return many


def _mine(actor: Actor, webhook_id: int) -> Webhook:
    return find(Webhook, actor, webhook_id, _("webhook"))


def _set(row: Webhook, **values: Any) -> None:
    Webhook.objects.filter(pk=row.pk).update(**values, version=F("version") + 1)
    row.refresh_from_db()


def _facts(actor: Actor, new: WebhookFacts) -> dict[str, Any]:
    """The columns, judged. Raises Refused with all that is wrong."""
    yard = find(Yard, actor, new.yard_id, _("yard")) if new.yard_id is not None else None
    problems = too_long(Webhook, {"name": new.name, "address": new.address})
    if not new.name.strip():
        message = _("Give it a name, like “Dispatch”.")
        problems.append(Problem("name_missing", message, field="name"))
    if yard is None and not actor.person.all_yards:
        problems.append(Problem("yard_wrong", _("Choose one of your yards."), field="yard"))
    if not new.events or set(new.events) - set(WANTED):
        problems.append(Problem("events_wrong", _("Choose what it is told of."), field="events"))
    if said := address_problem(new.address.strip()):
        problems.append(Problem("address_wrong", said, field="address"))
    if problems:
        raise Refused(tuple(problems))
    return {
        "name": new.name.strip(), "address": new.address.strip(), "yard": yard,
        "events": [kind.value for kind in WANTED if kind in new.events], "is_on": new.is_on,
    }  # fmt: skip


def address_problem(address: str) -> str:
    """What is wrong with an address as it is typed; where its name leads is judged at each try."""
    parts = _parts(address)
    host = parts.hostname or ""
    plain = all("!" <= sign <= "~" for sign in address)
    if not plain or not host or parts.scheme not in ("http", "https"):
        return _("Type a whole address, like https://dispatch.example/axlekeep.")
    if parts.username is not None or parts.password is not None or parts.fragment:
        return _("Leave out names, passwords and what stands behind a #.")
    if settings.WEBHOOK_LOOPBACK and host in ("localhost", "127.0.0.1", "::1"):
        return ""
    if parts.scheme != "https":
        return _("Type an address that begins with https://; nothing is sent in the open.")
    if not _leads_out(host):
        return _(
            "That is an address of this machine or of a private network. Nothing is sent there."
        )
    return ""


def _parts(address: str) -> SplitResult:
    """The parts of an address; none of one that can't be read."""
    try:
        parts = urlsplit(address)
        # A port that is none is told of only when it is asked for.
        return parts if parts.port != 0 else urlsplit("")
    except ValueError:
        return urlsplit("")


def _leads_out(host: str) -> bool:
    if host.rstrip(".").endswith(_OWN_NAMES):
        return False
    try:
        return is_open(ipaddress.ip_address(host))
    except ValueError:
        return True


def _said(row: Webhook) -> dict[str, Any]:
    """For the trail, which is read by more people than may know a whole address."""
    return {
        "name": row.name, "address": _parts(row.address).hostname or "",
        "events": ", ".join(row.events), "is_on": row.is_on,
    }  # fmt: skip
