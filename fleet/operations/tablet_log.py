"""Operations as tablets send them: whose they are, whether they may be judged yet, what became
of them. Each is judged once, by the same verbs as at every other door."""

import base64
import hashlib
import hmac
import logging
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.db import IntegrityError, OperationalError, transaction
from django.utils.translation import gettext as _

from fleet.operations.actor import Actor
from fleet.operations.errors import Problem, Refused
from fleet.operations.holds import open_ticket_of
from fleet.operations.once import Request
from fleet.operations.tablet_refs import Waits
from fleet.operations.work import Done
from fleet.records.models import (
    Finding,
    Inspection,
    Person,
    Tablet,
    TabletKey,
    TabletOperation,
    Ticket,
)

log = logging.getLogger(__name__)

State = TabletOperation.State
# What is final is answered again as it was; parked ones are judged anew whenever they come.
PARKABLE = frozenset({
    "add_line", "drop_line", "record_line", "second_check", "release", "road_test", "close_ticket",
})  # fmt: skip


@dataclass(frozen=True)
class Sent:
    """One operation as it came."""

    uid: UUID
    n: int
    person: int
    key: UUID
    verb: str
    made_at: datetime
    body: str
    mac: str
    offset_ms: int | None = None
    instead_of: UUID | None = None
    # The moment as it was written, which is what was signed.
    made_at_text: str = ""


@dataclass(frozen=True)
class Link:
    """One exchange with one tablet. `skew_ms` is its clock less ours as the exchange began."""

    tablet: Tablet
    at: datetime
    skew_ms: int = 0
    app: str = ""
    schema: int = 1


@dataclass(frozen=True)
class Doing:
    """What a verb needs to know besides what was said."""

    actor: Actor
    tablet: Tablet
    sent: Sent
    at: datetime
    moment: datetime

    @property
    def request(self) -> Request:
        body_hash = hashlib.sha256(self.sent.body.encode()).hexdigest()
        return Request(f"tablet:{self.sent.uid}", body_hash)


@dataclass(frozen=True)
class Plan:
    """An operation understood: the ticket that it is about, and what does it."""

    about: str
    do: Callable[[Doing], Done[Any]]


# Reads a body for one person; raises Refused for one that can't be read, Waits for one that
# names what is not here yet.
Reader = Callable[[Person, Sent], Plan]


def signature(secret: bytes, sent: Sent) -> str:
    """HMAC-SHA-256 (RFC 2104) over what identifies the operation and the hash of its body."""
    body = hashlib.sha256(sent.body.encode()).hexdigest()
    parts = (str(sent.uid), str(sent.n), sent.verb, sent.made_at_text,
             str(sent.instead_of or ""), body)  # fmt: skip
    digest = hmac.new(secret, "\n".join(parts).encode(), hashlib.sha256).digest()
    return base64.urlsafe_b64encode(digest).rstrip(b"=").decode()


def key_of(tablet: Tablet, sent: Sent) -> TabletKey | None:
    """The key that an operation was signed with; None where the signature is not that key's."""
    keys = TabletKey.objects.select_related("person").filter(tablet=tablet, uid=sent.key)
    key = keys.filter(person=sent.person).first()
    if key is None or not hmac.compare_digest(signature(bytes(key.secret), sent), sent.mac):
        return None
    return key


def moment_of(link: Link, sent: Sent) -> datetime:
    """When it was made by our clock: by what the tablet last knew of it, else by what it is now."""
    offset = sent.offset_ms if sent.offset_ms is not None else -link.skew_ms
    return min(sent.made_at + timedelta(milliseconds=offset), link.at)


def take(link: Link, sent: Sent, read: Reader) -> tuple[TabletOperation, bool]:
    """Judge one operation, or answer again what became of it. True where it was answered before."""
    known = TabletOperation.objects.filter(uid=sent.uid).first()
    if known is not None and known.state != State.PARKED:
        return known, True
    key = key_of(link.tablet, sent)
    reason = _why_not_judged(link, key)
    if reason is not None or key is None:
        return _keep(link, sent, key, State.QUARANTINED, problems=[reason] if reason else []), False
    return judge_anyway(link, sent, key, read, known), False


def _why_not_judged(link: Link, key: TabletKey | None) -> Problem | None:
    if key is None:
        return Problem("signature_wrong", _("The signature is not this person's on this tablet."))
    if link.tablet.revoked_at is not None:
        return Problem("tablet_revoked", _("This tablet was revoked: a manager looks at it first."))
    if not key.person.is_active:
        message = _("%(who)s has left: a manager looks at it first.") % {"who": key.person.name}
        return Problem("person_left", message)
    return None


