"""Tablets: made ours by a code, given keys for the people who sign on them, revoked when lost."""

import hashlib
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_variables

from fleet.operations.actor import Actor
from fleet.operations.errors import Refused, refuse
from fleet.operations.once import Request
from fleet.operations.words import refuse_too_long
from fleet.operations.work import Done, Work, find, run
from fleet.records.models import EnrolmentCode, Person, Role, Tablet, TabletKey, Yard

# Read off one screen and typed on another (own).
CODE_LASTS = timedelta(minutes=30)
CODE_LENGTH = 10
# No letters or figures that are taken for one another: no I, L, O, U, 0, 1.
CODE_SIGNS = "23456789ABCDEFGHJKMNPQRSTVWXYZ"
KEY_BYTES = 32
# Who neither works nor lends a hand at a vehicle.
NO_HANDS = (Role.SERVER, Role.INTEGRATOR, Role.READER)


@dataclass(frozen=True)
class NewCode:
    """A code as its maker sees it, once."""

    row: EnrolmentCode
    code: str


@dataclass(frozen=True)
class Enrolled:
    """A tablet, and the token that nobody sees again."""

    tablet: Tablet
    token: str


def hashed(secret: str) -> str:
    """How a code or a token is kept: both are long and made by chance, so a plain hash serves."""
    return hashlib.sha256(secret.encode()).hexdigest()


def make_code(
    actor: Actor, name: str, yard_id: int, *, at: datetime, request: Request | None = None
) -> NewCode:
    """A code by which one tablet becomes one of ours, named and bound to a yard beforehand."""
    actor.need("edit_tablets")
    code = "".join(secrets.choice(CODE_SIGNS) for _place in range(CODE_LENGTH))

    def apply(work: Work) -> EnrolmentCode:
        yard = find(Yard, work.actor, yard_id, _("yard"))
        _name_is_free(name)
        row = EnrolmentCode.objects.create(
            code_hash=hashed(code), yard=yard, name=name.strip(), made_at=work.at,
            made_by=work.actor.person, good_until=work.at + CODE_LASTS,
        )  # fmt: skip
        work.trail("make_code", row, after={"name": row.name})
        return row

    return NewCode(run("make_code", actor, at, apply, request).row, code)


def _name_is_free(name: str) -> None:
    refuse_too_long(Tablet, name=name)
    if not name.strip():
        raise refuse("name_missing", _("Give the tablet a name, like “Mesa 1”."), field="name")
    if Tablet.objects.filter(name__iexact=name.strip()).exists():
        raise refuse("name_taken", _("Another tablet has this name."), field="name")


@sensitive_variables("token")
def enrol_tablet(code: str, *, at: datetime) -> Enrolled:
    """Use up a code: the tablet is ours from now on. Raises Refused for one that does not stand."""
    wanted = hashed(code.strip().upper())
    token = secrets.token_urlsafe(KEY_BYTES)
    seen = EnrolmentCode.objects.select_related("made_by").filter(code_hash=wanted).first()
    if seen is None:
        raise _code_is_dead()

    def apply(work: Work) -> Tablet:
        row = EnrolmentCode.objects.select_for_update().get(pk=seen.pk)
        if row.tablet_id is not None or work.at >= row.good_until:
            raise _code_is_dead()
        _name_is_free(row.name)
        tablet = Tablet.objects.create(
            name=row.name, yard_id=row.yard_id, enrolled_by=row.made_by, token_hash=hashed(token),
            data_key=secrets.token_bytes(KEY_BYTES), heard_at=work.at,
        )  # fmt: skip
        row.tablet = tablet
        row.save(update_fields=["tablet"])
        work.trail("enrol_tablet", tablet, after={"name": tablet.name})
        return tablet

    maker = Actor(seen.made_by, "tablet")
    maker.need("edit_tablets")
    return Enrolled(run("enrol_tablet", maker, at, apply).row, token)


def _code_is_dead() -> Refused:
    message = _("This code is not known, was used, or has run out. Ask a manager for a new one.")
    return refuse("code_dead", message, field="code")


def tablet_behind(token: str) -> Tablet | None:
    """The tablet that holds this token, a revoked one too."""
    if not token:
        return None
    return Tablet.objects.select_related("yard").filter(token_hash=hashed(token)).first()


def hand_key(actor: Actor, *, at: datetime, request: Request | None = None) -> Done[TabletKey]:
    """A key for one person, who has just signed in on a tablet of their yard."""
    actor.need("inspect")

    def apply(work: Work) -> TabletKey:
        tablet = find(Tablet, actor, actor.tablet.pk if actor.tablet else None, _("tablet"))
        key = TabletKey.objects.create(
            tablet=tablet, person=actor.person, secret=secrets.token_bytes(KEY_BYTES),
            handed_at=work.at,
        )  # fmt: skip
        work.trail("hand_key", key, after={"tablet": tablet.name})
        return key

    return run("hand_key", actor, at, apply, request)


def of_the_yard(tablet: Tablet) -> QuerySet[Person]:
    """The people who belong to a tablet's yard."""
    here = Q(all_yards=True) | Q(postings__yard=tablet.yard_id)
    hands = Person.objects.filter(here, is_active=True).exclude(role__in=NO_HANDS)
    return hands.distinct()


def revoke_tablet(
    actor: Actor, tablet_id: int, reason: str, *, at: datetime, request: Request | None = None
) -> Done[Tablet]:
    """Take a lost tablet's rights away. What it still sends waits for a manager."""
    actor.need("edit_tablets")

    def apply(work: Work) -> Tablet:
        tablet = find(Tablet, work.actor, tablet_id, _("tablet"))
        if not reason.strip():
            raise refuse("reason_missing", _("Say why it is revoked."), field="reason")
        moved = Tablet.objects.filter(pk=tablet.pk, revoked_at=None).update(
            revoked_at=work.at, revoked_by=work.actor.person
        )
        if moved != 1:
            raise refuse("revoked", _("This tablet was revoked before."))
        tablet.refresh_from_db()
        work.trail("revoke_tablet", tablet, reason=reason.strip()[:300])
        return tablet

    return run("revoke_tablet", actor, at, apply, request)
