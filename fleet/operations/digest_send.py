"""Sending digests: once for each person and each of their days.

What 'once' means. A row for the person and the local day is claimed before anything is sent, so
that two workers, or one that runs twice, send one letter. A claim whose worker died runs out and
is taken again, as long as the letter was not yet handed to the mail server. From the moment it is
handed over until the server's answer nobody can know whether it goes out (RFC 5321, 4.5.4.1 and
RFC 1047): a worker or a connection that dies there leaves the row as 'handed over', and no second
letter of that day is made. So: never twice, and lost only there. What the server refuses for the
moment, or a server that can't be reached, is tried again on the same day, under the same
Message-ID.
"""

import logging
import smtplib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.conf import settings
from django.core.mail import EmailMultiAlternatives, get_connection
from django.db import IntegrityError, transaction
from django.db.models import F
from django.urls import reverse
from django.utils import timezone, translation

from fleet.operations.digests import mail_is_set_up, stop_token
from fleet.papers.digest_letter import Letter, digest_letter
from fleet.reads.digest import digest_of
from fleet.records.models import Digest, DigestSent, Person, Yard

LEASE = timedelta(minutes=5)
# What did not get through is tried again after so long, so often (own).
AGAIN_AFTER, MOST_TRIES = timedelta(minutes=20), 6
PERMANENT = 500

log = logging.getLogger(__name__)
State = DigestSent.State


@dataclass(frozen=True)
class _Wanted:
    digest: Digest
    day: date


def send_digests(*, at: datetime) -> int:
    """Send every digest that is due and not yet sent; returns how many letters went out."""
    if not mail_is_set_up():
        return 0
    sent = 0
    for wanted in _wanted(at):
        row = claim(wanted.digest.person, wanted.day, at)
        if row is not None:
            sent += _make_and_send(row, wanted.digest, at)
    return sent


def _wanted(at: datetime) -> Iterator[_Wanted]:
    """Whose hour has come on their own day, and who has no letter of that day."""
    rows = Digest.objects.filter(is_on=True, person__is_active=True).select_related("person")
    wishes = [_Wanted(row, day) for row in rows.order_by("pk") if (day := _its_day(row, at))]
    over = DigestSent.objects.filter(day__in={wish.day for wish in wishes}).exclude(
        state=State.CLAIMED
    )
    done = set(over.values_list("person", "day"))
    for wish in wishes:
        may = wish.digest.person.email and wish.digest.person.may("view_due")
        if may and (wish.digest.person_id, wish.day) not in done:
            yield wish


def _its_day(row: Digest, at: datetime) -> date | None:
    """The person's own day, once its hour has come; None where it is none of theirs."""
    local = at.astimezone(ZoneInfo(row.time_zone))
    return local.date() if local.weekday() in row.days and local.hour >= row.hour else None


def claim(person: Person, day: date, at: datetime) -> DigestSent | None:
    """The row of a person and a day, for whoever gets it; None where somebody else has it."""
    until = at + LEASE
    try:
        with transaction.atomic():
            return DigestSent.objects.create(person=person, day=day, leased_until=until, tries=1)
    except IntegrityError:
        mine = DigestSent.objects.filter(
            person=person, day=day, state=State.CLAIMED, leased_until__lt=at
        ).update(leased_until=until, tries=F("tries") + 1)
        return DigestSent.objects.get(person=person, day=day) if mine else None


def _make_and_send(row: DigestSent, digest: Digest, at: datetime) -> int:
    letter = _letter(digest, at)
    if letter is None:
        _end(row, State.CLAIMED, State.EMPTY, at)
        return 0
    connection = get_connection(timeout=settings.EMAIL_TIMEOUT)
    try:
        connection.open()
    except (OSError, smtplib.SMTPException) as error:
        # Nothing was handed over: that is certain.
        return _later(row, State.CLAIMED, at, error)
    try:
        if not _end(row, State.CLAIMED, State.SENDING, at):
            return 0
        return _hand_over(row, connection, _message(row, digest.person, letter, connection), at)
    finally:
        connection.close()


def _hand_over(
    row: DigestSent, connection: object, message: EmailMultiAlternatives, at: datetime
) -> int:
    try:
        message.send()
    except (smtplib.SMTPResponseException, smtplib.SMTPRecipientsRefused) as error:
        # The server said no, so it has not taken it.
        return _later(row, State.SENDING, at, error)
    except (OSError, smtplib.SMTPException) as error:
        log.exception("a digest was handed over and not answered: %s", row.pk)
        DigestSent.objects.filter(pk=row.pk).update(reason=_said(error))
        return 0
    _end(row, State.SENDING, State.SENT, at)
    return 1


def _end(row: DigestSent, old: str, new: str, at: datetime) -> bool:
    """Move a row on, if it is still ours; whether it was."""
    sent_at = at if new == State.SENT else None
    rows = DigestSent.objects.filter(pk=row.pk, state=old, leased_until=row.leased_until)
    return rows.update(state=new, sent_at=sent_at) == 1


def _later(row: DigestSent, old: str, at: datetime, error: Exception) -> int:
    """Not sent, for certain: again in a while, or never where the server will not have it."""
    log.warning("a digest was not sent: %s", _said(error))
    never = _is_permanent(error) or row.tries >= MOST_TRIES
    DigestSent.objects.filter(pk=row.pk, state=old, leased_until=row.leased_until).update(
        state=State.REFUSED if never else State.CLAIMED, reason=_said(error),
        leased_until=at + AGAIN_AFTER,
    )  # fmt: skip
    return 0


def _is_permanent(error: Exception) -> bool:
    """RFC 5321, 4.2.1: 5yz is a permanent negative answer. One about signing in is the server's
    own trouble and may be put right."""
    if isinstance(error, smtplib.SMTPRecipientsRefused):
        return all(code >= PERMANENT for code, _text in error.recipients.values())
    known = isinstance(error, smtplib.SMTPSenderRefused | smtplib.SMTPDataError)
    return known and int(getattr(error, "smtp_code", 0)) >= PERMANENT


def _said(error: Exception) -> str:
    return f"{type(error).__name__}: {error}"[:200]


def _letter(digest: Digest, at: datetime) -> Letter | None:
    """In the person's language and time, of the yards that they see now."""
    person = digest.person
    chosen = digest.yards.all().values("pk")
    with translation.override(person.language), timezone.override(ZoneInfo(digest.time_zone)):
        yards = Yard.visible_to(person).filter(pk__in=chosen).order_by("name")
        found = [digest_of(person, yard, at) for yard in yards]
        told = [each for each in found if not each.is_empty]
        return digest_letter(told, settings.PUBLIC_ADDRESS, stop_address(person)) if told else None


def stop_address(person: Person) -> str:
    path = reverse("digest_off", args=[stop_token(person)])
    return f"{settings.PUBLIC_ADDRESS}{path}"


def _message(
    row: DigestSent, person: Person, letter: Letter, connection: object
) -> EmailMultiAlternatives:
    """RFC 2369 and RFC 8058: rid of it by one press; RFC 3834: no program answers it."""
    host = settings.MAIL_FROM.rpartition("@")[2].rstrip("> ")
    message = EmailMultiAlternatives(
        letter.subject, letter.text, settings.MAIL_FROM, [person.email],
        connection=connection,
        headers={
            "Message-ID": f"<{row.uid}@{host}>",
            "List-Unsubscribe": f"<{stop_address(person)}>",
            "List-Unsubscribe-Post": "List-Unsubscribe=One-Click",
            "Auto-Submitted": "auto-generated",
        },
    )  # fmt: skip
    message.attach_alternative(letter.html, "text/html")
    return message