def judge_anyway(
    link: Link, sent: Sent, key: TabletKey, read: Reader, known: TabletOperation | None
) -> TabletOperation:
    """Judge it for who signed it, by the verbs of every other door."""
    doing = Doing(Actor(key.person, "tablet", link.tablet), link.tablet, sent, link.at,
                  moment_of(link, sent))  # fmt: skip
    about = ""
    try:
        plan = read(key.person, sent)
        about = plan.about
        _not_behind_a_refusal(link.tablet, sent, about)
        done = plan.do(doing)
    except Waits as waits:
        return _keep(link, sent, key, State.PARKED, about=about, because=waits.because, known=known)
    except OperationalError:
        # The database is busy: nothing is said of it, and it comes again.
        raise
    except Refused as refused:
        return _keep(link, sent, key, State.REFUSED, about=about, known=known,
                     problems=refused.problems, theirs=getattr(refused, "theirs", None))  # fmt: skip
    except Exception:
        # A fault of ours must not keep what comes after it from being heard. It stays, and comes
        # again with every exchange.
        log.exception("judging %s %s failed", sent.verb, sent.uid)
        return _keep(link, sent, key, State.PARKED, about=about, because=sent.uid, known=known,
                     problems=[_failed()])  # fmt: skip
    return _keep(link, sent, key, State.ACCEPTED, about=about, known=known, row=done.row)


def _failed() -> Problem:
    message = _("The server failed at this. It stays on the tablet and is sent again by itself.")
    return Problem("server_failed", message)


def _not_behind_a_refusal(tablet: Tablet, sent: Sent, about: str) -> None:
    """A refusal parks the later operations of that ticket from that tablet, and no others."""
    if not about or sent.verb not in PARKABLE:
        return
    mine = TabletOperation.objects.filter(tablet=tablet, about=about)
    # A corrected one stands where the refused one stood.
    corrected = mine.filter(uid=sent.instead_of).first() if sent.instead_of else None
    place = corrected.n if corrected is not None else sent.n
    before = mine.filter(state__in=(State.REFUSED, State.PARKED), n__lt=place)
    first = before.order_by("n").first()
    if first is not None:
        raise Waits(first.because if first.state == State.PARKED and first.because else first.uid)


def _keep(
    link: Link, sent: Sent, key: TabletKey | None, state: str, *, about: str = "",
    because: UUID | None = None, problems: Any = (), theirs: Any = None, row: Any = None,
    known: TabletOperation | None = None,
) -> TabletOperation:  # fmt: skip
    """Write what became of it; where it was kept meanwhile, what stands there."""
    became = {
        "state": state, "about": about, "because": because, "theirs": theirs,
        "problems": [problem.as_dict() for problem in problems],
        "model": row._meta.model_name if row is not None else "",
        "row_id": row.pk if row is not None else None, "ticket_id": _ticket_of(row),
    }  # fmt: skip
    with transaction.atomic():
        if state == State.ACCEPTED and sent.instead_of is not None:
            _answered(sent.instead_of, key)
        if known is not None:
            TabletOperation.objects.filter(pk=known.pk, state=known.state).update(**became)
            known.refresh_from_db()
            return known
        return _new(link, sent, key, became)


def _new(link: Link, sent: Sent, key: TabletKey | None, became: dict[str, Any]) -> TabletOperation:
    try:
        with transaction.atomic():
            return TabletOperation.objects.create(
                uid=sent.uid, tablet=link.tablet, n=sent.n, person=key.person if key else None,
                key=key, verb=sent.verb, body=sent.body, mac=sent.mac, app=link.app,
                instead_of=sent.instead_of, made_at=sent.made_at, received_at=link.at,
                occurred_at=moment_of(link, sent), skew_ms=link.skew_ms, schema=link.schema,
                **became,
            )  # fmt: skip
    except IntegrityError:
        return TabletOperation.objects.get(uid=sent.uid)


def _answered(corrected: UUID, key: TabletKey | None) -> None:
    rows = TabletOperation.objects.filter(uid=corrected, state=State.REFUSED)
    rows.filter(person=key.person if key else None).update(state=State.ANSWERED)


def _ticket_of(row: Any) -> int | None:
    """The ticket that an accepted operation opened or changed."""
    if isinstance(row, Ticket):
        return int(row.pk)
    if isinstance(row, Inspection):
        return _called_for(row)
    found = getattr(row, "ticket_id", None)
    if found is None and hasattr(row, "line"):
        found = row.line.ticket_id
    return int(found) if found is not None else None


def _called_for(inspection: Inspection) -> int | None:
    """The ticket that answers what was found, where anything calls for one."""
    calls = inspection.findings.exclude(response=Finding.Response.NOTE).exists()
    ticket = open_ticket_of(inspection.vehicle) if calls else None
    return ticket.pk if ticket is not None else None
