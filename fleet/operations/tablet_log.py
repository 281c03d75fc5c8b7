"""Operations as tablets send them: whose they are, whether they may be judged yet, what became
of them. Each is judged once, by the same verbs as at every other door."""

import hashlib
import hmac
import logging
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import OperationalError
from django.utils.translation import gettext as _

from fleet.operations import read_over
from fleet.operations.actor import Actor
from fleet.operations.errors import Problem, Refused
from fleet.operations.once import Request
from fleet.operations.signing import signed
from fleet.operations.tablet_kept import Became, Link, Sent, corrected_by, keep, moment_of
from fleet.operations.tablet_refs import Waits
from fleet.operations.work import Done, done_before
from fleet.records.models import Person, Tablet, TabletKey, TabletOperation

log = logging.getLogger(__name__)

State = TabletOperation.State
# What is final is answered again as it was; parked ones are judged anew whenever they come.
PARKABLE = frozenset({
    "add_line", "drop_line", "record_line", "second_check", "release", "road_test", "close_ticket",
})  # fmt: skip


# What a read-over release rests on.
CLAIMS = frozenset({"second_check", "close_ticket"})


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


_reader: list[Reader] = []


def use_reader(read: Reader) -> None:
    """The API door says how bodies are read, since they are written in its terms."""
    _reader[:] = [read]


def reader_now() -> Reader:
    return _reader[0]


def signature(secret: bytes, sent: Sent) -> str:
    """HMAC-SHA-256 (RFC 2104) over what identifies the operation and the hash of its body."""
    body = hashlib.sha256(sent.body.encode()).hexdigest()
    return signed(secret, str(sent.uid), str(sent.n), sent.verb, sent.made_at_text,
                  str(sent.instead_of or ""), body)  # fmt: skip


def key_of(tablet: Tablet, sent: Sent) -> TabletKey | None:
    """The key that an operation was signed with; None where the signature is not that key's."""
    keys = TabletKey.objects.select_related("person").filter(tablet=tablet, uid=sent.key)
    key = keys.filter(person=sent.person).first()
    if key is None or not hmac.compare_digest(signature(bytes(key.secret), sent), sent.mac):
        return None
    return key


def take(link: Link, sent: Sent, read: Reader) -> tuple[TabletOperation, bool]:
    """Judge one operation, or answer again what became of it. True where it was answered before."""
    known = TabletOperation.objects.filter(uid=sent.uid).first()
    if known is not None and (known.tablet_id, known.body) != (link.tablet.pk, sent.body):
        return _taken(sent), True
    if known is not None and known.state != State.PARKED:
        return known, True
    key = key_of(link.tablet, sent)
    reason = _why_not_judged(link, key)
    if reason is not None or key is None:
        became = Became(State.QUARANTINED, problems=(reason,) if reason else ())
        return keep(link, sent, key, became), False
    return judge_anyway(link, sent, key, read, known), False


def _taken(sent: Sent) -> TabletOperation:
    """Told and not kept: under this uid another operation stands."""
    message = _("Another operation has this uid. Nothing of this one was taken.")
    problem = Problem("uid_taken", message, field="uid")
    return TabletOperation(uid=sent.uid, state=State.REFUSED, problems=[problem.as_dict()])


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
    return keep(link, sent, key, _became(link, sent, key, read), known)


def _became(link: Link, sent: Sent, key: TabletKey, read: Reader) -> Became:
    actor = Actor(key.person, "tablet", link.tablet)
    doing, about = Doing(actor, link.tablet, sent, link.at, moment_of(link, sent)), ""
    row = done_before(key.person, doing.request)
    if row is not None:
        # Killed between the deed and the note of it.
        return Became(State.ACCEPTED, row=row)
    try:
        plan = read(key.person, sent)
        about = plan.about
        _not_behind_a_refusal(link.tablet, sent, about)
        return Became(State.ACCEPTED, about, row=plan.do(doing).row)
    except Waits as waits:
        return Became(State.PARKED, about, because=waits.because)
    except Refused as refused:
        if sent.verb in CLAIMS and about:
            read_over.hold_again(actor, int(about), at=link.at)
        theirs = getattr(refused, "theirs", None)
        return Became(State.REFUSED, about, problems=refused.problems, theirs=theirs)
    except OperationalError:
        # The database is busy: nothing is said of it, and it comes again.
        raise
    except Exception:
        # A fault of ours must not keep what comes after it from being heard. It stays, and comes
        # again with every exchange.
        log.exception("judging %s %s failed", sent.verb, sent.uid)
        return Became(State.PARKED, about, because=sent.uid, problems=(_failed(),))


def _failed() -> Problem:
    message = _("The server failed at this. It stays on the tablet and is sent again by itself.")
    return Problem("server_failed", message)


def _not_behind_a_refusal(tablet: Tablet, sent: Sent, about: str) -> None:
    """A refusal parks the later operations of that ticket from that tablet, and no others."""
    if not about or sent.verb not in PARKABLE:
        return
    mine = TabletOperation.objects.filter(tablet=tablet, about=about)
    # A corrected one stands where the first refused one stood.
    place = min([sent.n, *(row.n for row in corrected_by(mine, sent.instead_of))])
    before = mine.filter(state__in=(State.REFUSED, State.PARKED), n__lt=place)
    first = before.order_by("n").first()
    if first is not None:
        raise Waits(first.because if first.state == State.PARKED and first.because else first.uid)
