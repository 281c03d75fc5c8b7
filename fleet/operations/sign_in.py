"""One-time links: whoever has none yet chooses a password by it, and nobody else ever knows it.

A link is signed with the server's key and bound to the person's password as it stands: it dies
when a password is chosen, when another reset is made, and with its hour.
"""

from datetime import datetime, timedelta

from django.contrib.auth.password_validation import validate_password
from django.core import signing
from django.core.exceptions import ValidationError
from django.utils.crypto import constant_time_compare, salted_hmac
from django.utils.translation import gettext as _

from fleet.operations.actor import Actor
from fleet.operations.errors import Problem, Refused, refuse
from fleet.operations.work import Done, Work, run
from fleet.records.models import Person, Role

SALT = "axlekeep.one-time-link"
# Long enough to hand it over in person, and to the first manager at the server itself (own).
LASTS, FIRST_LASTS = timedelta(days=3), timedelta(hours=1)


def token_for(person: Person, until: datetime) -> str:
    """The end of a link's address; empty for somebody who has a password or has left."""
    if person.has_usable_password() or not person.is_active:
        return ""
    return signing.dumps([person.pk, int(until.timestamp()), _stamp(person)], salt=SALT)


def person_behind(token: str, at: datetime) -> Person | None:
    """Whose link it is, while it stands."""
    try:
        person_id, until, stamp = signing.loads(token, salt=SALT)
    except (signing.BadSignature, ValueError, TypeError):
        return None
    rows = Person.objects.exclude(role=Role.SERVER).filter(pk=person_id, is_active=True)
    person = rows.first()
    if person is None or person.has_usable_password() or at.timestamp() >= until:
        return None
    return person if constant_time_compare(stamp, _stamp(person)) else None


def choose_password(token: str, password: str, *, at: datetime) -> Done[Person]:
    """Keep the password that a link's person chose; the link is used up by it.

    Raises Refused where the link stands no more or the password is easily guessed.
    """
    seen = person_behind(token, at)
    if seen is None:
        raise link_is_dead()
    try:
        validate_password(password, seen)
    except ValidationError as error:
        problem = Problem("password_weak", " ".join(error.messages), field="password")
        raise Refused((problem,)) from error

    def apply(work: Work) -> Person:
        person = Person.objects.select_for_update().get(pk=seen.pk)
        if not person.is_active or person.password != seen.password:
            raise link_is_dead()
        person.set_password(password)
        person.version += 1
        person.save(update_fields=["password", "version"])
        work.trail("choose_password", person)
        return person

    return run("choose_password", Actor(seen), at, apply)


def link_is_dead() -> Refused:
    message = _("This link was used or has run out. Ask your manager for a new one.")
    return refuse("link_dead", message)


def _stamp(person: Person) -> str:
    return salted_hmac(SALT, person.password).hexdigest()[:24]
