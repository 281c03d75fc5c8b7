"""Digests by e-mail: what a person asks for, and how they are rid of it."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import available_timezones

from django.conf import settings
from django.core import signing
from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.utils.translation import gettext as _

from fleet.operations.actor import Actor
from fleet.operations.errors import Problem, Refused
from fleet.operations.once import Request
from fleet.operations.work import Done, Work, find, run
from fleet.records.models import Digest, Person, Yard

SALT = "digest-off"
DAYS, HOURS = range(7), range(24)


@dataclass(frozen=True)
class Wish:
    """When and of which yards; the hour is by the person's own clock."""

    is_on: bool
    email: str
    yard_ids: tuple[int, ...]
    days: tuple[int, ...]
    hour: int
    time_zone: str


def mail_is_set_up() -> bool:
    """Whether letters can leave, and name this site in them."""
    return bool(settings.EMAIL_HOST and settings.MAIL_FROM and settings.PUBLIC_ADDRESS)


def choose_digest(
    actor: Actor, wish: Wish, *, at: datetime, request: Request | None = None
) -> Done[Digest]:
    """Keep what the actor wants to be written of, and where."""
    actor.need("view_due")

    def apply(work: Work) -> Digest:
        yards = [find(Yard, actor, pk, _("yard")) for pk in wish.yard_ids]
        _judge(wish)
        person = actor.person
        person.email = wish.email.strip()
        person.save(update_fields=["email"])
        values: dict[str, Any] = {
            "is_on": wish.is_on, "days": sorted(set(wish.days)), "hour": wish.hour,
            "time_zone": wish.time_zone,
        }  # fmt: skip
        row, _made = Digest.objects.update_or_create(person=person, defaults=values)
        row.yards.set(yards)
        return row

    return run("choose_digest", actor, at, apply, request)


def _judge(wish: Wish) -> None:
    problems = []
    try:
        if wish.email.strip() or wish.is_on:
            validate_email(wish.email.strip())
    except ValidationError:
        message = _("Type your e-mail address, like lena@ranch.example.")
        problems.append(Problem("email_wrong", message, field="email"))
    if wish.is_on and not wish.yard_ids:
        problems.append(Problem("yards_missing", _("Choose a yard."), field="yards"))
    if set(wish.days) - set(DAYS) or (wish.is_on and not wish.days):
        problems.append(Problem("days_wrong", _("Choose the days."), field="days"))
    if wish.hour not in HOURS:
        problems.append(Problem("hour_wrong", _("Choose an hour of the day."), field="hour"))
    if wish.time_zone not in available_timezones():
        message = _("There is no such time zone. Type one like America/Denver.")
        problems.append(Problem("time_zone_unknown", message, field="time_zone"))
    if problems:
        raise Refused(tuple(problems))


def stop_token(person: Person) -> str:
    """What ends a person's digests and does nothing else; it needs no sign-in."""
    return signing.dumps(person.pk, salt=SALT)


def person_of(token: str) -> Person | None:
    """Whose digests a token ends; None for a token that is none."""
    try:
        pk = signing.loads(token, salt=SALT)
    except signing.BadSignature:
        return None
    return Person.objects.filter(pk=pk).first()


def stop_digest(person: Person) -> None:
    """Switch them off. Doing it twice changes nothing."""
    Digest.objects.filter(person=person).update(is_on=False)
